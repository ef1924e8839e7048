"""Settings of flow and times to try on a home in; the year that each makes out."""
