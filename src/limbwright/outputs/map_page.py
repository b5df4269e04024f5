"""The first page of a tiled plot: which sheet goes where, and how to join them."""

from typing import Final, NamedTuple

from limbwright.outputs.drawing import Drawing, Item, Patch, Polyline, Text, box
from limbwright.outputs.furniture import footer
from limbwright.outputs.lettering import fit_text, plain_line, text_width, wrap_text
from limbwright.outputs.outline import Bounds, Point
from limbwright.outputs.tiling import TilePlan
from limbwright.outputs.title_block import BLOCK_HEIGHT, BLOCK_WIDTH, SheetInfo, title_block

_LEGEND: Final = "Small picture, not to scale. Crossed sheets are empty and left out."
_LARGE: Final = 1.2  # pages up to this long keep their size for the map [m]
_HEAD: Final = 13e-3
_STEPS: Final = (
    "1. Print this file at 100 % (actual size), never fitted to the page, one-sided.",
    "2. On every sheet measure both bars over their outer edges: 100.0 mm and 4.00 in (101.6 mm).",
    "3. Trim the left and upper edges where the sheet says TRIM.",
    "4. Glue each sheet onto the GLUE SIDE strip of the sheet to its left or above: crosses on crosses.",
    "5. Before cutting, measure one long distance across the seams against its dimension.",
)


class MapPage(NamedTuple):
    """The page's items [m] and where the small copy of the drawing goes.

    Args:
        size: width and height of the page [m].
        items: everything but the drawing.
        at: where the drawing's origin falls on the page [m].
        scale: page length by drawing length.
    """

    size: tuple[float, float]
    items: list[Item]
    at: Point
    scale: float


def map_page(
    drawing: Drawing, plan: TilePlan, info: SheetInfo, paper_name: str, measured: float | None
) -> MapPage:
    """The overview page of a plan; sheets without ink are crossed out and not printed."""
    pages = len(plan.tiles) + 1
    size = _page_size(plan)
    left, low = plan.margin, plan.margin + plan.footer
    right, top = size[0] - plan.margin, size[1] - plan.margin
    corner, where = (plan.margin, plan.margin), f"map, page 1 of {pages}, {paper_name}"
    items = footer(right - left, corner, drawing, info, "MAP", where, measured)
    y = low + 2e-3
    if right - left >= BLOCK_WIDTH:
        items += title_block(drawing, info, (right, y), f"1 of {pages}", scale="map: none")
        y += BLOCK_HEIGHT + 5e-3
    steps, y = _steps(left, y, right - left)
    items += steps
    head = f"Map of {len(plan.tiles)} sheet{'s' if len(plan.tiles) > 1 else ''}: {drawing.title}"
    text, letter = fit_text(plain_line(head), 4e-3, right - left, bold=True)
    items.append(Text((left, top - 5e-3), text, letter, bold=True))
    items.append(Text((left, top - 10e-3), _LEGEND, 2.3e-3))
    room = (left, y + 3e-3, right, top - _HEAD)
    at, scale = _fit(plan, room)
    return MapPage(size, items + _cells(plan, at, scale), at, scale)


def _page_size(plan: TilePlan) -> tuple[float, float]:
    """The plan's page, cut down where a roll would spend metres on a small picture [m]."""
    width, height = plan.page
    if max(width, height) <= _LARGE:
        return plan.page
    return (width, min(height, 0.45)) if width <= height else (min(width, 0.6), height)


def _steps(left: float, low: float, width: float) -> tuple[list[Item], float]:
    lines = [line for step in _STEPS for line in wrap_text(step, 2.2e-3, width)]
    count = len(lines)
    items: list[Item] = [
        Text((left, low + 4.2e-3 * (count - 1 - k)), line, 2.2e-3) for k, line in enumerate(lines)
    ]
    return items, low + 4.2e-3 * count


def _grid(plan: TilePlan) -> Bounds:
    first, last = plan.cell(0, 0), plan.cell(plan.rows - 1, plan.columns - 1)
    return first[0], last[1], last[2], first[3]


def _fit(plan: TilePlan, room: Bounds) -> tuple[Point, float]:
    """Scale and place of the grid, centred in a room on the page."""
    x0, y0, x1, y1 = _grid(plan)
    scale = min((room[2] - room[0]) / (x1 - x0), (room[3] - room[1]) / (y1 - y0), 1.0)
    at_x = 0.5 * (room[0] + room[2]) - scale * 0.5 * (x0 + x1)
    at_y = 0.5 * (room[1] + room[3]) - scale * 0.5 * (y0 + y1)
    return (at_x, at_y), scale


def _cells(plan: TilePlan, at: Point, scale: float) -> list[Item]:
    """The grid with its labels; empty cells greyed and crossed."""
    items: list[Item] = []
    x0, y0, x1, y1 = (scale * edge for edge in plan.cell(0, 0))
    widest = max(text_width(tile.label, 1.0, bold=True) for tile in plan.tiles)
    letter = min(5e-3, 0.35 * (y1 - y0), 0.8 * (x1 - x0) / widest)
    printed = {(tile.row, tile.column): tile.label for tile in plan.tiles}
    for row in range(plan.rows):
        for column in range(plan.columns):
            x0, y0, x1, y1 = plan.cell(row, column)
            x0, x1 = at[0] + scale * x0, at[0] + scale * x1
            y0, y1 = at[1] + scale * y0, at[1] + scale * y1
            label = printed.get((row, column))
            if label is None:
                items.append(Patch(box(x0, y0, x1, y1), grey=0.92))
                items.append(Polyline(((x0, y0), (x1, y1)), grey=0.6))
                items.append(Polyline(((x0, y1), (x1, y0)), grey=0.6))
            else:
                at_corner = (x0 + 0.3 * letter, y1 - 1.3 * letter)
                items.append(Text(at_corner, label, letter, bold=True, grey=0.5))
            items.append(Polyline(box(x0, y0, x1, y1), closed=True, grey=0.4))
    return items
