"""A site folder in, what is declared and patched out: surveys, boxes, cords, endings, anchors."""
