"""Proposals for dimensions from what a suit must do."""
