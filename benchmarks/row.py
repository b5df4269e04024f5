"""One line of the table."""

from typing import NamedTuple


class Row(NamedTuple):
    """What was measured, and whether it meets its bar (None: for information)."""

    what: str
    bar: str
    measured: str
    holds: bool | None


def thousands(value: float) -> str:
    """Three significant digits with separators: 1,230,000."""
    digits = max(0, len(str(int(value))) - 3)
    return f"{round(value, -digits):,.0f}"
