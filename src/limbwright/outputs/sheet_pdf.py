"""PDF plots at true scale: one large page, tiles with a map, and the test print."""

from typing import Final

from limbwright.core.errors import LimbwrightError
from limbwright.outputs.drawing import Drawing, Item, Polyline, Text, box
from limbwright.outputs.furniture import check_bars, compensation_band, footer, joining_marks
from limbwright.outputs.lettering import wrap_text
from limbwright.outputs.map_page import map_page
from limbwright.outputs.outline import Bounds
from limbwright.outputs.paper import MAX_PAGE, SINGLE, Paper, find_paper
from limbwright.outputs.pdf_pages import PdfPages
from limbwright.outputs.tiling import BAND, TilePlan, plan_tiles, row_letters
from limbwright.outputs.title_block import BLOCK_HEIGHT, BLOCK_WIDTH, CAUTION, SheetInfo, title_block
from limbwright.outputs.trial_print import print_test_page

_FRAME: Final = (20e-3, 10e-3)  # left and other borders of a single sheet: ISO 5457, from memory [m]
_LEAST_WIDTH: Final = BLOCK_WIDTH + 135e-3
_BLEED: Final = 1e-3  # drawn beyond the window's trimmed edges so that no line is halved [m]


def scale_for(measured: float | None) -> float:
    """Enlargement that makes a bar printed `measured` long come out 100 mm long; 1 without one.

    Raises:
        LimbwrightError: a length that no working printer makes of 100 mm.
    """
    if measured is None:
        return 1.0
    if not 0.08 <= measured <= 0.12:
        raise LimbwrightError(
            f"measured {measured * 1e3:g} mm: the 100 mm bar can only measure 80 to 120 mm; "
            "measure the bar's outer edges, and print at 100 %"
        )
    return 0.1 / measured


def pdf_sheets(
    drawing: Drawing, info: SheetInfo, paper: str = SINGLE, measured: float | None = None
) -> bytes:
    """One drawing as a PDF: a single page, or a map page and tiles.

    Args:
        drawing: what to print.
        info: the suit's facts.
        paper: `single`, a paper such as `A4`, or a roll such as `roll 914 mm`. A single page that would
            be over 5 m is split into pages of 5 m: viewers stop at 5.08 m, and printers that do not know
            the larger unit for it would print at the wrong scale.
        measured: what the 100 mm bar measured when printed, for a compensated reprint [m].

    Raises:
        LimbwrightError: unknown paper, or a measured length that makes no sense.
    """
    scale = scale_for(measured)
    if paper != SINGLE:
        return _tiled(drawing, info, find_paper(paper), measured, scale)
    width, height = _single_size(drawing, measured)
    if max(width, height) * scale <= MAX_PAGE:
        return _single(drawing, info, measured, scale)
    sheet = Paper("large sheets", min(width * scale, MAX_PAGE), min(height * scale, MAX_PAGE))
    return _tiled(drawing, info, sheet, measured, scale)


def pdf_test_print(paper: str, measured: float | None = None) -> bytes:
    """The one-page test print for a paper (A4 for a single page)."""
    scale = scale_for(measured)
    known = find_paper("A4" if paper == SINGLE else paper)
    size = (known.width / scale, (known.height or 0.297) / scale)
    pdf = PdfPages("Test print", scale)
    pdf.page(*size)
    pdf.draw(print_test_page(size, known.margin, known.name, measured))
    pdf.end_page()
    return pdf.to_bytes()


def _tiled(drawing: Drawing, info: SheetInfo, paper: Paper, measured: float | None, scale: float) -> bytes:
    plan = plan_tiles(drawing, paper, scale)
    pages = len(plan.tiles) + 1
    pdf = PdfPages(f"{info.suit}: {drawing.title}", scale)
    pdf.stencil("drawing", drawing.items, drawing.bounds())
    overview = map_page(drawing, plan, info, paper.name, measured)
    for layers, name, pen in ((("TEXT",), "map-text", 0.12e-3), (("CUT", "MARK"), "map", 0.35e-3)):
        seen = [i for i in drawing.items if i.layer in layers and not isinstance(i, Text)]
        pdf.stencil(name, seen, drawing.bounds(), pen / overview.scale)
    pdf.page(*overview.size)
    pdf.draw(overview.items)
    for name in ("map-text", "map"):
        pdf.place(name, overview.at, overview.scale, (0.0, 0.0, *overview.size))
    pdf.end_page()
    for number, tile in enumerate(plan.tiles, start=2):
        where = f"row {row_letters(tile.row)}, column {tile.column + 1}, page {number} of {pages}"
        pdf.page(*plan.page)
        pdf.draw(joining_marks(plan, tile))
        corner = plan.window_corner
        pdf.place("drawing", (corner[0] - tile.x, corner[1] - tile.y), 1.0, _window(plan))
        foot = (plan.margin, plan.margin)
        pdf.draw(footer(plan.window[0], foot, drawing, info, tile.label, where, measured))
        pdf.end_page()
    return pdf.to_bytes()


def _window(plan: TilePlan) -> Bounds:
    """The window on the page, with the bleed beyond its left and upper edges."""
    left, low = plan.window_corner
    return left - _BLEED, low, left + plan.window[0], low + plan.window[1] + _BLEED


def _single_size(drawing: Drawing, measured: float | None) -> tuple[float, float]:
    x0, y0, x1, y1 = drawing.bounds()
    width = max(x1 - x0 + 20e-3, _LEAST_WIDTH) + _FRAME[0] + _FRAME[1]
    return width, y1 - y0 + 20e-3 + 2.0 * _FRAME[1] + _foot(measured)


def _foot(measured: float | None) -> float:
    return BLOCK_HEIGHT + 4e-3 + (BAND if measured is not None else 0.0)


def _single(drawing: Drawing, info: SheetInfo, measured: float | None, scale: float) -> bytes:
    """The whole drawing in a frame, title block lower right, check bars lower left."""
    width, height = _single_size(drawing, measured)
    left, low = _FRAME
    right, top = width - _FRAME[1], height - _FRAME[1]
    items: list[Item] = [
        Polyline(box(left, low, right, top), pen="cut", closed=True),
        *title_block(drawing, info, (right, low), "1 of 1"),
        *check_bars((left + 5e-3, low + 16e-3)),
    ]
    for k, line in enumerate(wrap_text(CAUTION, 1.8e-3, right - left - BLOCK_WIDTH - 10e-3)):
        items.append(Text((left + 5e-3, low + 10e-3 - 3.2e-3 * k), line, 1.8e-3))
    if measured is not None:
        items += compensation_band((left + 2e-3, low + BLOCK_HEIGHT + 2e-3), right - left - 4e-3, measured)
    x0, y0, x1, y1 = drawing.bounds()
    at = (
        0.5 * (left + right) - 0.5 * (x0 + x1),
        0.5 * (low + _foot(measured) + top) - 0.5 * (y0 + y1),
    )
    pdf = PdfPages(f"{info.suit}: {drawing.title}", scale)
    pdf.stencil("drawing", drawing.items, drawing.bounds())
    pdf.page(width, height)
    pdf.draw(items)
    pdf.place("drawing", at, 1.0, (0.0, 0.0, width, height))
    pdf.end_page()
    return pdf.to_bytes()
