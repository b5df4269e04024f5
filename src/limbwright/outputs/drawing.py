"""A drawing: a small display list in metres, y up, that every writer (PDF, DXF, SVG) can put on paper.

Layers say what the shop does with a line: `CUT` is cut, `MARK` is engraved or scribed on the part,
`TEXT` is only read (dimensions, notes, sheet furniture).
"""

import hashlib
import itertools
import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from limbwright.outputs.outline import Bounds, Outline, Point

Layer = Literal["CUT", "MARK", "TEXT"]
LAYERS: Final[tuple[Layer, ...]] = ("CUT", "MARK", "TEXT")
Pen = Literal["cut", "thin", "dashed", "centre", "link"]
Anchor = Literal["start", "middle", "end"]

# Line widths [m] (ISO 128 series 0.18, 0.25, 0.35, from memory) and dash patterns [m].
PEN_WIDTH: Final[dict[Pen, float]] = {
    "cut": 0.35e-3,
    "thin": 0.18e-3,
    "dashed": 0.25e-3,
    "centre": 0.18e-3,
    "link": 1.0e-3,
}
PEN_DASHES: Final[dict[Pen, tuple[float, ...]]] = {
    "cut": (),
    "thin": (),
    "dashed": (6e-3, 2e-3),
    "centre": (10e-3, 1.5e-3, 1.5e-3, 1.5e-3),
    "link": (),
}


@dataclass(frozen=True)
class Polyline:
    """Straight lines through points [m]; `closed` joins the last to the first.

    `grey` is 0 for black to 1 for white.
    """

    points: tuple[Point, ...]
    layer: Layer = "TEXT"
    pen: Pen = "thin"
    closed: bool = False
    grey: float = 0.0


@dataclass(frozen=True)
class Patch:
    """A filled polygon without an edge line, so that its size on paper is its size here [m]."""

    points: tuple[Point, ...]
    layer: Layer = "TEXT"
    grey: float = 0.0


@dataclass(frozen=True)
class Circle:
    """A true circle [m]."""

    centre: Point
    radius: float
    layer: Layer = "CUT"
    pen: Pen = "cut"


@dataclass(frozen=True)
class Shape:
    """A closed outline of arcs and straight edges [m]."""

    outline: Outline
    layer: Layer = "CUT"
    pen: Pen = "cut"


@dataclass(frozen=True)
class Text:
    """One line of text.

    Args:
        at: anchor point on the baseline [m].
        text: the words; no line breaks.
        height: height of a capital letter [m].
        angle: of the baseline [rad].
        anchor: which end of the text stands at `at`.
        bold: heavier letters.
        grey: 0 black to 1 white.
    """

    at: Point
    text: str
    height: float
    angle: float = 0.0
    anchor: Anchor = "start"
    bold: bool = False
    layer: Layer = "TEXT"
    grey: float = 0.0


Item = Polyline | Patch | Circle | Shape | Text


@dataclass(frozen=True)
class Drawing:
    """One part or skeleton at full scale.

    Args:
        name: becomes the file name, such as `right arm carrier`.
        title: the title block's part line.
        items: what is drawn, in order.
        facts: further title block lines: (field, value).
        datum: what positions are measured from.
    """

    name: str
    title: str
    items: tuple[Item, ...]
    datum: str = ""
    facts: tuple[tuple[str, str], ...] = ()

    def bounds(self) -> Bounds:
        """Least x, least y, greatest x, greatest y of everything drawn [m]."""
        return bounds_of(self.items)

    def digest(self) -> str:
        """Eight hexadecimal digits that change when anything drawn changes by more than 1e-9 m."""
        plain = re.sub(r"-?\d+\.\d+(?:e[-+]\d+)?", lambda m: f"{float(m[0]):.9f}", repr(self))
        return hashlib.sha256(plain.replace("-0.000000000", "0.000000000").encode()).hexdigest()[:8]


def box(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    """Corners of an upright rectangle [m], counter-clockwise."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def text_box(item: Text) -> tuple[Point, ...]:
    """The four corners of the room a text takes, descenders included [m]."""
    from limbwright.outputs.lettering import text_width

    width = text_width(item.text, item.height, bold=item.bold)
    left = {"start": 0.0, "middle": -0.5 * width, "end": -width}[item.anchor]
    c, s = math.cos(item.angle), math.sin(item.angle)
    low, high = -0.33 * item.height, 1.05 * item.height
    corners = ((left, low), (left + width, low), (left + width, high), (left, high))
    return tuple((item.at[0] + u * c - v * s, item.at[1] + u * s + v * c) for u, v in corners)


def bounds_of(items: Iterable[Item]) -> Bounds:
    """Least x, least y, greatest x, greatest y of some items [m]; line widths not counted.

    Raises:
        ValueError: when there is nothing to bound.
    """
    boxes = [_item_bounds(item) for item in items]
    if not boxes:
        raise ValueError("an empty drawing has no size")
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


def _item_bounds(item: Item) -> Bounds:
    if isinstance(item, Shape):
        return item.outline.bounds()
    if isinstance(item, Circle):
        (x, y), r = item.centre, item.radius
        return x - r, y - r, x + r, y + r
    points = text_box(item) if isinstance(item, Text) else item.points
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def skeleton_of(item: Item, step: float) -> list[tuple[Point, Point]]:
    """An item as straight pieces [m], arcs every `step` [rad]: for asking where its ink lies."""
    if isinstance(item, Shape):
        points = [p for edge in item.outline.edges for p in edge.points(step)]
    elif isinstance(item, Circle):
        count = max(8, math.ceil(math.tau / step))
        (x, y), r = item.centre, item.radius
        turns = [math.tau * k / count for k in range(count + 1)]
        points = [(x + r * math.cos(a), y + r * math.sin(a)) for a in turns]
    elif isinstance(item, Text):
        corners = text_box(item)
        points = [*corners, corners[0]]
    else:
        points = list(item.points)
        if isinstance(item, Patch) or item.closed:
            points.append(points[0])
    return list(itertools.pairwise(points))
