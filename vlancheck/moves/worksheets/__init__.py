"""Two surveys of a site in, the worksheets of the night between them out, as plain values."""
