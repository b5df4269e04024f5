"""Field types that are written with their unit and held in SI.

The file's door gives text and only text, so a bare number is refused with its unit missing. A program
that builds a model may pass SI floats, which are taken as they are.
"""

import datetime
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal, cast

from pydantic import PlainValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from limbwright.core.estimate import Basis
from limbwright.core.units import Dimension, UnitError, parse, units_of

Known = Literal["weighed", "computed", "guessed"]
KNOWN: tuple[Known, ...] = ("weighed", "computed", "guessed")
_BASIS: Mapping[Known, Basis] = {
    "weighed": "measured",
    "computed": "published",  # density and section come from published tables
    "guessed": "assumed",
}
Sign = Literal["any", "positive", "not negative"]


@dataclass(frozen=True)
class Toleranced:
    """An SI value, the half-width written as `+/-` and the day it was taken; None where not said."""

    value: float
    plus_minus: float | None = None
    date: datetime.date | None = None


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


def said(problem: str, remedy: str) -> PydanticCustomError:
    """A validation error that carries its two halves to the file's line."""
    return PydanticCustomError("said", "{problem}; {remedy}", {"problem": problem, "remedy": remedy})


def read_amount(
    written: object, dimension: Dimension, sign: Sign = "any", *, spread: bool = True
) -> Toleranced:
    """Text (or an SI number) to a value in SI with its half-width.

    Raises:
        PydanticCustomError: not an amount of the dimension, or not of the wanted sign.
    """
    usual = units_of(dimension)[0]
    if isinstance(written, str):
        try:
            value, plus_minus = parse(written, dimension)
        except UnitError as error:
            raise said(error.problem, error.remedy) from None
    elif isinstance(written, int | float) and not isinstance(written, bool):
        value, plus_minus, written = float(written), None, f"{written:g} (SI)"
    else:
        raise said(f"a {dimension} is wanted here", f"write it like 12 {usual}")
    if not math.isfinite(value):
        raise said(f"'{written}' is not finite", f"write a number and a unit, like 12 {usual}")
    if sign == "positive" and value <= 0.0:
        raise said(f"'{written}' is not above zero", f"write a {dimension} above zero")
    if sign == "not negative" and value < 0.0:
        raise said(f"'{written}' is negative", "write zero or more")
    if plus_minus is not None and not spread:
        raise said(f"'{written}' has a +/- where none is used", "write the value alone")
    if sign == "positive" and plus_minus is not None and plus_minus >= value:
        raise said(f"'{written}' has a +/- as large as the value", "write a smaller +/-")
    return Toleranced(value, plus_minus)


def read_toleranced(written: object, dimension: Dimension, sign: Sign = "positive") -> Toleranced:
    """As `read_amount`, and a mapping {value, plus_minus, date} too."""
    if isinstance(written, Toleranced):
        return written
    if not isinstance(written, Mapping):
        return read_amount(written, dimension, sign)
    parts = _keys(cast(Mapping[object, object], written), {"value", "plus_minus", "date"})
    base = read_amount(parts["value"], dimension, sign)
    half, date = base.plus_minus, None
    if "plus_minus" in parts:
        if half is not None:
            raise said("the +/- is given twice", "keep it in the value or in plus_minus")
        half = read_amount(parts["plus_minus"], dimension, "not negative", spread=False).value
        if sign == "positive" and half >= base.value:
            raise said("plus_minus is as large as the value", "write a smaller plus_minus")
    if "date" in parts:
        date = _date(parts["date"])
    return Toleranced(base.value, half, date)


def read_mass(written: object) -> Mass:
    """A mass as text, or a mapping {value, range, basis}; text alone is a guess."""
    if isinstance(written, Mass):
        return written
    if not isinstance(written, Mapping):
        amount = read_amount(written, "mass", "not negative")
        return Mass(amount.value, _around(amount))
    parts = _keys(cast(Mapping[object, object], written), {"value", "range", "basis"})
    amount = read_amount(parts["value"], "mass", "not negative")
    span = _around(amount)
    if "range" in parts:
        ends = parts["range"]
        if not isinstance(ends, Sequence) or isinstance(ends, str) or len(ends) != 2:  # pyright: ignore[reportUnknownArgumentType]
            raise said("a range has two ends", "write range: [0.38 kg, 0.48 kg]")
        low, high = (
            read_amount(e, "mass", "not negative", spread=False).value for e in cast(Sequence[object], ends)
        )
        if not low <= amount.value <= high:
            raise said("the range does not hold the value", "write range: [least, greatest] around it")
        span = (low, high)
    known = str(parts.get("basis", "guessed"))
    if known not in KNOWN:
        raise said(f"no basis '{known}'", f"use one of {', '.join(KNOWN)}")
    return Mass(amount.value, span, known)


def _around(amount: Toleranced) -> tuple[float, float] | None:
    if amount.plus_minus is None:
        return None
    return (max(amount.value - amount.plus_minus, 0.0), amount.value + amount.plus_minus)


def _keys(written: Mapping[object, object], allowed: set[str]) -> dict[str, object]:
    parts = {str(k): v for k, v in written.items()}
    for key in parts:
        if key not in allowed:
            raise said(f"unknown key '{key}'", f"use {', '.join(sorted(allowed))}")
    if "value" not in parts:
        raise said("'value' is missing", "write {value: ..., ...}")
    return parts


def _date(written: object) -> datetime.date:
    if isinstance(written, datetime.date):
        return written
    try:
        return datetime.date.fromisoformat(str(written))
    except ValueError:
        raise said(f"'{written}' is not a date", "write it as 2026-09-14") from None


def _unit_pattern(dimension: Dimension) -> str:
    """Loose pattern for editors: a number, something of a unit; the program itself is strict."""
    return {
        "length": r"^[-+]?.*\d.*(mm|cm|m|in|ft|[\"'′″½¼¾⅛⅜⅝⅞])",
        "angle": r"^[-+]?.*\d.*(deg|rad|°)",
        "share": r"^[-+]?.*\d.*%",
    }.get(dimension, r"^[-+]?.*\d.*[A-Za-z°%]")


def text_schema(dimension: Dimension) -> dict[str, Any]:
    """JSON Schema of an amount written as text."""
    return {
        "type": "string",
        "pattern": _unit_pattern(dimension),
        "description": f"a {dimension} with its unit: {', '.join(units_of(dimension))}",
    }


def _toleranced_schema(dimension: Dimension, *words: str) -> dict[str, Any]:
    text = text_schema(dimension)
    mapping: dict[str, Any] = {
        "type": "object",
        "properties": {
            "value": text,
            "plus_minus": text,
            "date": {"type": "string", "format": "date"},
        },
        "required": ["value"],
        "additionalProperties": False,
    }
    literal = [{"enum": list(words)}] if words else []
    return {"anyOf": [*literal, text, mapping]}


def _plain(dimension: Dimension, sign: Sign = "any") -> Callable[[object], float]:
    return lambda written: read_amount(written, dimension, sign, spread=False).value


def _worded(dimension: Dimension, *words: str) -> Callable[[object], object]:
    def read(written: object) -> object:
        return written if written in words else read_toleranced(written, dimension)

    return read


def _fit_or_angle(written: object) -> object:
    return written if written == "fit" else read_amount(written, "angle", spread=False).value


_MASS_SCHEMA: dict[str, Any] = {
    "anyOf": [
        text_schema("mass"),
        {
            "type": "object",
            "properties": {
                "value": text_schema("mass"),
                "range": {
                    "type": "array",
                    "items": text_schema("mass"),
                    "minItems": 2,
                    "maxItems": 2,
                },
                "basis": {"enum": list(KNOWN)},
            },
            "required": ["value"],
            "additionalProperties": False,
        },
    ]
}

Length = Annotated[float, PlainValidator(_plain("length")), WithJsonSchema(text_schema("length"))]
SizeLength = Annotated[
    float, PlainValidator(_plain("length", "positive")), WithJsonSchema(text_schema("length"))
]
GapLength = Annotated[
    float, PlainValidator(_plain("length", "not negative")), WithJsonSchema(text_schema("length"))
]
Angle = Annotated[float, PlainValidator(_plain("angle")), WithJsonSchema(text_schema("angle"))]
Moment = Annotated[float, PlainValidator(_plain("moment", "positive")), WithJsonSchema(text_schema("moment"))]
Share = Annotated[
    float, PlainValidator(_plain("share", "not negative")), WithJsonSchema(text_schema("share"))
]
PlainMass = Annotated[float, PlainValidator(_plain("mass", "positive")), WithJsonSchema(text_schema("mass"))]
MassField = Annotated[Mass, PlainValidator(read_mass), WithJsonSchema(_MASS_SCHEMA)]
TapeLength = Annotated[
    Toleranced,
    PlainValidator(lambda w: read_toleranced(w, "length")),
    WithJsonSchema(_toleranced_schema("length")),
]
BodyMass = Annotated[
    Toleranced,
    PlainValidator(lambda w: read_toleranced(w, "mass")),
    WithJsonSchema(_toleranced_schema("mass")),
]
FitLength = Annotated[
    Toleranced | Literal["fit"],
    PlainValidator(_worded("length", "fit")),
    WithJsonSchema(_toleranced_schema("length", "fit")),
]
PerformerLength = Annotated[
    Toleranced | Literal["performer"],
    PlainValidator(_worded("length", "performer")),
    WithJsonSchema(_toleranced_schema("length", "performer")),
]
RodLength = Annotated[
    Toleranced | Literal["match"],
    PlainValidator(_worded("length", "match")),
    WithJsonSchema(_toleranced_schema("length", "match")),
]
FitAngle = Annotated[
    float | Literal["fit"],
    PlainValidator(_fit_or_angle),
    WithJsonSchema({"anyOf": [{"enum": ["fit"]}, text_schema("angle")]}),
]
