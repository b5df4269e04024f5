"""One flat part at full scale: outline, holes, centre lines, dimensions, name and notes."""

import math
from typing import Final

from limbwright.model.cut_part import CutPart, Hole
from limbwright.outputs.drawing import Circle, Drawing, Item, Polyline, Shape, Text, bounds_of, text_box
from limbwright.outputs.lettering import plain_line, wrap_text
from limbwright.outputs.outline import Outline, Point, hull_of_circles
from limbwright.outputs.part_dimensions import (
    LABEL,
    Sheetroom,
    block_outline,
    dimension,
    dimensioned_pairs,
    hole_label,
    hole_words,
    length_words,
    readable,
)
from limbwright.outputs.placement import Room, ring
from limbwright.outputs.title_block import SheetInfo

_NAME_HEIGHTS: Final = (7e-3, 5e-3, 4e-3, 3.5e-3, 3e-3, 2.5e-3, 2e-3)
_LINE: Final = 5.5e-3  # between lines of notes [m]
_NOTE_WIDTH: Final = 150e-3


def part_drawing(part: CutPart, info: SheetInfo) -> Drawing:
    """Everything the shop needs to cut one part, in the part's own coordinates [m].

    Holes are true circles on CUT with a cross on MARK; the name is inside the outline on MARK, with
    the side; the datum hole wears a second ring. Dimensions, labels and notes are on TEXT.
    """
    outline = hull_of_circles(part.circles)
    items: list[Item] = [Shape(outline)]
    for hole in part.holes:
        items += _hole(hole, outline, datum=hole.label == part.datum)
    name = _name_inside(part, outline)
    items += _axis(part, outline, name)
    room = Sheetroom(outline)
    block_outline(room, part)
    if name is not None:
        items.append(name)
        room.words.take(text_box(name))
    for one, other in dimensioned_pairs(part):
        items += dimension(one, other, room, info)
    for hole in part.holes:
        items += hole_label(hole, plain_line(hole_words(hole, part, info)), room)
    left, low, _, _ = bounds_of(items)
    items += _notes(part, info, (left, low - 12e-3))
    return Drawing(
        name=_full_name(part),
        title=f"{_full_name(part)}{' (mirror image)' if part.mirrored else ''}",
        items=tuple(items),
        datum=f"centre of hole {part.datum}",
        facts=(("material", plain_line(f"{part.material}, {part.section}")),),
    )


def _full_name(part: CutPart) -> str:
    sides = "right and left" if part.side == "both" else part.side
    return plain_line(f"{sides} {part.limb} {part.name}")


def side_words(part: CutPart) -> str:
    """The left / right / mirror mark in words."""
    if part.side == "both":
        return "RIGHT and LEFT alike: turn over for the other side"
    if part.mirrored:
        return f"{part.side.upper()}: MIRROR IMAGE of the {'left' if part.side == 'right' else 'right'} part"
    return f"{part.side.upper()} side"


def _hole(hole: Hole, outline: Outline, *, datum: bool) -> list[Item]:
    """Circle, centre cross, and the datum's ring; the cross stays on the part."""
    at, radius = (hole.x, hole.y), 0.5 * hole.diameter
    wall = outline.depth(at) - radius
    reach = radius + max(0.0, min(3e-3, 0.7 * wall))
    items: list[Item] = [
        Circle(at, radius),
        Polyline(((hole.x - reach, hole.y), (hole.x + reach, hole.y)), layer="MARK"),
        Polyline(((hole.x, hole.y - reach), (hole.x, hole.y + reach)), layer="MARK"),
    ]
    if datum:
        ring_gap = max(0.3e-3, min(1.5e-3, 0.5 * wall))
        items.append(Circle(at, radius + ring_gap, layer="MARK", pen="thin"))
    return items


def _ends(part: CutPart) -> tuple[Hole, Hole] | None:
    """The two holes farthest apart: the part's long axis."""
    pairs = [
        (math.dist((a.x, a.y), (b.x, b.y)), a, b)
        for i, a in enumerate(part.holes)
        for b in part.holes[i + 1 :]
    ]
    if not pairs:
        return None
    _, first, last = max(pairs, key=lambda p: p[0])
    return first, last


def _axis(part: CutPart, outline: Outline, name: Text | None) -> list[Item]:
    """The chain line through the two farthest holes, left open where the name stands on it."""
    ends = _ends(part)
    if ends is None:
        return []
    one, other = ends
    run = math.dist((one.x, one.y), (other.x, other.y))
    ux, uy = (other.x - one.x) / run, (other.y - one.y) / run
    along = [ux * (x - one.x) + uy * (y - one.y) for e in outline.edges for x, y in e.points(math.pi / 32)]
    stretches = [(min(along) - 6e-3, max(along) + 6e-3)]
    if name is not None:
        corners = text_box(name)
        across = [-uy * (x - one.x) + ux * (y - one.y) for x, y in corners]
        if min(across) < 1e-3 and max(across) > -1e-3:
            spans = [ux * (x - one.x) + uy * (y - one.y) for x, y in corners]
            stretches = [(stretches[0][0], min(spans) - 2e-3), (max(spans) + 2e-3, stretches[0][1])]
    return [
        Polyline(((one.x + ux * a, one.y + uy * a), (one.x + ux * b, one.y + uy * b)), pen="centre")
        for a, b in stretches
        if b > a
    ]


def _name_inside(part: CutPart, outline: Outline) -> Text | None:
    """The name with its side as large as fits inside the outline clear of the holes; None if nowhere."""
    mark = {"right": " RIGHT", "left": " LEFT", "both": ""}[part.side]
    mirror = " (mirrored)" if part.mirrored else ""
    holes = Room()
    holes.take(*(ring((h.x, h.y), 0.5 * h.diameter + 4.5e-3) for h in part.holes))
    for words in (f"{part.name}{mark}{mirror}", f"{part.name}{mark}", part.name):
        for height in _NAME_HEIGHTS:
            for at, angle in _name_places(part, outline):
                base = (at[0] + 0.5 * height * math.sin(angle), at[1] - 0.5 * height * math.cos(angle))
                text = Text(base, plain_line(words), height, angle, "middle", layer="MARK")
                corners = text_box(text)
                if min(outline.depth(p) for p in corners) >= 1.5e-3 and holes.free(corners):
                    return text
    return None


def _name_places(part: CutPart, outline: Outline) -> list[tuple[Point, float]]:
    """Where a name may be centred, and its baseline's angle: the long axis first, then the middle."""
    places: list[tuple[Point, float]] = []
    pairs = [(a, b) for i, a in enumerate(part.holes) for b in part.holes[i + 1 :]]
    pairs.sort(key=lambda p: -math.dist((p[0].x, p[0].y), (p[1].x, p[1].y)))
    for one, other in pairs:
        angle = readable(math.atan2(other.y - one.y, other.x - one.x))
        for share in (0.5, 0.42, 0.58, 0.34, 0.66, 0.25, 0.75):
            places.append(((one.x + share * (other.x - one.x), one.y + share * (other.y - one.y)), angle))
    x0, y0, x1, y1 = outline.bounds()
    centre = (0.5 * (x0 + x1), 0.5 * (y0 + y1))
    places += [(centre, 0.0), (centre, 0.5 * math.pi)]
    if part.holes:
        mean = (
            sum(h.x for h in part.holes) / len(part.holes),
            sum(h.y for h in part.holes) / len(part.holes),
        )
        places.append((mean, 0.0))
    return places


def _notes(part: CutPart, info: SheetInfo, corner: Point) -> list[Item]:
    """Words and the table of holes, from the upper left corner downwards."""
    units = {
        "mm": "mm",
        "in": "decimal inches",
        "frac-in": "inches (in brackets what the fraction leaves)",
    }
    lines = [
        f"{side_words(part)}. Seen from the outer face. Cut {part.quantity}.",
        f"Material {part.material}. Section {part.section}. Layer {length_words(part.layer, info)}.",
        f"Full scale 1:1. Dimensions in {units[info.units]}. Datum: hole {part.datum} (double ring).",
        *part.notes,
    ]
    items: list[Item] = [Text(corner, _full_name(part), 5e-3, bold=True)]
    y = corner[1] - 1.4 * _LINE
    for line in lines:
        for piece in wrap_text(plain_line(line), LABEL, _NOTE_WIDTH):
            items.append(Text((corner[0], y), piece, LABEL))
            y -= _LINE
    return items + _hole_table(part, info, (corner[0], y - 0.4 * _LINE))


def _hole_table(part: CutPart, info: SheetInfo, corner: Point) -> list[Item]:
    datum = part.datum_hole
    rows: list[tuple[str, ...]] = [("hole", "Ø", "x from datum", "y from datum")]
    for hole in part.holes:
        lengths = (hole.diameter, hole.x - datum.x, hole.y - datum.y)
        rows.append((plain_line(hole.label), *(length_words(v, info) for v in lengths)))
    wide = info.units == "frac-in"
    columns = (0.0, 0.032, 0.085, 0.145) if wide else (0.0, 0.032, 0.062, 0.1)
    items: list[Item] = []
    for k, row in enumerate(rows):
        y = corner[1] - k * _LINE
        for x, words in zip(columns, row, strict=True):
            items.append(Text((corner[0] + x, y), words, LABEL, bold=k == 0))
    return items
