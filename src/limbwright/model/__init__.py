"""The suit as a builder writes it down, and its file."""
