"""What a crew does with cords: which may move freely, what a mistake would do, and what evidence says was done."""
