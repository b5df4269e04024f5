"""Which page carries which part of a drawing: pure geometry, no ink.

Pages form a grid, rows lettered from the top, columns numbered from the left. Neighbours share a strip
`overlap` wide: a sheet's right and lower strips are glued under the next sheets, whose left and upper
edges are trimmed. Each point of the drawing belongs to one cell, the window less its right and lower
strips; a cell without ink gets no page.
"""

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

from limbwright.core.errors import LimbwrightError
from limbwright.outputs.drawing import Drawing, skeleton_of
from limbwright.outputs.outline import Bounds, Point
from limbwright.outputs.paper import MAX_PAGE, Paper

OVERLAP: Final = 10e-3  # common practice, no source [m]
FOOTER: Final = 29e-3  # check bars and words below the window [m]
BAND: Final = 12e-3  # further height of the compensated reprint's band [m]
_BORDER: Final = 4e-3  # kept free around the drawing [m]
_TOO_MANY: Final = 2000


class Tile(NamedTuple):
    """One page: its place in the grid and its window's lower left corner in the drawing [m]."""

    row: int
    column: int
    x: float
    y: float

    @property
    def label(self) -> str:
        """Such as `B3`."""
        return f"{row_letters(self.row)}{self.column + 1}"


@dataclass(frozen=True)
class TilePlan:
    """The pages of one drawing on one paper; lengths are what they measure when printed [m].

    Args:
        page: width and height.
        margin: unprinted edge.
        window: width and height of the drawing's room on a page.
        footer: height of the strip below the window.
        grid: lower left x and upper y of the grid, in the drawing.
        columns: number of columns.
        rows: number of rows.
        tiles: the pages with ink, row by row.
    """

    page: tuple[float, float]
    margin: float
    window: tuple[float, float]
    footer: float
    grid: Point
    columns: int
    rows: int
    tiles: tuple[Tile, ...]

    @property
    def window_corner(self) -> Point:
        """Lower left corner of the window on the page [m]."""
        return self.margin, self.margin + self.footer

    def cell(self, row: int, column: int) -> Bounds:
        """What belongs to a cell, in the drawing [m]."""
        step_x, step_y = self.window[0] - OVERLAP, self.window[1] - OVERLAP
        left, top = self.grid[0] + column * step_x, self.grid[1] - row * step_y
        return left, top - step_y, left + step_x, top

    def has(self, row: int, column: int) -> bool:
        """Whether a page of the grid is printed."""
        return any((t.row, t.column) == (row, column) for t in self.tiles)


def row_letters(row: int) -> str:
    """A, B ... Z, AA, AB ..."""
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def plan_tiles(drawing: Drawing, paper: Paper, scale: float = 1.0) -> TilePlan:
    """Upright or lying pages, whichever are fewer (then smaller).

    Args:
        drawing: what to print.
        paper: sheet or roll.
        scale: enlargement of the whole page that makes up for a printer's error; the plan is in lengths
            as printed, so that pages count as paper / scale.

    Raises:
        LimbwrightError: when the drawing would need more than 2,000 pages.
    """
    plans = [_plan(drawing, size, paper.margin, scale) for size in _page_sizes(drawing, paper, scale)]
    return min(plans, key=lambda p: (len(p.tiles), round(p.page[0] * p.page[1], 9), p.page[0]))


def _page_sizes(drawing: Drawing, paper: Paper, scale: float) -> list[tuple[float, float]]:
    width = paper.width / scale
    if paper.height is not None:
        height = paper.height / scale
        return [(width, height), (height, width)] if width != height else [(width, height)]
    x0, y0, x1, y1 = drawing.bounds()
    spare = 2.0 * (paper.margin + _BORDER)
    foot = _footer(scale)
    longest = MAX_PAGE / scale
    upright = min(longest, max(0.2, y1 - y0 + spare + foot))
    lying = min(longest, max(0.25, x1 - x0 + spare))
    return [(width, upright), (lying, width)]


def _footer(scale: float) -> float:
    return FOOTER if scale == 1.0 else FOOTER + BAND


def _plan(drawing: Drawing, page: tuple[float, float], margin: float, scale: float) -> TilePlan:
    footer = _footer(scale)
    window = (page[0] - 2.0 * margin, page[1] - 2.0 * margin - footer)
    step = (window[0] - OVERLAP, window[1] - OVERLAP)
    x0, y0, x1, y1 = drawing.bounds()
    width, height = x1 - x0 + 2.0 * _BORDER, y1 - y0 + 2.0 * _BORDER
    columns = max(1, math.ceil((width - OVERLAP) / step[0] - 1e-9))
    rows = max(1, math.ceil((height - OVERLAP) / step[1] - 1e-9))
    if columns * rows > _TOO_MANY:
        raise LimbwrightError(
            f"{drawing.name}: {columns * rows} pages; use larger paper or a roll (at most {_TOO_MANY})"
        )
    spare = (columns * step[0] + OVERLAP - width, rows * step[1] + OVERLAP - height)
    grid = (x0 - _BORDER - 0.5 * spare[0], y1 + _BORDER + 0.5 * spare[1])
    tiles = tuple(
        Tile(r, c, grid[0] + c * step[0], grid[1] - r * step[1] - window[1])
        for r, c in sorted(_inked(drawing, grid, step, columns, rows))
    )
    return TilePlan(page, margin, window, footer, grid, columns, rows, tiles)


def _inked(
    drawing: Drawing, grid: Point, step: tuple[float, float], columns: int, rows: int
) -> set[tuple[int, int]]:
    """Rows and columns of the cells that hold ink; the last ones own their strips too."""
    found: set[tuple[int, int]] = set()
    for item in drawing.items:
        for start, end in skeleton_of(item, math.pi / 48):
            # Grid coordinates: column and row numbers as fractions, rows downwards.
            a = ((start[0] - grid[0]) / step[0], (grid[1] - start[1]) / step[1])
            b = ((end[0] - grid[0]) / step[0], (grid[1] - end[1]) / step[1])
            for column in _range(a[0], b[0], columns):
                for row in _range(a[1], b[1], rows):
                    if (row, column) not in found and _crosses(a, b, row, column, columns, rows):
                        found.add((row, column))
    return found


def _range(a: float, b: float, count: int) -> range:
    low, high = sorted((math.floor(a), math.floor(b)))
    return range(max(0, min(low, count - 1)), max(0, min(high, count - 1)) + 1)


def _crosses(a: Point, b: Point, row: int, column: int, columns: int, rows: int) -> bool:
    """Whether a segment meets a cell, in grid coordinates (Liang and Barsky's clipping)."""
    least, most = 0.0, 1.0
    last_x, last_y = column == columns - 1, row == rows - 1
    for start, run, low, high in (
        (a[0], b[0] - a[0], column, math.inf if last_x else column + 1 - 1e-9),
        (a[1], b[1] - a[1], row, math.inf if last_y else row + 1 - 1e-9),
    ):
        if run == 0.0:
            if not low <= start <= high:
                return False
            continue
        enter, leave = sorted(((low - start) / run, (high - start) / run))
        least, most = max(least, enter), min(most, leave)
    return least <= most
