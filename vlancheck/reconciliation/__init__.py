"""Two surveys held against the later sheet: where things were seen, what explains it, what stands behind each row."""
