"""What is written with its unit and held in SI: amounts, amounts with a +/-, masses.

The file's door gives text and only text, so a bare number is refused with its unit missing. A program
that builds a model may pass SI floats, which are taken as they are.
"""

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple, cast, get_args

from pydantic_core import PydanticCustomError

from limbwright.core.estimate import Basis
from limbwright.core.units import Dimension, UnitError, parse, show, usual_unit

Known = Literal["weighed", "computed", "guessed"]
KNOWN: tuple[Known, ...] = get_args(Known)
_BASIS: Mapping[Known, Basis] = {
    "weighed": "measured",
    "computed": "published",  # from a section and a density, both out of published tables
    "guessed": "assumed",
}
# Nothing in a wearable suit is larger: what is, is a slip of the unit.
_LARGEST: Mapping[Dimension, float] = {"length": 20.0, "mass": 1000.0, "angle": 2.0 * math.pi}


@dataclass(frozen=True)
class Toleranced:
    """An SI value, the half-width written as `+/-` and the day it was taken; None where not said."""

    value: float
    plus_minus: float | None = None
    date: dt.date | None = None


@dataclass(frozen=True)
class Mass:
    """A mass [kg], the least and greatest it may be (None: no estimate) and how it is known."""

    value: float
    range: tuple[float, float] | None = None
    known: Known = "guessed"

    @property
    def basis(self) -> Basis:
        """The same in the words of a finding."""
        return _BASIS[self.known]


class Bounds(NamedTuple):
    """Least and greatest SI value a field takes; the ends count unless `open_low` is set."""

    low: float = -math.inf
    high: float = math.inf
    open_low: bool = False


ANY = Bounds()
ABOVE_ZERO = Bounds(low=0.0, open_low=True)
ZERO_OR_MORE = Bounds(low=0.0)


def said(problem: str, remedy: str) -> PydanticCustomError:
    """A validation error that carries its two halves to the file's line."""
    return PydanticCustomError("said", "{problem}; {remedy}", {"problem": problem, "remedy": remedy})


def read_amount(
    written: object, dimension: Dimension, bounds: Bounds = ANY, *, spread: bool = True
) -> Toleranced:
    """Text (or an SI number) to a value in SI with its half-width.

    Args:
        written: what the field holds.
        dimension: what it should be.
        bounds: SI values it may take.
        spread: whether a `+/-` has a meaning here.

    Raises:
        PydanticCustomError: not an amount of the dimension, or out of bounds.
    """
    example = f"12 {usual_unit(dimension)}"
    if isinstance(written, str):
        try:
            value, plus_minus = parse(written, dimension)
        except UnitError as error:
            raise said(error.problem, error.remedy) from None
    elif isinstance(written, int | float) and not isinstance(written, bool):
        value, plus_minus = float(written), None
    else:
        raise said(f"{with_article(dimension)} is wanted here", f"write it like {example}")
    _within(value, written, dimension, bounds)
    if plus_minus is not None and not spread:
        raise said(f"'{written}' has a +/- where none is used", "write the value alone")
    if plus_minus is not None and bounds.low >= 0.0 and plus_minus >= value:
        raise said(f"'{written}' has a +/- as large as the value", "write a smaller +/-")
    return Toleranced(value, plus_minus)


def with_article(dimension: Dimension) -> str:
    """`a length`, `an angle`."""
    return f"{'an' if dimension == 'angle' else 'a'} {dimension}"


def _within(value: float, written: object, dimension: Dimension, bounds: Bounds) -> None:
    if not math.isfinite(value):
        raise said(f"'{written}' is not finite", f"write it like 12 {usual_unit(dimension)}")
    slip = 1e-12 * max(abs(bounds.low) if math.isfinite(bounds.low) else 1.0, 1.0)
    if bounds.low == 0.0 and (value < 0.0 or (value == 0.0 and bounds.open_low)):
        name = "not above zero" if bounds.open_low else "negative"
        raise said(
            f"'{written}' is {name}", f"write {with_article(dimension)} of {_span_text(bounds, dimension)}"
        )
    if not bounds.low - slip <= value <= bounds.high + slip:
        raise said(f"'{written}' is out of bounds", f"write {_span_text(bounds, dimension)}")
    largest = _LARGEST.get(dimension, math.inf)
    if abs(value) > largest * (1.0 + 1e-12):
        most = show(largest, dimension, "mm")
        raise said(f"'{written}' is beyond {most}", "look at the unit: nothing in a suit is so large")


def _span_text(bounds: Bounds, dimension: Dimension) -> str:
    if math.isinf(bounds.high):
        return "more than zero" if bounds.open_low else f"{show(bounds.low, dimension, 'mm')} or more"
    low = show(bounds.low, dimension, "mm")
    return f"{'above ' if bounds.open_low else ''}{low} to {show(bounds.high, dimension, 'mm')}"


def read_toleranced(written: object, dimension: Dimension, bounds: Bounds = ABOVE_ZERO) -> Toleranced:
    """As `read_amount`, and a mapping {value, plus_minus, date} too."""
    if isinstance(written, Toleranced):
        return written
    if not isinstance(written, Mapping):
        return read_amount(written, dimension, bounds)
    parts = _keys(cast(Mapping[object, object], written), ("value", "plus_minus", "date"))
    base = read_amount(parts["value"], dimension, bounds)
    half, date = base.plus_minus, None
    if "plus_minus" in parts:
        if half is not None:
            raise said("the +/- is given twice", "keep it in value or in plus_minus")
        half = read_amount(parts["plus_minus"], dimension, ZERO_OR_MORE, spread=False).value
        if bounds.low >= 0.0 and half >= base.value:
            raise said("plus_minus is as large as the value", "write a smaller plus_minus")
    if "date" in parts:
        date = _date(parts["date"])
    return Toleranced(base.value, half, date)


def read_mass(written: object) -> Mass:
    """A mass as text, or a mapping {value, range, basis}; text alone is a guess."""
    if isinstance(written, Mass):
        return written
    if not isinstance(written, Mapping):
        amount = read_amount(written, "mass", ABOVE_ZERO)
        return Mass(amount.value, _around(amount))
    parts = _keys(cast(Mapping[object, object], written), ("value", "range", "basis"))
    amount = read_amount(parts["value"], "mass", ABOVE_ZERO)
    span = _around(amount)
    if "range" in parts:
        if span is not None:
            raise said("the range is given twice", "keep the +/- in value or the range")
        span = _range(parts["range"], amount.value)
    known = parts.get("basis", "guessed")
    if known not in KNOWN:
        raise said(f"no basis '{known}'", f"use one of {', '.join(KNOWN)}")
    return Mass(amount.value, span, known)


def _range(written: object, value: float) -> tuple[float, float]:
    ends = cast(Sequence[object], written) if isinstance(written, list | tuple) else ()
    if len(ends) != 2:
        raise said("a range has two ends", "write range: [0.38 kg, 0.48 kg]")
    low, high = (read_amount(end, "mass", ZERO_OR_MORE, spread=False).value for end in ends)
    if not low <= value <= high:
        raise said("the range does not hold the value", "write range: [least, greatest] around it")
    return low, high


def _around(amount: Toleranced) -> tuple[float, float] | None:
    if amount.plus_minus is None:
        return None
    return (amount.value - amount.plus_minus, amount.value + amount.plus_minus)


def _keys(written: Mapping[object, object], allowed: tuple[str, ...]) -> dict[str, object]:
    parts = {str(k): v for k, v in written.items()}
    for key in parts:
        if key not in allowed:
            raise said(f"unknown key '{key}'", f"use {', '.join(allowed)}")
    if "value" not in parts:
        raise said("'value' is missing", f"write {{value: ..., {allowed[1]}: ...}}")
    return parts


def _date(written: object) -> dt.date:
    if isinstance(written, dt.date):
        return written
    try:
        return dt.date.fromisoformat(str(written))
    except ValueError:
        raise said(f"'{written}' is not a date", "write it as 2026-09-14") from None
