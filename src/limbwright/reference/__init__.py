"""Published tables, each beside its source."""
