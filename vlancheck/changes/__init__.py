"""Two surveys of one site in, every change of carriage between them out: compared at anchors, grouped by cause."""
