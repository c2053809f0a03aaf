"""A turn of talk: what a message leads to, what is asked back, and how earlier words are mended."""
