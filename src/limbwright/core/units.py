"""Amounts as builders write them, to SI and back; the only conversions in the code.

The grammar is strict: one number form, one unit from a fixed table, and the dimension the field
asks for. What could be read in two ways is refused with both readings named. Values stay exact
fractions until the last step. Factors: NIST Special Publication 811 (2008), appendix B; inch, pound
and standard gravity are exact by definition there.
"""

import difflib
import math
import re
from fractions import Fraction
from typing import Final, Literal, NamedTuple, cast, get_args

from limbwright.core.errors import LimbwrightError

Dimension = Literal[
    "length", "mass", "force", "moment", "angle", "pressure", "temperature", "speed", "time", "share"
]
DIMENSIONS: tuple[Dimension, ...] = get_args(Dimension)


class UnitError(LimbwrightError):
    """A text that is not an amount of the wanted dimension."""

    def __init__(self, problem: str, remedy: str) -> None:
        self.problem = problem
        self.remedy = remedy
        super().__init__(f"{problem}; {remedy}")


class Amount(NamedTuple):
    """A value in SI (radians for angles, 1 for shares) and the half-width written after `+/-`."""

    value: float
    plus_minus: float | None


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
_SPELLINGS: Final = {
    '"': "in", "'": "ft", "Nm": "N m", "Nmm": "N mm", "in lbf": "lbf in", "ft lbf": "lbf ft",
    "°": "deg", "°C": "degC", "°F": "degF",
}  # fmt: skip
_USUAL: Final[dict[Dimension, str]] = {
    "length": "mm", "mass": "kg", "force": "N", "moment": "N m", "angle": "deg", "pressure": "MPa",
    "temperature": "degC", "speed": "m/s", "time": "s", "share": "%",
}  # fmt: skip
_HINTS: Final = {
    "inch": "in", "inches": "in", "feet": "ft", "foot": "ft", "lbs": "lb", "pound": "lb",
    "pounds": "lb", "degree": "deg", "degrees": "deg", "radians": "rad", "metre": "m", "meter": "m",
    "metres": "m", "meters": "m", "sec": "s", "kph": "km/h", "kmh": "km/h", "knots": "kn",
    "percent": "%", "kilo": "kg", "newton": "N", "mins": "min", "hours": "h",
}  # fmt: skip
# What people write when they mean a force or a mass and have the other one's unit in hand.
_COUSINS: Final = {
    ("lb", "force"): "lbf", ("lbf", "mass"): "lb", ("kg", "force"): "kgf", ("kgf", "mass"): "kg",
    ("lb in", "moment"): "lbf in", ("lb ft", "moment"): "lbf ft", ("ft lb", "moment"): "lbf ft",
    ("in lb", "moment"): "lbf in", ("g", "force"): "N", ("C", "temperature"): "degC",
    ("F", "temperature"): "degF",
}  # fmt: skip
_VULGAR: Final = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5",
    "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_LONGEST: Final = 80
_NUMBER = r"(?:\d{1,9}[ -]\d{1,4}/\d{1,4}|\d{1,4}/\d{1,4}|\d{1,12}(?:\.\d{1,12})?|\.\d{1,12})"
_ONE = re.compile(rf"(?P<sign>[+-]?) ?(?P<number>{_NUMBER}) ?(?P<unit>[^\d\s.,/+-].*)?")
_PAIR = re.compile(
    rf"(?P<sign>[+-]?) ?(?P<big>\d{{1,9}}) ?(?P<major>ft|lb|') ?-? ?(?P<small>{_NUMBER}) ?"
    r"(?P<minor>in|oz|\")"
)
_PAIRS: Final = {("ft", "in"): 12, ("lb", "oz"): 16}


def parse(text: str, dimension: Dimension) -> Amount:
    """Read an amount such as `620 mm +/- 0.5 mm`, `1 5/8 in`, `6'2"` or `12 lbf`.

    Args:
        text: what the builder wrote.
        dimension: what the field holds.

    Raises:
        UnitError: the text is not one amount of that dimension; says what would be.
    """
    plain = _plain(text)
    head, mark, tail = plain.partition("±")
    if "±" in tail:
        raise UnitError(f"'{text}' has more than one +/-", "write one amount and one +/-")
    head, tail = head.strip(), tail.strip()
    if not mark:
        return Amount(_to_si(*_amount(head, dimension, text), dimension), None)
    if not head or not tail:
        raise UnitError(
            f"'{text}' has a +/- with nothing {'before' if not head else 'after'} it",
            f"write {_example(dimension)} +/- and how much",
        )
    number_only = re.fullmatch(rf"[+-]? ?{_NUMBER}", head)
    spread, spread_unit = _amount(tail, dimension, text, percent=True)
    if number_only and spread_unit != "%" or (number_only and dimension == "share"):
        head = f"{head} {spread_unit}"
    number, unit = _amount(head, dimension, text)
    if spread < 0:
        raise UnitError(f"'{text}' has a negative +/-", "write the +/- as a positive amount")
    if spread_unit == "%" and dimension != "share":
        return Amount(_to_si(number, unit, dimension), abs(_span(number * spread / 100, unit, dimension)))
    return Amount(_to_si(number, unit, dimension), _span(spread, spread_unit, dimension))


def units_of(dimension: Dimension) -> tuple[str, ...]:
    """Every unit that may be written for a dimension, the usual one first."""
    names = [name for name, unit in UNITS.items() if unit.dimension == dimension]
    return (_USUAL[dimension], *(n for n in names if n != _USUAL[dimension]))


def _plain(text: str) -> str:
    """One spelling for spaces, signs, primes, dots and vulgar fractions."""
    if len(text) > _LONGEST:
        raise UnitError(f"a text of {len(text)} characters is no amount", "write a number and a unit")
    for old, new in (("−", "-"), ("′", "'"), ("’", "'"), ("″", '"'), ("”", '"'), ("+/-", "±")):
        text = text.replace(old, new)
    text = re.sub(r"(?<=[A-Za-z])[·⋅*.](?=[A-Za-z])", " ", text)
    text = re.sub(r"(?<=\d)[ -]?([½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞])", lambda m: " " + _VULGAR[m[1]], text)
    text = re.sub(r"[½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]", lambda m: _VULGAR[m[0]], text)
    return " ".join(text.split())


def _amount(plain: str, dimension: Dimension, text: str, *, percent: bool = False) -> tuple[Fraction, str]:
    """Number and unit name of one amount; `percent` also lets `%` through, for relative spreads."""
    _refuse_comma(plain, text)
    pair = _PAIR.fullmatch(plain)
    if pair:
        return _pair(pair, dimension, text)
    one = _ONE.fullmatch(plain)
    if not one:
        raise UnitError(f"'{text}' is not a number and a unit", f"write it like {_example(dimension)}")
    number = _number(one["number"], text) * (-1 if one["sign"] == "-" else 1)
    written = (one["unit"] or "").strip()
    if not written:
        raise UnitError(f"'{text}' has no unit", f"write {plain} {_USUAL[dimension]}")
    unit = _SPELLINGS.get(written, written)
    if percent and unit == "%":
        return number, unit
    if unit not in UNITS or UNITS[unit].dimension != dimension:
        raise _wrong_unit(plain[: one.end("number")], written, unit, dimension, text)
    return number, unit


def _pair(pair: re.Match[str], dimension: Dimension, text: str) -> tuple[Fraction, str]:
    major = _SPELLINGS.get(pair["major"], pair["major"])
    minor = _SPELLINGS.get(pair["minor"], pair["minor"])
    ratio = _PAIRS.get((major, minor))
    if ratio is None or UNITS[minor].dimension != dimension:
        raise UnitError(f"'{text}' is not a {dimension}", f"write it like {_example(dimension)}")
    small = _number(pair["small"], text)
    if small >= ratio:
        raise UnitError(
            f"'{text}' has {float(small):g} {minor} beside the {major}",
            f"{ratio} {minor} make 1 {major}: carry them over",
        )
    sign = -1 if pair["sign"] == "-" else 1
    return sign * (int(pair["big"]) * ratio + small), minor


def _number(written: str, text: str) -> Fraction:
    whole, _, rest = written.replace("-", " ").rpartition(" ")
    top, slash, bottom = rest.partition("/")
    if slash and int(bottom) == 0:
        raise UnitError(f"'{text}' divides by zero", "write a fraction such as 5/8")
    if whole and int(top) >= int(bottom):
        raise UnitError(f"'{text}' has a whole number and a fraction of one or more", "carry it over")
    return (Fraction(int(whole)) if whole else Fraction(0)) + Fraction(rest)


def _refuse_comma(plain: str, text: str) -> None:
    lone = re.search(r"\d*,\d+(?:\.\d+)?", plain)
    if not lone:
        return
    if lone[0].count(",") == 1 and "." not in lone[0] and plain.count(",") == 1:
        point = plain.replace(lone[0], lone[0].replace(",", ".")).replace(" .", " 0.")
        joined = plain.replace(lone[0], lone[0].replace(",", ""))
        raise UnitError(
            f"the comma in '{text}' can be read as {point} or as {joined}",
            f"write {point} or {joined}",
        )
    raise UnitError(f"'{text}' has commas in its number", f"write {plain.replace(',', '')}")


def _wrong_unit(number: str, written: str, unit: str, dimension: Dimension, text: str) -> UnitError:
    cousin = _COUSINS.get((written, dimension))
    wanted = ", ".join(units_of(dimension))
    if cousin:
        kind = f"a {UNITS[written].dimension}" if written in UNITS else "no " + dimension
        return UnitError(f"'{text}': {written} is {kind}, this is a {dimension}", f"write {number} {cousin}")
    if re.match(r"e-?\d", written, re.IGNORECASE):
        return UnitError(f"'{text}' has an exponent", "write the number out")
    if unit in UNITS:
        return UnitError(
            f"'{text}' is a {UNITS[unit].dimension}, this is a {dimension}", f"use one of {wanted}"
        )
    known = {u.lower(): u for u in units_of(dimension)}
    guess = _HINTS.get(written.lower()) or known.get(written.lower())
    if guess is None:
        near = difflib.get_close_matches(written.lower(), known, n=1, cutoff=0.5)
        guess = known[near[0]] if near else None
    if guess is not None and UNITS[guess].dimension == dimension:
        return UnitError(f"'{text}': no unit '{written}'", f"write {number} {guess}")
    return UnitError(f"'{text}': no unit '{written}'", f"use one of {wanted}")


def _example(dimension: Dimension) -> str:
    return {"share": "45 %", "mass": "5.2 kg", "temperature": "20 degC"}.get(
        dimension, f"12 {_USUAL[dimension]}"
    )


def _to_si(number: Fraction, unit: str, dimension: Dimension) -> float:
    if dimension == "angle" and unit == "deg":
        return math.radians(float(number))
    return float((number + UNITS[unit].offset) * UNITS[unit].factor)


def _span(number: Fraction, unit: str, dimension: Dimension) -> float:
    """A difference in SI: no offset."""
    if dimension == "angle" and unit == "deg":
        return math.radians(float(number))
    return float(number * UNITS[unit].factor)


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
        rounded = Fraction(round(Fraction(value) / _INCH * denominator), denominator)
        text = f"{_mixed(rounded)} in"
    else:
        digits = usual if decimals is None else decimals
        written = f"{float(exact):.{digits}f}"
        if "." in written:
            written = written.rstrip("0").rstrip(".")
        written = "0" if written == "-0" else written
        rounded, text = Fraction(written), f"{written} {unit}"
    return Shown(text, _to_si(rounded, unit, cast(Dimension, dimension)) - value)


def show(value: float, dimension: Dimension, system: System = "mm") -> str:
    """`shown(...)`'s text: an SI value in the reader's units."""
    return shown(value, dimension, system).text


def _mixed(number: Fraction) -> str:
    sign = "-" if number < 0 else ""
    whole, rest = divmod(abs(number), 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"
