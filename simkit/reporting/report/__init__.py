"""A report in; its page, its PDF and its workbook, out."""
