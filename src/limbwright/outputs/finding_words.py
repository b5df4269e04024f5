"""A finding's numbers in the reader's units."""

import math
from fractions import Fraction
from typing import Final

from limbwright.core.finding import Finding
from limbwright.core.unit_table import UNITS, Dimension, to_si
from limbwright.core.units import System, convert, shown

NO_BAND: Final = "no estimate"
NO_VALUE: Final = "no value"
_INCH_UNITS: Final[dict[Dimension, str]] = {
    "length": "in",
    "mass": "lb",
    "moment": "lbf ft",
    "force": "lbf",
    "speed": "mph",
}
_DECIMALS: Final = {
    "mm": 1, "in": 2, "kg": 2, "lb": 1, "N m": 1, "lbf ft": 1, "N": 1, "lbf": 1, "deg": 1, "%": 1,
}  # fmt: skip


def reader_unit(unit: str, system: System) -> str:
    """The unit that a finding in `unit` is shown in."""
    if system == "mm" or unit not in UNITS:
        return unit
    return _INCH_UNITS.get(UNITS[unit].dimension, unit)


def number_words(value: float, unit: str, system: System, *, sign: bool = False) -> str:
    """A number in the reader's unit, without the unit.

    Args:
        value: in the finding's `unit`.
        unit: the finding's.
        system: the reader's.
        sign: write a plus, and never round a difference away to nothing.
    """
    target = reader_unit(unit, system)
    if system == "frac-in" and target == "in":
        text = shown(to_si(Fraction(value), unit), "length", system).text.removesuffix(" in")
        return f"+{text}" if sign and value > 0.0 else text
    amount = value if target == unit else convert(to_si(Fraction(value), unit), target)
    decimals = _decimals(amount, target)
    text = f"{amount:.{decimals}f}"
    if sign and float(text) == 0.0 and abs(amount) > 1e-9:
        # what decides a verdict must not read as zero
        decimals = min(9, 1 - math.floor(math.log10(abs(amount))))
        text = f"{amount:.{decimals}f}"
    if float(text) == 0.0:
        text = text.removeprefix("-")
    return f"+{text}" if sign and not text.startswith("-") else text


def value_words(finding: Finding, system: System) -> str:
    """Value and unit, such as `12.0 deg`."""
    if finding.value is None:
        return NO_VALUE
    return with_unit(number_words(finding.value, finding.unit, system), finding, system)


def band_words(finding: Finding, system: System) -> str:
    """Least and greatest credible value, or that there is no estimate."""
    if finding.band is None:
        return NO_BAND
    low, high = (number_words(end, finding.unit, system) for end in finding.band)
    return f"{low} to {high}"


def limit_words(finding: Finding, system: System) -> str:
    """Such as `>= 15.0`; empty without a limit."""
    if finding.limit is None:
        return ""
    sign = ">=" if finding.limit_kind == "at least" else "<="
    return f"{sign} {number_words(finding.limit, finding.unit, system)}"


def margin_words(finding: Finding, system: System) -> str:
    """Distance to the limit, positive on the good side; empty without one."""
    if finding.margin is None:
        return ""
    return number_words(finding.margin, finding.unit, system, sign=True)


def with_unit(number: str, finding: Finding, system: System) -> str:
    """A number with the finding's unit in the reader's system behind it."""
    unit = reader_unit(finding.unit, system)
    return f"{number} {unit}" if unit else number


def _decimals(amount: float, unit: str) -> int:
    """Usual digits after the point; none for counts, nor for lengths of a metre and more."""
    if unit not in _DECIMALS:
        return 0 if abs(amount - round(amount)) < 1e-9 else 2
    return 0 if unit == "mm" and abs(amount) >= 999.5 else _DECIMALS[unit]
