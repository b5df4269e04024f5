"""A suit in, a frozen result out."""
