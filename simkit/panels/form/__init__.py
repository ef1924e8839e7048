"""A home as its owner types it in; an answer in money and a case file out."""
