"""Units, errors, and the two shapes every number takes on its way to a person."""
