"""What was said of a home and can hardly be meant: asked about, never refused."""
