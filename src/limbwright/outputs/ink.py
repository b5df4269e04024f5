"""Coloured line drawings for reading, as SVG and as PNG from one display list.

Everything is in millimetres on the page, x right and y down. Curves come as points, so both writers
show the same thing; words are set in the shipped lettering at its measured width.
"""

import io
import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Final, Literal

from limbwright.outputs.lettering import FOLDER, FONT_FAMILY, font_size, plain_line, text_width

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

Spot = tuple[float, float]
Anchor = Literal["start", "middle", "end"]
WHITE: Final = "#ffffff"
_SMOOTH: Final = 3  # pixels drawn for each pixel kept, along and across


@dataclass(frozen=True)
class Stroke:
    """A line through points; `dash` is on, off, ... [mm]."""

    points: tuple[Spot, ...]
    colour: str
    width: float
    dash: tuple[float, ...] = ()


@dataclass(frozen=True)
class Area:
    """A filled outline, with an edge where it has a width [mm]."""

    points: tuple[Spot, ...]
    fill: str
    edge: str = ""
    width: float = 0.0


@dataclass(frozen=True)
class Disc:
    """A filled circle with an edge [mm]."""

    centre: Spot
    radius: float
    fill: str
    edge: str = ""
    width: float = 0.0


@dataclass(frozen=True)
class Words:
    """A line of text; `height` is a capital's [mm]. A halo clears what lies under it."""

    at: Spot
    text: str
    height: float
    colour: str = "#000000"
    anchor: Anchor = "start"
    bold: bool = False
    halo: bool = False


Ink = Stroke | Area | Disc | Words


@dataclass(frozen=True)
class Page:
    """A page of ink, drawn in order on white; size in mm."""

    width: float
    height: float
    title: str
    ink: tuple[Ink, ...]

    def svg(self) -> str:
        """The page as SVG text, in true millimetres."""
        body = "\n".join(_svg_item(item) for item in self.ink)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(self.width)}mm" '
            f'height="{_n(self.height)}mm" viewBox="0 0 {_n(self.width)} {_n(self.height)}" '
            f'font-family="{FONT_FAMILY}, Verdana, Helvetica, Arial, sans-serif" '
            'stroke-linecap="round" stroke-linejoin="round">\n'
            f"<title>{escape(plain_line(self.title))}</title>\n"
            f'<rect width="{_n(self.width)}" height="{_n(self.height)}" fill="{WHITE}"/>\n{body}\n</svg>\n'
        )

    def png(self, dots_per_inch: int = 110) -> bytes:
        """The page as PNG bytes; the same page gives the same bytes."""
        from PIL import Image, ImageDraw

        scale = dots_per_inch / 25.4 * _SMOOTH
        size = (round(self.width * scale), round(self.height * scale))
        picture = Image.new("RGB", size, WHITE)
        draw = ImageDraw.Draw(picture)
        for item in self.ink:
            _png_item(draw, item, scale)
        file = io.BytesIO()
        picture.reduce(_SMOOTH).save(file, "PNG", dpi=(dots_per_inch, dots_per_inch))
        return file.getvalue()


def dashes(points: Sequence[Spot], pattern: Sequence[float]) -> list[tuple[Spot, ...]]:
    """The drawn pieces of a dashed line; the pattern runs on round corners [mm]."""
    pieces: list[tuple[Spot, ...]] = []
    current: list[Spot] = [points[0]]
    index, left = 0, pattern[0]
    for start, end in itertools.pairwise(points):
        run, at = math.dist(start, end), 0.0
        while run - at > left:
            at += left
            spot = (start[0] + (end[0] - start[0]) * at / run, start[1] + (end[1] - start[1]) * at / run)
            if index % 2 == 0:
                pieces.append((*current, spot))
            current, index = [spot], index + 1
            left = pattern[index % len(pattern)]
        left -= run - at
        if index % 2 == 0:
            current.append(end)
    if index % 2 == 0 and len(current) > 1:
        pieces.append(tuple(current))
    return pieces


def _svg_item(item: Ink) -> str:
    if isinstance(item, Words):
        return _svg_words(item)
    if isinstance(item, Disc):
        x, y = item.centre
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(item.radius)}"{_svg_paint(item)}/>'
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in item.points)
    if isinstance(item, Area):
        return f'<polygon points="{points}"{_svg_paint(item)}/>'
    dash = " ".join(_n(d) for d in item.dash)
    dashed = f' stroke-dasharray="{dash}" stroke-linecap="butt"' if dash else ""
    return (
        f'<polyline points="{points}" fill="none" stroke="{item.colour}" '
        f'stroke-width="{_n(item.width)}"{dashed}/>'
    )


def _svg_paint(item: Area | Disc) -> str:
    edge = f' stroke="{item.edge}" stroke-width="{_n(item.width)}"' if item.width else ""
    return f' fill="{item.fill or "none"}"{edge}'


def _svg_words(item: Words) -> str:
    text = plain_line(item.text)
    width = text_width(text, item.height, bold=item.bold)
    weight = ' font-weight="bold"' if item.bold else ""
    halo = f' stroke="{WHITE}" stroke-width="{_n(0.5 * item.height)}" paint-order="stroke"'
    # textLength holds the measured width where the reader has other lettering
    return (
        f'<text x="{_n(item.at[0])}" y="{_n(item.at[1])}" font-size="{_n(font_size(item.height))}" '
        f'fill="{item.colour}" text-anchor="{item.anchor}" textLength="{_n(width)}" '
        f'lengthAdjust="spacingAndGlyphs"{weight}{halo if item.halo else ""}>{escape(text)}</text>'
    )


def _png_item(draw: "ImageDraw", item: Ink, scale: float) -> None:
    if isinstance(item, Words):
        _png_words(draw, item, scale)
    elif isinstance(item, Disc):
        _png_disc(draw, item.centre, item.radius + 0.5 * item.width, item.edge or item.fill, scale)
        if item.width:
            _png_disc(draw, item.centre, item.radius - 0.5 * item.width, item.fill, scale)
    elif isinstance(item, Area):
        if item.fill:
            draw.polygon([(x * scale, y * scale) for x, y in item.points], fill=item.fill)
        if item.width:
            _png_line(draw, (*item.points, item.points[0]), item.edge, item.width, scale)
    elif item.dash:
        for piece in dashes(item.points, item.dash):
            _png_line(draw, piece, item.colour, item.width, scale, round_ends=False)
    else:
        _png_line(draw, item.points, item.colour, item.width, scale)


def _png_line(
    draw: "ImageDraw",
    points: Iterable[Spot],
    colour: str,
    width: float,
    scale: float,
    *,
    round_ends: bool = True,
) -> None:
    """Each piece as a quadrilateral and each corner as a disc: true widths at any angle."""
    spots = list(points)
    for (x0, y0), (x1, y1) in itertools.pairwise(spots):
        run = math.hypot(x1 - x0, y1 - y0)
        if run == 0.0:
            continue
        nx, ny = -(y1 - y0) / run * 0.5 * width, (x1 - x0) / run * 0.5 * width
        corners = ((x0 + nx, y0 + ny), (x1 + nx, y1 + ny), (x1 - nx, y1 - ny), (x0 - nx, y0 - ny))
        draw.polygon([(x * scale, y * scale) for x, y in corners], fill=colour)
    for spot in spots if round_ends else spots[1:-1]:
        _png_disc(draw, spot, 0.5 * width, colour, scale)


def _png_disc(draw: "ImageDraw", centre: Spot, radius: float, colour: str, scale: float) -> None:
    (x, y), r = centre, max(radius, 0.0)
    draw.ellipse(((x - r) * scale, (y - r) * scale, (x + r) * scale, (y + r) * scale), fill=colour or None)


def _png_words(draw: "ImageDraw", item: Words, scale: float) -> None:
    from PIL import ImageFont

    name = "DejaVuSans-Bold.ttf" if item.bold else "DejaVuSans.ttf"
    face = ImageFont.truetype(str(FOLDER / name), font_size(item.height) * scale)
    text = plain_line(item.text)
    # laid out without kerning or other help, as the widths were measured
    back = {"start": 0.0, "middle": 0.5, "end": 1.0}[item.anchor]
    left = item.at[0] - back * text_width(text, item.height, bold=item.bold)
    draw.text(
        (left * scale, item.at[1] * scale),
        text,
        fill=item.colour,
        font=face,
        anchor="ls",
        stroke_width=round(0.25 * item.height * scale) if item.halo else 0,
        stroke_fill=WHITE,
    )


def _n(number: float) -> str:
    text = f"{number:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
