"""Values in, text for people and documents for programs out; one output a file, nothing is decided here."""
