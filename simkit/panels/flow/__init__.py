"""Emitters and a flow to try on a home with rooms in; its year and rooms out."""
