"""One page that finds a printer's error before a whole plot is wasted."""

from limbwright.outputs.drawing import Item, Patch, Polyline, Text, box
from limbwright.outputs.furniture import BAR, BAR_HEIGHT, check_bars, compensation_band
from limbwright.outputs.lettering import SPECIAL_GLYPHS, wrap_text
from limbwright.outputs.tiling import BAND
from limbwright.outputs.title_block import CAUTION

_SQUARE_RIM = 0.4e-3


def print_test_page(
    page: tuple[float, float], margin: float, paper_name: str, measured: float | None
) -> list[Item]:
    """Bars along and across the page, a 100 mm square, and what to do with the readings.

    Args:
        page: width and height as printed [m].
        margin: unprinted edge [m].
        paper_name: named on the page.
        measured: for a compensated test print [m].
    """
    left, top, width = margin, page[1] - margin, page[0] - 2.0 * margin
    items: list[Item] = [
        Text((left + 3e-3, top - 9e-3), f"Test print, {paper_name}", 6e-3, bold=True),
        Polyline(box(left, margin, left + width, top), closed=True, grey=0.6),
    ]
    y = top - 15e-3
    if measured is not None:
        items += compensation_band((left, y - BAND), width, measured)
        y -= BAND + 3e-3
    items += check_bars((left + 3e-3, y - 16e-3))
    y -= 24e-3
    items += _square((left + 20e-3, y - BAR))
    items += _upright_bar((left + 6e-3, y - BAR))
    words = [
        "Print at 100 % (actual size), never fitted to the page.",
        "Measure the bars, the upright bar and the square over their outer edges with a steel rule.",
        "All read 100.0 mm and 4.00 in: print the plots.",
        "Along and across agree but are not 100 mm: ask for a reprint compensated by that length.",
        "Along and across differ: the paper feed is off and no single factor mends it; use another printer.",
        "These signs must be readable:",
        CAUTION,
    ]
    y -= BAR + 8e-3
    for sentence in words:
        for line in wrap_text(sentence, 2.3e-3, width - 6e-3):
            items.append(Text((left + 3e-3, y), line, 2.3e-3))
            y -= 4.4e-3
        y -= 1.2e-3
        if sentence.endswith(":"):
            items.append(Text((left + 3e-3, y - 2e-3), SPECIAL_GLYPHS, 4e-3))
            y -= 9e-3
    return items


def _square(corner: tuple[float, float]) -> list[Item]:
    x, y = corner
    r = _SQUARE_RIM
    return [
        Patch(box(x, y, x + BAR, y + r)),
        Patch(box(x, y + BAR - r, x + BAR, y + BAR)),
        Patch(box(x, y, x + r, y + BAR)),
        Patch(box(x + BAR - r, y, x + BAR, y + BAR)),
        Text((x + 0.5 * BAR, y + 0.5 * BAR), "100 mm square", 4e-3, anchor="middle", bold=True),
        Text((x + 0.5 * BAR, y + 0.5 * BAR - 7e-3), "measure the outer edges", 2.6e-3, anchor="middle"),
    ]


def _upright_bar(corner: tuple[float, float]) -> list[Item]:
    x, y = corner
    r, right, top = _SQUARE_RIM, x + BAR_HEIGHT, y + BAR
    rim = [
        box(x, y, x + r, top),
        box(right - r, y, right, top),
        box(x, y, right, y + r),
        box(x, top - r, right, top),
    ]
    dark = [box(x, y + 0.01 * k, right, y + 0.01 * (k + 1)) for k in range(0, 10, 2)]
    words = Text((x - 1e-3, y + 0.5 * BAR), "100 mm", 2.3e-3, angle=1.5707963267948966, anchor="middle")
    return [*(Patch(points) for points in (*rim, *dark)), words]
