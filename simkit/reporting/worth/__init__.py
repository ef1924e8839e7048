"""Options weighed over the years in; terminal, JSON, page and pictures of them out."""
