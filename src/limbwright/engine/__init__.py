"""Mechanics in SI on arrays; knows nothing of suits."""
