"""The shipped lettering: DejaVu Sans, which has the fractions, degree and diameter signs.

The font files stand unchanged beside this module in `fonts/`, with their licence.
"""

from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont

FOLDER: Final = Path(__file__).parent / "fonts"
REGULAR: Final = "LimbwrightSans"
BOLD: Final = "LimbwrightSans-Bold"
FONT_FAMILY: Final = "DejaVu Sans"
CAP_HEIGHT: Final = 1493 / 2048  # height of the letter H by the em, both fonts
SPECIAL_GLYPHS: Final = "½ ¼ ¾ ⅛ ⅜ ⅝ ⅞ ° Ø ø ± × ′ ″ θ Δ ≤ ≥ →"


@cache
def font(bold: bool = False) -> "TTFont":
    """The font, read once and made known to the PDF library under its name."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    name = BOLD if bold else REGULAR
    face = TTFont(name, str(FOLDER / ("DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf")))
    pdfmetrics.registerFont(face)
    return face


def font_size(height: float) -> float:
    """Size of the em for capitals of the given height, in the height's unit."""
    return height / CAP_HEIGHT


@lru_cache(maxsize=16_384)
def text_width(text: str, height: float, *, bold: bool = False) -> float:
    """Width of a line of text whose capitals have the given height, in the height's unit."""
    return float(font(bold).stringWidth(text, font_size(height)))


def fit_text(text: str, height: float, width: float, *, bold: bool = False) -> tuple[str, float]:
    """The text and letter height that fit a width: smaller down to 60 %, then cut short with an ellipsis."""
    full = text_width(text, height, bold=bold)
    if full <= width:
        return text, height
    small = max(0.6 * height, height * width / full)
    while len(text) > 1 and text_width(text, small, bold=bold) > width:
        text = text[:-2].rstrip() + "…"
    return text, small


def wrap_text(text: str, height: float, width: float, *, bold: bool = False) -> list[str]:
    """Lines of at most a width, broken between words; a longer word gets a line of its own."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", height, bold=bold) <= width:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return lines


def plain_line(text: str) -> str:
    """One printable line: control characters and line breaks become spaces."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
