"""SI values in the reader's units."""

import math
from fractions import Fraction
from typing import Final, Literal, NamedTuple

from limbwright.core.unit_table import UNITS, Dimension, to_si

System = Literal["mm", "in", "frac-in"]


class Shown(NamedTuple):
    """An amount as shown to a person.

    Args:
        text: number and unit; `parse` reads it back.
        residual: shown minus true, in SI.
    """

    text: str
    residual: float


# Unit and decimals by dimension: metric, then inch-pound.
_DISPLAY: Final[dict[Dimension, tuple[tuple[str, int], tuple[str, int]]]] = {
    "length": (("mm", 1), ("in", 3)),
    "mass": (("kg", 2), ("lb", 2)),
    "force": (("N", 1), ("lbf", 1)),
    "moment": (("N m", 1), ("lbf in", 1)),
    "angle": (("deg", 1), ("deg", 1)),
    "pressure": (("MPa", 2), ("psi", 0)),
    "temperature": (("degC", 1), ("degF", 1)),
    "speed": (("m/s", 2), ("mph", 1)),
    "time": (("s", 1), ("s", 1)),
    "share": (("%", 1), ("%", 1)),
}


def display_unit(dimension: Dimension, system: System) -> str:
    """The unit that `show` uses."""
    return _DISPLAY[dimension][0 if system == "mm" else 1][0]


def convert(value: float, unit: str) -> float:
    """An SI value as a number in `unit` (a key of `UNITS`)."""
    known = UNITS[unit]
    if unit == "deg":
        return math.degrees(value)
    return float(Fraction(value) / known.factor - known.offset)


def shown(
    value: float,
    dimension: Dimension,
    system: System,
    *,
    decimals: int | None = None,
    denominator: int = 16,
) -> Shown:
    """An SI value in the reader's units, rounded, and what the rounding did.

    Args:
        value: SI value.
        dimension: what it is.
        system: `mm`, `in` (decimal inches) or `frac-in` (inches to the nearest 1/denominator).
        decimals: digits after the point in place of the usual ones.
        denominator: 2, 4, 8, 16, 32 or 64, for `frac-in` lengths.
    """
    if not math.isfinite(value):
        raise ValueError("only finite values can be shown")
    unit, usual = _DISPLAY[dimension][0 if system == "mm" else 1]
    exact = Fraction(convert(value, unit))
    if system == "frac-in" and dimension == "length":
        if denominator not in (2, 4, 8, 16, 32, 64):
            raise ValueError("the denominator is 2, 4, 8, 16, 32 or 64")
        rounded = Fraction(round(Fraction(value) / UNITS["in"].factor * denominator), denominator)
        text = f"{_mixed(rounded)} in"
    else:
        digits = usual if decimals is None else decimals
        written = f"{float(exact):.{digits}f}"
        if "." in written:
            written = written.rstrip("0").rstrip(".")
        written = "0" if written == "-0" else written
        rounded, text = Fraction(written), f"{written} {unit}"
    return Shown(text, to_si(rounded, unit) - value)


def show(value: float, dimension: Dimension, system: System = "mm") -> str:
    """`shown(...)`'s text: an SI value in the reader's units."""
    return shown(value, dimension, system).text


def _mixed(number: Fraction) -> str:
    sign = "-" if number < 0 else ""
    whole, rest = divmod(abs(number), 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"
