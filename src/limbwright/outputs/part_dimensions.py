"""Dimensions and hole labels of one part, placed where nothing is written over."""

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from limbwright.core.units import shown
from limbwright.model.cut_part import CutPart, Hole
from limbwright.outputs.drawing import Item, Patch, Polyline, Text, text_box
from limbwright.outputs.outline import Outline, Point
from limbwright.outputs.placement import Polygon, Room, ring, strip
from limbwright.outputs.title_block import SheetInfo

LETTER: Final = 3.5e-3  # capitals of dimensions [m]; ISO 3098 series, from memory
LABEL: Final = 3.0e-3  # capitals of hole labels [m]
_STEP: Final = 9e-3  # between one dimension line and the next [m]
_ARROW: Final = 3.5e-3  # length of an arrowhead [m]


def length_words(value: float, info: SheetInfo) -> str:
    """A length as the shop reads it; a fraction that was rounded says by how much in mm.

    `24 13/32 in (+0.13 mm)` means that the true length is 0.13 mm more than the fraction.
    """
    decimals = {"mm": 2, "in": 4, "frac-in": None}[info.units]
    text, rounding = shown(value, "length", info.units, decimals=decimals, denominator=info.denominator)
    if info.units == "frac-in" and abs(rounding) >= 0.005e-3:
        text += f" ({-rounding * 1e3:+.2f} mm)"
    return text


def hole_words(hole: Hole, part: CutPart, info: SheetInfo) -> str:
    """A hole's label: its pin, its diameter, and whether it is the datum."""
    datum = ", datum" if hole.label == part.datum else ""
    return f"{hole.label}  Ø {length_words(hole.diameter, info)}{datum}"


def dimensioned_pairs(part: CutPart) -> list[tuple[Hole, Hole]]:
    """Which holes are dimensioned to which: each to the datum, and to a neighbour clearly nearer."""
    datum = part.datum_hole
    pairs: list[tuple[Hole, Hole]] = []
    for hole in part.holes:
        if hole.label == datum.label:
            continue
        near = min(
            (h for h in part.holes if h.label != hole.label),
            key=lambda h: (math.dist((h.x, h.y), (hole.x, hole.y)), h.label),
        )
        away, nearby = (math.dist((h.x, h.y), (hole.x, hole.y)) for h in (datum, near))
        for other in (datum, near) if nearby < 0.85 * away else (datum,):
            known = {(a.label, b.label) for a, b in pairs}
            if (other.label, hole.label) not in known and (hole.label, other.label) not in known:
                pairs.append((other, hole))
    return sorted(pairs, key=lambda p: math.dist((p[0].x, p[0].y), (p[1].x, p[1].y)))


@dataclass
class Sheetroom:
    """What is on the part's drawing so far.

    Words keep clear of words and lines; dimension lines keep clear of words and of each other, and
    may cross the thin lines that lead to them.
    """

    outline: Outline
    words: Room = field(default_factory=Room)
    lines: Room = field(default_factory=Room)
    dimension_lines: Room = field(default_factory=Room)

    def put_words(self, item: Text, pad: float = 0.6e-3) -> bool:
        """Take the place of a text if it is free."""
        room = _padded(item, pad)
        if not (self.words.free(room) and self.lines.free(room)):
            return False
        self.words.take(room)
        return True


def readable(angle: float) -> float:
    """The same baseline read from below or from the right [rad]."""
    turned = math.remainder(angle, math.tau)
    if turned > 0.5 * math.pi + 1e-9:
        return turned - math.pi
    if turned <= -0.5 * math.pi + 1e-9:
        return turned + math.pi
    return turned


def dimension(one: Hole, other: Hole, room: Sheetroom, info: SheetInfo) -> list[Item]:
    """An aligned dimension between two holes on the nearest free line beside the part."""
    words = length_words(math.dist((one.x, one.y), (other.x, other.y)), info)
    turn = readable(math.atan2(other.y - one.y, other.x - one.x))
    places = sorted(
        (_reach(one, other, turn, side, room.outline) + 7e-3 + level * _STEP, side)
        for side in (-1.0, 1.0)
        for level in range(12)
    )
    for away, side in places:
        items, text, solid, thin = _dimension_at(one, other, words, turn, side * away)
        letters = _padded(text, 0.8e-3)
        clear = room.words.free(letters, solid, *thin) and room.lines.free(letters)
        if clear and room.dimension_lines.free(solid):
            room.words.take(letters)
            room.lines.take(solid, *thin)
            room.dimension_lines.take(solid)
            return items
    return _dimension_at(one, other, words, turn, places[-1][0] * places[-1][1])[0]


def _reach(one: Hole, other: Hole, turn: float, side: float, outline: Outline) -> float:
    """How far the part reaches beside the line of two holes, between them and a little beyond [m]."""
    ux, uy = math.cos(turn), math.sin(turn)
    ends = sorted((0.0, ux * (other.x - one.x) + uy * (other.y - one.y)))
    low, high = ends[0] - 6e-3, ends[1] + 6e-3
    reach = 0.0
    for edge in outline.edges:
        for start, end in itertools.pairwise(edge.points(math.pi / 32)):
            a, b = (ux * (x - one.x) + uy * (y - one.y) for x, y in (start, end))
            across = [side * (-uy * (x - one.x) + ux * (y - one.y)) for x, y in (start, end)]
            for limit in (low, high):
                if min(a, b) < limit < max(a, b):
                    share = (limit - a) / (b - a)
                    reach = max(reach, across[0] + share * (across[1] - across[0]))
            reach = max(reach, *(v for v, t in zip(across, (a, b), strict=True) if low <= t <= high), 0.0)
    return reach


def _dimension_at(
    one: Hole, other: Hole, words: str, turn: float, away: float
) -> tuple[list[Item], Text, Polygon, list[Polygon]]:
    """The dimension at a signed distance beside the holes, with the room its text and lines take."""
    side = math.copysign(1.0, away)
    away = abs(away)
    nx, ny = -math.sin(turn) * side, math.cos(turn) * side
    feet = [(h.x + nx * away, h.y + ny * away) for h in (one, other)]
    items: list[Item] = [Polyline((feet[0], feet[1]))]
    thin: list[Polygon] = []
    for hole, foot in ((one, feet[0]), (other, feet[1])):
        gap = 0.5 * hole.diameter + 1.5e-3
        start = (hole.x + nx * gap, hole.y + ny * gap)
        end = (foot[0] + nx * 2e-3, foot[1] + ny * 2e-3)
        items.append(Polyline((start, end), grey=0.45))
        thin.append((start, end))
    for tip, tail in (feet, feet[::-1]):
        items.append(_arrow(tip, tail))
    middle = (0.5 * (feet[0][0] + feet[1][0]), 0.5 * (feet[0][1] + feet[1][1]))
    up = 1.2e-3
    at = (middle[0] - math.sin(turn) * up, middle[1] + math.cos(turn) * up)
    text = Text(at, words, LETTER, angle=turn, anchor="middle")
    items.append(text)
    return items, text, strip(feet[0], feet[1], 1e-3), thin


def _arrow(tip: Point, tail: Point) -> Patch:
    run = math.dist(tip, tail)
    ux, uy = (tail[0] - tip[0]) / run, (tail[1] - tip[1]) / run
    length = min(_ARROW, 0.4 * run)
    back = (tip[0] + ux * length, tip[1] + uy * length)
    half = length / 6.0
    return Patch(
        (tip, (back[0] - uy * half, back[1] + ux * half), (back[0] + uy * half, back[1] - ux * half))
    )


def hole_label(hole: Hole, words: str, room: Sheetroom) -> list[Item]:
    """A hole's label beside it, with a leader line when it has to stand away."""
    radius = 0.5 * hole.diameter
    for away, heading in _around():
        reach = radius + away
        at = (hole.x + reach * math.cos(heading), hole.y + reach * math.sin(heading))
        anchor = "start" if math.cos(heading) >= 0.0 else "end"
        nudge = 1.5e-3 if anchor == "start" else -1.5e-3
        text = Text((at[0] + nudge, at[1] - 0.5 * LABEL), words, LABEL, anchor=anchor)
        edge = radius + 0.5e-3
        start = (hole.x + edge * math.cos(heading), hole.y + edge * math.sin(heading))
        if room.words.free((start, at)) and room.put_words(text):
            room.lines.take((start, at))
            return [Polyline((start, at)), text]
    return [Text((hole.x + radius + 2e-3, hole.y + radius + 2e-3), words, LABEL)]


def _around() -> Iterator[tuple[float, float]]:
    """Distances from the hole's edge [m] and headings [rad] to try, the nearest first."""
    slants = [45, 135, -45, -135, 30, 150, -30, -150, 60, 120, -60, -120]
    for away in (5e-3, 8e-3, 12e-3, 16e-3, 20e-3, 26e-3, 32e-3, 40e-3, 50e-3, 65e-3, 80e-3):
        for slant in slants:
            yield away, math.radians(slant)


def block_outline(room: Sheetroom, part: CutPart) -> None:
    """Keep words off the outline and the holes."""
    for edge in room.outline.edges:
        points = edge.points(math.pi / 16)
        room.lines.take(*itertools.pairwise(points))
    for hole in part.holes:
        room.words.take(ring((hole.x, hole.y), 0.5 * hole.diameter))


def _padded(item: Text, pad: float) -> Polygon:
    corners = text_box(item)
    c, s = math.cos(item.angle), math.sin(item.angle)
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return tuple(
        (x + pad * (i * c - j * s), y + pad * (i * s + j * c))
        for (x, y), (i, j) in zip(corners, signs, strict=True)
    )
