"""A home and its answers in; one report with a first page, sections, inputs, method and provenance, out."""
