"""Comparison of the product's forwarding with a real switch implementation, run without root or network."""
