"""A site folder in: its declaration, its surveys, its boxes and cords out."""
