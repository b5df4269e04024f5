"""Amounts as builders write them, to SI and back; with its two neighbours the only conversions.

The grammar is strict: one number form, one unit from a fixed table, and the dimension the field
asks for. What could be read in two ways is refused with both readings named. Values stay exact
fractions until the last step.
"""

import difflib
import re
from fractions import Fraction
from typing import Final, NamedTuple

from limbwright.core.errors import LimbwrightError
from limbwright.core.unit_display import Shown as Shown
from limbwright.core.unit_display import System as System
from limbwright.core.unit_display import convert as convert
from limbwright.core.unit_display import display_unit as display_unit
from limbwright.core.unit_display import show as show
from limbwright.core.unit_display import shown as shown
from limbwright.core.unit_table import COUSINS, HINTS, SPELLINGS, UNITS, span_to_si, to_si
from limbwright.core.unit_table import DIMENSIONS as DIMENSIONS
from limbwright.core.unit_table import Dimension as Dimension
from limbwright.core.unit_table import units_of as units_of
from limbwright.core.unit_table import usual_unit as usual_unit


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


_VULGAR: Final = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5",
    "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_LONGEST: Final = 80
_NUMBER = r"(?:\d{1,9}[ -]\d{1,4}/\d{1,4}|\d{1,4}/\d{1,4}|\d{1,12}(?:\.\d{1,12})?|\.\d{1,12})"
_ONE = re.compile(rf"(?P<sign>[+-]?) ?(?P<number>{_NUMBER}) ?(?P<unit>[^\d\s.,/+-].*)?", re.ASCII)
_PAIR = re.compile(
    rf"(?P<sign>[+-]?) ?(?P<big>\d{{1,9}}) ?(?P<major>ft|lb|') ?-? ?(?P<small>{_NUMBER}) ?"
    r"(?P<minor>in|oz|\")",
    re.ASCII,
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
        return Amount(to_si(*_amount(head, dimension, text)), None)
    if not head or not tail:
        raise UnitError(
            f"'{text}' has a +/- with nothing {'before' if not head else 'after'} it",
            f"write {_example(dimension)} +/- and how much",
        )
    number_only = re.fullmatch(rf"[+-]? ?{_NUMBER}", head, re.ASCII)
    spread, spread_unit = _amount(tail, dimension, text, percent=dimension != "temperature")
    if number_only and (spread_unit != "%" or dimension == "share"):
        head = f"{head} {spread_unit}"
    number, unit = _amount(head, dimension, text)
    if spread < 0:
        raise UnitError(f"'{text}' has a negative +/-", "write the +/- as a positive amount")
    if spread_unit == "%" and dimension != "share":
        return Amount(to_si(number, unit), abs(span_to_si(number * spread / 100, unit)))
    return Amount(to_si(number, unit), span_to_si(spread, spread_unit))


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
        raise UnitError(f"'{text}' has no unit", _with_unit(plain, number, dimension))
    unit = SPELLINGS.get(written, written)
    if percent and unit == "%":
        return number, unit
    if unit not in UNITS or UNITS[unit].dimension != dimension:
        raise _wrong_unit(plain[: one.end("number")], written, unit, dimension, text)
    return number, unit


def _with_unit(plain: str, number: Fraction, dimension: Dimension) -> str:
    """How a bare number was probably meant; 0.35 for a share may be 35 % as well."""
    meant = f"write {plain} {usual_unit(dimension)}"
    if dimension == "share" and 0 < number <= 1:
        return f"write {float(100 * number):g} %, or {plain} % if that is meant"
    return meant


def _pair(pair: re.Match[str], dimension: Dimension, text: str) -> tuple[Fraction, str]:
    major = SPELLINGS.get(pair["major"], pair["major"])
    minor = SPELLINGS.get(pair["minor"], pair["minor"])
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
    cousin = COUSINS.get((written, dimension))
    wanted = ", ".join(units_of(dimension))
    if cousin:
        known = UNITS.get(written)
        kind = f"is a {known.dimension}, this is a {dimension}" if known else f"is no unit of {dimension}"
        return UnitError(f"'{text}': {written} {kind}", f"write {number} {cousin}")
    if re.match(r"e-?\d", written, re.IGNORECASE):
        return UnitError(f"'{text}' has an exponent", "write the number out")
    if unit in UNITS:
        return UnitError(
            f"'{text}' is a {UNITS[unit].dimension}, this is a {dimension}", f"use one of {wanted}"
        )
    known = {u.lower(): u for u in units_of(dimension)}
    guess = HINTS.get(written.lower()) or known.get(written.lower())
    if guess is None:
        near = difflib.get_close_matches(written.lower(), known, n=1, cutoff=0.5)
        guess = known[near[0]] if near else None
    if guess is not None and UNITS[guess].dimension == dimension:
        return UnitError(f"'{text}': no unit '{written}'", f"write {number} {guess}")
    return UnitError(f"'{text}': no unit '{written}'", f"use one of {wanted}")


def _example(dimension: Dimension) -> str:
    return {"share": "45 %", "mass": "5.2 kg", "temperature": "20 degC"}.get(
        dimension, f"12 {usual_unit(dimension)}"
    )
