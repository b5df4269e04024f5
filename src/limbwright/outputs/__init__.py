"""Sheets, pictures and tables made from results."""
