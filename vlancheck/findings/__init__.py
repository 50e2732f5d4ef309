"""Verdicts and what the checks saw in, findings out: one for each cause, with its evidence and its effects."""
