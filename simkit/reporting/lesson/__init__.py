"""Worksheets and keys of a lesson in; a page or a PDF of them that prints in grey, out."""
