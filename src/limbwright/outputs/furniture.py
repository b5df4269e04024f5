"""What every page carries beside the drawing: check bars, the words at its foot, marks for joining."""

from typing import Final

from limbwright.outputs.drawing import Drawing, Item, Patch, Polyline, Text, box
from limbwright.outputs.lettering import fit_text, plain_line, text_width, wrap_text
from limbwright.outputs.outline import Point
from limbwright.outputs.tiling import BAND, OVERLAP, Tile, TilePlan, row_letters
from limbwright.outputs.title_block import CAUTION, MEASURE, UNIT_WORDS, SheetInfo

BAR: Final = 100e-3
INCH_BAR: Final = 4 * 25.4e-3
BAR_HEIGHT: Final = 3.5e-3
_MARK: Final = 0.55  # grey of the joining marks, lighter than any drawn line
_BARS_ROOM: Final = 122e-3  # bars with their names [m]


def check_bar(corner: Point, length: float, pieces: int, name: str) -> list[Item]:
    """A bar of alternating pieces whose outer edges are `length` apart; nothing sticks out.

    Args:
        corner: lower left corner [m].
        length: between the outer edges [m].
        pieces: how many pieces, dark ones and light ones.
        name: written at its right end.
    """
    x, y = corner
    rim = 0.4e-3
    items: list[Item] = [
        Patch(box(x, y, x + length, y + rim)),
        Patch(box(x, y + BAR_HEIGHT - rim, x + length, y + BAR_HEIGHT)),
        Patch(box(x, y, x + rim, y + BAR_HEIGHT)),
        Patch(box(x + length - rim, y, x + length, y + BAR_HEIGHT)),
    ]
    step = length / pieces
    items += [Patch(box(x + k * step, y, x + (k + 1) * step, y + BAR_HEIGHT)) for k in range(0, pieces, 2)]
    items.append(Text((x + length + 2e-3, y + 0.6e-3), name, 2.3e-3, bold=True))
    return items


def check_bars(corner: Point) -> list[Item]:
    """The 100 mm bar above the 4 in bar, and how to measure them; 16 mm high."""
    x, y = corner
    return [
        *check_bar((x, y), INCH_BAR, 8, "4 in"),
        *check_bar((x, y + 6.5e-3), BAR, 10, "100 mm"),
        Text((x, y + 12.2e-3), MEASURE, 2.1e-3),
    ]


def compensation_words(measured: float) -> tuple[str, str]:
    """What a compensated reprint says on every page: loud, then in full."""
    return (
        f"COMPENSATED REPRINT × {0.1 / measured:.5f}",
        f"Only for the printer whose 100 mm bar measured {measured * 1e3:.6g} mm. It must read 100 mm now.",
    )


def compensation_band(corner: Point, width: float, measured: float) -> list[Item]:
    """A black band with those words in white."""
    x, y = corner
    items: list[Item] = [Patch(box(x, y, x + width, y + BAND - 1.5e-3))]
    for words, up, height in zip(
        compensation_words(measured), (5.3e-3, 1.5e-3), (3.2e-3, 2.3e-3), strict=True
    ):
        text, letter = fit_text(words, height, width - 6e-3, bold=True)
        items.append(Text((x + 3e-3, y + up), text, letter, bold=True, grey=1.0))
    return items


def footer(
    width: float,
    corner: Point,
    drawing: Drawing,
    info: SheetInfo,
    label: str,
    where: str,
    measured: float | None,
) -> list[Item]:
    """Everything below the window of one page.

    Args:
        width: of the printed room [m].
        corner: its lower left [m].
        drawing: what is shown.
        info: the suit's facts.
        label: large, such as `B3`.
        where: such as `row B, column 3, page 4 of 11`.
        measured: length of the 100 mm bar as printed before, for a compensated reprint [m].
    """
    x, y = corner
    items: list[Item] = []
    scale = "small picture" if label == "MAP" else "scale 1:1"
    lines = wrap_text(CAUTION, 1.7e-3, width)[:2]
    items += [
        Text((x, y + 0.7e-3 + 2.8e-3 * (len(lines) - 1 - k)), line, 1.7e-3) for k, line in enumerate(lines)
    ]
    items += check_bars((x, y + 7.5e-3))
    right = x + width
    items.append(Text((right, y + 17e-3), label, 7e-3, anchor="end", bold=True))
    room = width - _BARS_ROOM
    beside = room - text_width(label, 7e-3, bold=True) - 4e-3
    rows = [
        (20.5e-3, info.suit, 2.8e-3, True, beside),
        (16.5e-3, drawing.title, 2.4e-3, False, beside),
        (12e-3, where, 2.4e-3, False, room),
        (8e-3, f"Revision {info.revision}, {info.dated}, {_units(info)}, {scale}", 2.1e-3, False, room),
    ]
    for up, words, height, bold, space in rows:
        text, letter = fit_text(plain_line(words), height, space, bold=bold)
        items.append(Text((x + _BARS_ROOM, y + up), text, letter, bold=bold))
    if measured is not None:
        items += compensation_band((x, y + 26.5e-3), width, measured)
    return items


def _units(info: SheetInfo) -> str:
    return UNIT_WORDS[info.units].split(",")[0]


def joining_marks(plan: TilePlan, tile: Tile) -> list[Item]:
    """Window border, seams, corner crosses, trim and glue words of one page."""
    left, low = plan.window_corner
    right, top = left + plan.window[0], low + plan.window[1]
    items: list[Item] = [Polyline(box(left, low, right, top), closed=True, grey=_MARK)]
    row, column = tile.row, tile.column
    seam_x, seam_y = right - OVERLAP, low + OVERLAP
    if plan.has(row, column + 1):
        items.append(Polyline(((seam_x, low), (seam_x, top)), pen="dashed", grey=_MARK))
        words = f"GLUE SIDE: sheet {row_letters(row)}{column + 2} lies on this strip"
        items += _along(words, (right - 3.4e-3, 0.5 * (low + top)), top - low, upright=True)
    if plan.has(row + 1, column):
        items.append(Polyline(((left, seam_y), (right, seam_y)), pen="dashed", grey=_MARK))
        words = f"GLUE SIDE: sheet {row_letters(row + 1)}{column + 1} lies on this strip"
        items += _along(words, (0.5 * (left + right), low + 3.4e-3), right - left, upright=False)
    if plan.has(row, column - 1):
        words = "TRIM along this line"
        items += _along(words, (left + 3e-3, low + 0.25 * (top - low)), top - low, upright=True)
    if plan.has(row - 1, column):
        items += _along("TRIM along this line", (left + 0.25 * (right - left), top - 4e-3), right - left)
    for x in (left, seam_x):
        for y in (seam_y, top):
            items += _corner(x, y, (left, low, right, top))
    return items


def _corner(x: float, y: float, window: tuple[float, float, float, float]) -> list[Item]:
    """A cross at a corner of the cell, kept inside the window: it falls on the neighbours' crosses."""
    reach = 6e-3
    left, low, right, top = window
    return [
        Polyline(((max(left, x - reach), y), (min(right, x + reach), y)), pen="cut", grey=_MARK),
        Polyline(((x, max(low, y - reach)), (x, min(top, y + reach))), pen="cut", grey=_MARK),
    ]


def _along(words: str, at: Point, room: float, *, upright: bool = False) -> list[Item]:
    text, letter = fit_text(words, 2.2e-3, room - 4e-3)
    angle = 1.5707963267948966 if upright else 0.0
    return [Text(at, text, letter, angle=angle, anchor="middle", grey=_MARK)]
