"""Shells, hands, head, harness, stilts: what hangs on the links and on the performer."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal, cast

from pydantic import Field, PlainValidator, WithJsonSchema

from limbwright.model.base import Written
from limbwright.model.field import AS_PLAIN, MassField, Name, Place, Size, Words, list_schema, text_schema
from limbwright.model.quantity import ABOVE_ZERO, read_amount, said

ShapeKind = Literal["box", "sphere", "capsule"]
_COUNTS: Mapping[str, int] = {"box": 3, "sphere": 1, "capsule": 2}
_FORMS = "write {box: [l, w, h]}, {sphere: diameter} or {capsule: [diameter, overall length]}, with units"


@dataclass(frozen=True)
class Shape:
    """A simple solid about the part's centre, in the host's axes.

    Args:
        kind: box, sphere or capsule.
        size: box: its three sides; sphere: its diameter; capsule: diameter and overall length,
            lying along the host link, or upright on the harness [m].
    """

    kind: ShapeKind
    size: tuple[float, ...]


def read_shape(written: object) -> Shape:
    """A mapping with one shape in it."""
    if isinstance(written, Shape):
        return written
    if not isinstance(written, Mapping) or len(cast(Mapping[object, object], written)) != 1:
        raise said("a shape is one of box, sphere, capsule", _FORMS)
    ((kind, sizes),) = cast(Mapping[object, object], written).items()
    if kind not in _COUNTS:
        raise said(f"no shape '{kind}'", _FORMS)
    listed = cast(Sequence[object], sizes) if isinstance(sizes, list | tuple) else (sizes,)
    if len(listed) != _COUNTS[str(kind)]:
        raise said(f"a {kind} has {_COUNTS[str(kind)]} of these sizes, not {len(listed)}", _FORMS)
    values = tuple(read_amount(s, "length", ABOVE_ZERO, spread=False).value for s in listed)
    if kind == "capsule" and values[1] < values[0]:
        raise said("a capsule shorter than its diameter", "write {capsule: [diameter, overall length]}")
    return Shape(cast(ShapeKind, kind), values)


def _shape_schema() -> dict[str, Any]:
    length = text_schema("length")
    sized: dict[str, Any] = {
        kind: length if count == 1 else list_schema(length, count) for kind, count in _COUNTS.items()
    }
    return {
        "type": "object",
        "properties": sized,
        "additionalProperties": False,
        "minProperties": 1,
        "maxProperties": 1,
    }


ShapeField = Annotated[Shape, PlainValidator(read_shape), AS_PLAIN, WithJsonSchema(_shape_schema())]


class Part(Written):
    """Something with a mass, fastened to a link (`arm/carrier`), the harness, or another part.

    On a link the centre is [along from its inner pin, across in the arm's plane towards raising or
    flexing, sideways as layers go]; on the harness it is [forward, left, up] in the world of the
    standing performer. Fastened to another part, it counts from that part's centre, along the axes of
    what that part hangs on.
    """

    name: Name
    on: Words
    side: Literal["right", "left", "both"] = "both"
    mass: MassField
    centre: Place
    shape: ShapeField | None = None


class Harness(Written):
    """Frame and belt; centre [forward, left, up] in the world of the standing performer [m]."""

    mass: MassField
    centre: Place
    shape: ShapeField | None = None


class Stilts(Written):
    """A pair of stilts; mass and foot are of one."""

    height: Size
    mass: MassField
    foot: tuple[Size, Size] = Field(description="length and width of the foot")
