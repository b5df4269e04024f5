"""The whole skeleton over the character's silhouette at full scale, one view a drawing."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from limbwright.core.units import convert
from limbwright.outputs.drawing import Circle, Drawing, Item, Polyline, Text, bounds_of, text_box
from limbwright.outputs.lettering import plain_line
from limbwright.outputs.outline import Point
from limbwright.outputs.part_dimensions import length_words
from limbwright.outputs.placement import Room
from limbwright.outputs.title_block import SheetInfo

LETTER: Final = 8e-3  # capitals [m]: read from standing height
_PAD: Final = 3e-3  # kept free around a label [m]
_PIN: Final = 5e-3  # radius of the circle that stands for a pin [m]


@dataclass(frozen=True)
class SkeletonLine:
    """A link, rod or other member as it is seen.

    Args:
        label: its name; an empty one is not written.
        points: its pins in order [m]; x to the right of the view, y up from the floor.
        kind: `link` is drawn thick, `rod` dashed.
    """

    label: str
    points: tuple[Point, ...]
    kind: Literal["link", "rod"] = "link"


@dataclass(frozen=True)
class SkeletonMark:
    """A named point of the character, such as its elbow [m]."""

    label: str
    at: Point


def skeleton_drawing(
    name: str,
    lines: Sequence[SkeletonLine],
    silhouettes: Sequence[Sequence[Point]],
    marks: Sequence[SkeletonMark],
    info: SheetInfo,
    notes: Sequence[str] = (),
) -> Drawing:
    """A view of the skeleton over the silhouette, with floor, centre line and a ladder of heights.

    Args:
        name: such as `skeleton front`.
        lines: members [m].
        silhouettes: closed outlines as points [m]; the first point need not be repeated.
        marks: the character's marks [m].
        info: the suit's facts.
        notes: further lines below the floor.

    Raises:
        ValueError: when a line or silhouette has fewer than two points.
    """
    if any(len(line.points) < 2 for line in lines) or any(len(s) < 2 for s in silhouettes):
        raise ValueError(f"{name}: every line and silhouette needs two points or more")
    items: list[Item] = [
        Polyline(tuple((float(x), float(y)) for x, y in outline), layer="MARK", pen="cut", closed=True)
        for outline in silhouettes
    ]
    for line in lines:
        pen = "link" if line.kind == "link" else "dashed"
        items.append(Polyline(line.points, layer="MARK", pen=pen))
    pins = sorted({point for line in lines for point in line.points})
    items += [Circle(pin, _PIN, layer="MARK") for pin in pins]
    items += [piece for mark in marks for piece in _cross(mark.at)]
    room = Room()
    for line in lines:
        room.take(*itertools.pairwise(line.points))
    for outline in silhouettes:
        room.take(*itertools.pairwise([*outline, outline[0]]))
    for mark in marks:
        items += _label(mark.label, [mark.at], room)
    for line in lines:
        items += _label(line.label, _anchors(line.points), room)
    items += _ground(items, info)
    left, low, _, _ = bounds_of(items)
    words = [
        f"{name}: full scale 1:1 over the silhouette. Heights from the floor.",
        "Thick: links. Dashed: rods. Circles: pins. Crosses: the character's marks.",
        *notes,
    ]
    for k, text in enumerate(words):
        items.append(Text((left, low - (2.5 + 1.9 * k) * LETTER), plain_line(text), LETTER, bold=k == 0))
    return Drawing(
        name=plain_line(name),
        title=plain_line(name),
        items=tuple(items),
        datum="floor, middle plane",
        facts=(("material", "see the part sheets"),),
    )


def _cross(at: Point) -> list[Item]:
    x, y = at
    reach = 15e-3
    return [
        Polyline(((x - reach, y), (x + reach, y)), layer="MARK"),
        Polyline(((x, y - reach), (x, y + reach)), layer="MARK"),
    ]


def _anchors(points: tuple[Point, ...]) -> list[Point]:
    """Where a label may point at: along the longest stretch, its middle first."""
    start, end = max(itertools.pairwise(points), key=lambda p: math.dist(*p))
    return [
        (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
    ]


def _label(words: str, anchors: Sequence[Point], room: Room) -> list[Item]:
    """A label near one of some points, with a leader, in the first free place."""
    words = plain_line(words)
    if not words:
        return []
    for away in (25e-3, 40e-3, 60e-3, 85e-3, 120e-3, 160e-3, 220e-3):
        for at in anchors:
            for slant in (30, 150, -30, -150, 0, 180, 60, 120, -60, -120):
                leader, text = _label_at(words, at, away, math.radians(slant))
                corners = text_box(text)
                padded = tuple(
                    (x + i * _PAD, y + j * _PAD)
                    for (x, y), (i, j) in zip(corners, ((-1, -1), (1, -1), (1, 1), (-1, 1)), strict=True)
                )
                if room.free(padded, leader.points):
                    room.take(padded, leader.points)
                    return [leader, text]
    return list(_label_at(words, anchors[0], 25e-3, 0.0))


def _label_at(words: str, at: Point, away: float, heading: float) -> tuple[Polyline, Text]:
    c, s = math.cos(heading), math.sin(heading)
    elbow = (at[0] + away * c, at[1] + away * s)
    right = c >= 0.0
    foot = (elbow[0] + (3e-3 if right else -3e-3), elbow[1] - 0.5 * LETTER)
    start = (at[0] + 8e-3 * c, at[1] + 8e-3 * s)
    return Polyline((start, elbow)), Text(foot, words, LETTER, anchor="start" if right else "end")


def _ground(items: Sequence[Item], info: SheetInfo) -> list[Item]:
    """Floor, middle plane, and a ladder of heights at the left."""
    left, _, right, top = bounds_of(items)
    left, right = min(left, 0.0) - 60e-3, max(right, 0.0) + 60e-3
    ground: list[Item] = [
        Polyline(((left, 0.0), (right, 0.0)), pen="cut"),
        Polyline(((0.0, -30e-3), (0.0, top + 30e-3)), pen="centre"),
        Polyline(((left, 0.0), (left, top))),
    ]
    inches = info.units != "mm"
    step, every = (2 * 25.4e-3, 6) if inches else (0.1, 5)
    for k in range(math.floor(top / step + 1e-9) + 1):
        height, long = k * step, k % every == 0
        reach = 20e-3 if long else 8e-3
        ground.append(Polyline(((left, height), (left - reach, height))))
        if long:
            words = f"{round(convert(height, 'in'))} in" if inches else length_words(height, info)
            at = (left - reach - 4e-3, height - 0.5 * LETTER)
            ground.append(Text(at, words, LETTER, anchor="end"))
    return ground
