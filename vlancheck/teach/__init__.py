"""A network in, exercises about it out: every answer is computed by the walk, and so is every explanation."""
