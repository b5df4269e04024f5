"""The fixed table of units: names, factors to SI, and what people write by mistake.

Factors: NIST Special Publication 811 (2008), appendix B; inch, pound, standard gravity and nautical
mile are exact there by definition.
"""

import math
from fractions import Fraction
from typing import Final, Literal, NamedTuple, get_args

Dimension = Literal[
    "length", "mass", "force", "moment", "angle", "pressure", "temperature", "speed", "time", "share"
]
DIMENSIONS: tuple[Dimension, ...] = get_args(Dimension)


class Unit(NamedTuple):
    """One unit: SI value = (number + offset) * factor; angles convert by pi at the very end."""

    dimension: Dimension
    factor: Fraction
    offset: Fraction = Fraction(0)


_INCH: Final = Fraction(254, 10_000)
_POUND: Final = Fraction(45_359_237, 100_000_000)
_GRAVITY: Final = Fraction(980_665, 100_000)
_LBF: Final = _POUND * _GRAVITY

# Degrees carry the factor 1 here and become radians when the fraction becomes a float.
UNITS: Final[dict[str, Unit]] = {
    "mm": Unit("length", Fraction(1, 1000)),
    "cm": Unit("length", Fraction(1, 100)),
    "m": Unit("length", Fraction(1)),
    "in": Unit("length", _INCH),
    "ft": Unit("length", 12 * _INCH),
    "kg": Unit("mass", Fraction(1)),
    "g": Unit("mass", Fraction(1, 1000)),
    "lb": Unit("mass", _POUND),
    "oz": Unit("mass", _POUND / 16),
    "N": Unit("force", Fraction(1)),
    "kN": Unit("force", Fraction(1000)),
    "lbf": Unit("force", _LBF),
    "kgf": Unit("force", _GRAVITY),
    "N m": Unit("moment", Fraction(1)),
    "N mm": Unit("moment", Fraction(1, 1000)),
    "lbf in": Unit("moment", _LBF * _INCH),
    "lbf ft": Unit("moment", _LBF * 12 * _INCH),
    "deg": Unit("angle", Fraction(1)),
    "rad": Unit("angle", Fraction(1)),
    "Pa": Unit("pressure", Fraction(1)),
    "kPa": Unit("pressure", Fraction(1000)),
    "MPa": Unit("pressure", Fraction(10**6)),
    "GPa": Unit("pressure", Fraction(10**9)),
    "psi": Unit("pressure", _LBF / _INCH**2),
    "ksi": Unit("pressure", 1000 * _LBF / _INCH**2),
    "degC": Unit("temperature", Fraction(1), Fraction(27_315, 100)),
    "degF": Unit("temperature", Fraction(5, 9), Fraction(45_967, 100)),
    "K": Unit("temperature", Fraction(1)),
    "m/s": Unit("speed", Fraction(1)),
    "km/h": Unit("speed", Fraction(10, 36)),
    "mph": Unit("speed", 63_360 * _INCH / 3600),
    "ft/s": Unit("speed", 12 * _INCH),
    "kn": Unit("speed", Fraction(1852, 3600)),
    "s": Unit("time", Fraction(1)),
    "min": Unit("time", Fraction(60)),
    "h": Unit("time", Fraction(3600)),
    "%": Unit("share", Fraction(1, 100)),
}
SPELLINGS: Final = {
    '"': "in", "'": "ft", "Nm": "N m", "Nmm": "N mm", "in lbf": "lbf in", "ft lbf": "lbf ft",
    "°": "deg", "°C": "degC", "°F": "degF",
}  # fmt: skip
USUAL: Final[dict[Dimension, str]] = {
    "length": "mm", "mass": "kg", "force": "N", "moment": "N m", "angle": "deg", "pressure": "MPa",
    "temperature": "degC", "speed": "m/s", "time": "s", "share": "%",
}  # fmt: skip
HINTS: Final = {
    "inch": "in", "inches": "in", "feet": "ft", "foot": "ft", "lbs": "lb", "pound": "lb",
    "pounds": "lb", "degree": "deg", "degrees": "deg", "radians": "rad", "metre": "m", "meter": "m",
    "metres": "m", "meters": "m", "sec": "s", "kph": "km/h", "kmh": "km/h", "knots": "kn",
    "percent": "%", "kilo": "kg", "newton": "N", "mins": "min", "hours": "h",
}  # fmt: skip
# What people write when they mean a force or a mass and have the other one's unit in hand.
COUSINS: Final = {
    ("lb", "force"): "lbf", ("lbf", "mass"): "lb", ("kg", "force"): "kgf", ("kgf", "mass"): "kg",
    ("lb in", "moment"): "lbf in", ("lb ft", "moment"): "lbf ft", ("ft lb", "moment"): "lbf ft",
    ("in lb", "moment"): "lbf in", ("C", "temperature"): "degC", ("F", "temperature"): "degF",
}  # fmt: skip


def units_of(dimension: Dimension) -> tuple[str, ...]:
    """Every unit that may be written for a dimension, the usual one first."""
    names = [name for name, unit in UNITS.items() if unit.dimension == dimension]
    return (USUAL[dimension], *(n for n in names if n != USUAL[dimension]))


def usual_unit(dimension: Dimension) -> str:
    """The unit to suggest where none was written."""
    return USUAL[dimension]


def to_si(number: Fraction, unit: str) -> float:
    """A number in `unit` (a key of `UNITS`) as an SI value."""
    if unit == "deg":
        return math.radians(float(number))
    return float((number + UNITS[unit].offset) * UNITS[unit].factor)


def span_to_si(number: Fraction, unit: str) -> float:
    """A difference in `unit` as an SI difference: no offset."""
    if unit == "deg":
        return math.radians(float(number))
    return float(number * UNITS[unit].factor)
