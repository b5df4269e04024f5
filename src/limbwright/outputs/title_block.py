"""Who, what, which revision: the facts every sheet carries, and the block that shows them.

Fields follow what ISO 7200 asks of a title block (owner, number, title, revision, date, approval,
sheet; from memory); the layout is our own.
"""

from dataclasses import dataclass
from typing import Final

from limbwright.core.units import System
from limbwright.outputs.drawing import Drawing, Item, Polyline, Text, box
from limbwright.outputs.lettering import fit_text, plain_line
from limbwright.outputs.outline import Point

CAUTION: Final = (
    "Estimate for planning by trained people, not a certificate. Check the bar before cutting. "
    "Verify by a staged test at ground level first."
)
MEASURE: Final = "Measure the outer edges of both bars before cutting."
BLOCK_WIDTH: Final = 180e-3  # ISO 5457's usual width (from memory)
BLOCK_HEIGHT: Final = 40e-3
UNIT_WORDS: Final[dict[System, str]] = {
    "mm": "mm",
    "in": "inches, decimal",
    "frac-in": "inches, fractions (what rounding left in mm)",
}


@dataclass(frozen=True)
class SheetInfo:
    """Facts that all sheets of one suit share.

    Args:
        suit: name of the suit.
        revision: of the suit file.
        units: how lengths are written out.
        date: as it shall be printed; None prints `undated`.
        denominator: finest fraction of an inch for `frac-in`: 2, 4, 8, 16, 32 or 64.
    """

    suit: str
    revision: str
    units: System = "mm"
    date: str | None = None
    denominator: int = 64

    @property
    def dated(self) -> str:
        """The date, or `undated`."""
        return self.date or "undated"


def title_block(
    drawing: Drawing, info: SheetInfo, corner: Point, sheet: str, *, scale: str = "1:1"
) -> list[Item]:
    """The block, 180 mm wide and 40 mm high, its lower right corner at `corner` [m].

    Args:
        drawing: what the sheet shows.
        info: the suit's facts.
        corner: lower right corner [m].
        sheet: such as `3 of 11`.
        scale: as printed.
    """
    x, y = corner[0] - BLOCK_WIDTH, corner[1]
    facts = dict(drawing.facts)
    cells = [
        (0, 26, 110, 14, "Suit", info.suit),
        (110, 26, 40, 14, "Revision", info.revision),
        (150, 26, 30, 14, "Date", info.dated),
        (0, 13, 110, 13, "Part", drawing.title),
        (110, 13, 40, 13, "Scale", scale),
        (150, 13, 30, 13, "Sheet", sheet),
        (0, 0, 60, 13, "Material, section", facts.get("material", "-")),
        (60, 0, 50, 13, "Datum", drawing.datum or "-"),
        (110, 0, 18, 13, "Units", {"mm": "mm"}.get(info.units, "inch")),
        (128, 0, 22, 13, "Run", drawing.digest()),
        (150, 0, 30, 13, "Accepted by", ""),
    ]
    items: list[Item] = [Polyline(box(x, y, x + BLOCK_WIDTH, y + BLOCK_HEIGHT), pen="cut", closed=True)]
    for left, low, width, height, field, value in cells:
        x0, y0 = x + left * 1e-3, y + low * 1e-3
        x1, y1 = x0 + width * 1e-3, y0 + height * 1e-3
        items.append(Polyline(box(x0, y0, x1, y1), closed=True))
        items.append(Text((x0 + 1.5e-3, y1 - 3.2e-3), field, 1.7e-3, grey=0.35))
        large = {"Suit": 3.5e-3, "Part": 3.5e-3, "Run": 2.4e-3}.get(field, 2.8e-3)
        text, letter = fit_text(plain_line(value), large, width * 1e-3 - 3e-3, bold=large > 3e-3)
        items.append(Text((x0 + 1.5e-3, y0 + 3.2e-3), text, letter, bold=large > 3e-3))
    return items
