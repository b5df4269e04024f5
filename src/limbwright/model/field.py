"""Field types of the suit: each reads text into SI and tells an editor what it looks like."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import asdict, is_dataclass
from typing import Annotated, Any, Literal

from pydantic import Field, PlainSerializer, PlainValidator, WithJsonSchema

from limbwright.core.errors import LimbwrightError
from limbwright.core.units import Dimension, units_of
from limbwright.model.quantity import (
    ABOVE_ZERO,
    ANY,
    KNOWN,
    ZERO_OR_MORE,
    Bounds,
    Mass,
    Toleranced,
    read_amount,
    read_mass,
    read_toleranced,
    said,
    with_article,
)
from limbwright.reference.materials import MATERIAL_NAMES, material

_SIGNS: Mapping[Dimension, str] = {"length": "\"'′″", "angle": "°", "share": "%"}


def text_schema(dimension: Dimension) -> dict[str, Any]:
    """JSON Schema of an amount written as text; looser than the program, which is strict."""
    names = [re.escape(name).replace(r"\ ", "[ ·*]?") for name in units_of(dimension)]
    unit = "|".join([*names, *_SIGNS.get(dimension, "")])
    return {
        "type": "string",
        "pattern": rf"^[-+−]?\s*[\d½⅓⅔¼¾⅛⅜⅝⅞.].*({unit})\s*$",
        "description": f"{with_article(dimension)} with its unit: {', '.join(units_of(dimension))}",
    }


def _toleranced_schema(dimension: Dimension, *words: str) -> dict[str, Any]:
    text = text_schema(dimension)
    parts = {"value": text, "plus_minus": text, "date": {"type": "string", "format": "date"}}
    literal = [{"enum": list(words)}] if words else []
    return {"anyOf": [*literal, text, _object_schema(parts, "value")]}


def _object_schema(properties: Mapping[str, Any], *required: str) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": dict(properties),
        "required": list(required),
        "additionalProperties": False,
    }


def list_schema(item: Mapping[str, Any], count: int) -> dict[str, Any]:
    """JSON Schema of a list of `count` like things."""
    return {"type": "array", "items": dict(item), "minItems": count, "maxItems": count}


def _as_plain(value: object) -> object:
    """Amounts, masses, shapes and sections leave as plain blocks of their SI fields."""
    return asdict(value) if is_dataclass(value) and not isinstance(value, type) else value


AS_PLAIN = PlainSerializer(_as_plain)


def _plain(dimension: Dimension, bounds: Bounds = ANY) -> Callable[[object], float]:
    return lambda written: read_amount(written, dimension, bounds, spread=False).value


def _measured(dimension: Dimension, low: float, high: float) -> Callable[[object], Toleranced]:
    return lambda written: read_toleranced(written, dimension, Bounds(low, high))


def _worded(word: str) -> Callable[[object], object]:
    def read(written: object) -> object:
        if written == word:
            return word
        if isinstance(written, str) and written.isalpha():
            raise said(
                f"'{written}' is neither '{word}' nor a length", f"write {word}, or 620 mm and the like"
            )
        return read_toleranced(written, "length")

    return read


def _degrees(low: float, high: float) -> Callable[[object], float]:
    return _plain("angle", Bounds(math.radians(low), math.radians(high)))


read_acute = _degrees(0.0, 89.0)


def _fit_or_angle(written: object) -> object:
    return written if written == "fit" else _degrees(-360.0, 360.0)(written)


def _material(written: object) -> str:
    if not isinstance(written, str):
        raise said("a material is wanted here", f"use one of {', '.join(MATERIAL_NAMES)}")
    try:
        return material(written).name
    except LimbwrightError:
        raise said(f"no material '{written}'", f"use one of {', '.join(MATERIAL_NAMES)}") from None


def _coordinate(written: object) -> float:
    is_number = isinstance(written, int | float) and not isinstance(written, bool)
    if not is_number and not re.fullmatch(r"-?[0-9]{1,7}(\.[0-9]{1,9})?", str(written)):
        raise said(f"'{written}' is not a coordinate", "write a plain number of drawing units")
    value = float(str(written))
    if not math.isfinite(value):
        raise said("a coordinate is not finite", "write a plain number of drawing units")
    return value


def _yes_or_no(written: object) -> bool:
    if isinstance(written, bool):
        return written
    known = {"true": True, "false": False, "yes": True, "no": False}
    if str(written).lower() not in known:
        raise said(f"'{written}' is neither true nor false", "write true or false")
    return known[str(written).lower()]


def _words(written: object) -> str:
    if not isinstance(written, str) or not written.strip():
        raise said("a text is wanted here", "write a few words")
    if len(written) > 200 or not written.isprintable():
        raise said("this text is too long or holds unprintable characters", "write one short line")
    return written


_LENGTH = WithJsonSchema(text_schema("length"))
_ANGLE = WithJsonSchema(text_schema("angle"))
_MASS_SCHEMA: dict[str, Any] = {
    "anyOf": [
        text_schema("mass"),
        _object_schema(
            {
                "value": text_schema("mass"),
                "range": list_schema(text_schema("mass"), 2),
                "basis": {"enum": list(KNOWN)},
            },
            "value",
        ),
    ]
}

Words = Annotated[str, PlainValidator(_words), WithJsonSchema({"type": ["string", "number"]})]
Yes = Annotated[bool, PlainValidator(_yes_or_no), WithJsonSchema({"type": "boolean"})]
Coordinate = Annotated[float, PlainValidator(_coordinate), WithJsonSchema({"type": "number"})]
MaterialName = Annotated[str, PlainValidator(_material), WithJsonSchema({"type": ["string", "number"]})]

Length = Annotated[float, PlainValidator(_plain("length")), _LENGTH]
Size = Annotated[float, PlainValidator(_plain("length", ABOVE_ZERO)), _LENGTH]
Gap = Annotated[float, PlainValidator(_plain("length", ZERO_OR_MORE)), _LENGTH]
Height = Annotated[float, PlainValidator(_plain("length", Bounds(0.5, 10.0))), _LENGTH]
Place = tuple[Length, Length, Length]

Turn = Annotated[float, PlainValidator(_degrees(-180.0, 180.0)), _ANGLE]
Lean = Annotated[float, PlainValidator(_degrees(-60.0, 60.0)), _ANGLE]
Elevation = Annotated[float, PlainValidator(_degrees(0.0, 180.0)), _ANGLE]
Flexion = Annotated[float, PlainValidator(_degrees(0.0, 170.0)), _ANGLE]
Acute = Annotated[float, PlainValidator(read_acute), _ANGLE]
Step = Annotated[float, PlainValidator(_degrees(1.0, 30.0)), _ANGLE]

Moment = Annotated[float, PlainValidator(_plain("moment", ABOVE_ZERO)), WithJsonSchema(text_schema("moment"))]
Share = Annotated[
    float, PlainValidator(_plain("share", Bounds(0.0, 1.0))), WithJsonSchema(text_schema("share"))
]
PlainMass = Annotated[float, PlainValidator(_plain("mass", ABOVE_ZERO)), WithJsonSchema(text_schema("mass"))]
MassField = Annotated[Mass, PlainValidator(read_mass), AS_PLAIN, WithJsonSchema(_MASS_SCHEMA)]

# A performer is a grown or nearly grown person; what lies outside is a slip of the unit.
Stature = Annotated[
    Toleranced,
    PlainValidator(_measured("length", 1.0, 2.5)),
    AS_PLAIN,
    WithJsonSchema(_toleranced_schema("length")),
]
BodyMass = Annotated[
    Toleranced,
    PlainValidator(_measured("mass", 25.0, 250.0)),
    AS_PLAIN,
    WithJsonSchema(_toleranced_schema("mass")),
]
TapeLength = Annotated[
    Toleranced,
    PlainValidator(_measured("length", 0.02, 2.6)),
    AS_PLAIN,
    WithJsonSchema(_toleranced_schema("length")),
]
FitLength = Annotated[
    Toleranced | Literal["fit"],
    PlainValidator(_worded("fit")),
    AS_PLAIN,
    WithJsonSchema(_toleranced_schema("length", "fit")),
]
PerformerLength = Annotated[
    Toleranced | Literal["performer"],
    PlainValidator(_worded("performer")),
    AS_PLAIN,
    WithJsonSchema(_toleranced_schema("length", "performer")),
]
RodLength = Annotated[
    Toleranced | Literal["match"],
    PlainValidator(_worded("match")),
    AS_PLAIN,
    WithJsonSchema(_toleranced_schema("length", "match")),
]
FitAngle = Annotated[
    float | Literal["fit"],
    PlainValidator(_fit_or_angle),
    AS_PLAIN,
    WithJsonSchema({"anyOf": [{"enum": ["fit"]}, text_schema("angle")]}),
]
# Names become parts of field paths and file names.
Name = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9 _'-]{0,59}$")]
