"""SVG plots at true scale: width, height and user unit are millimetres."""

import math
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from limbwright.outputs.drawing import (
    LAYERS,
    PEN_DASHES,
    PEN_WIDTH,
    Circle,
    Drawing,
    Item,
    Patch,
    Pen,
    Shape,
    Text,
)
from limbwright.outputs.lettering import FONT_FAMILY, font_size
from limbwright.outputs.outline import Edge, Point
from limbwright.outputs.title_block import CAUTION, SheetInfo

CHECK: Final = 0.1  # side of the check square [m]
_BORDER: Final = 0.01


def svg_sheet(drawing: Drawing, info: SheetInfo) -> str:
    """One drawing as SVG with a group per layer and a 100 mm check square in a group of its own.

    Args:
        drawing: what to write.
        info: the suit's facts, for the title and description.
    """
    x0, y0, x1, y1 = drawing.bounds()
    x0, x1, y1 = x0 - _BORDER, max(x1 + _BORDER, x0 + CHECK + 0.06), y1 + _BORDER
    y0 -= CHECK + 0.03
    view = f"{_n(x0)} {_n(-y1)} {_n(x1 - x0)} {_n(y1 - y0)}"
    size = f'width="{_n(x1 - x0)}mm" height="{_n(y1 - y0)}mm" viewBox="{view}"'
    facts = f"Revision {info.revision}, {info.dated}. Scale 1:1, 1 user unit = 1 mm. {CAUTION}"
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>',
        f"<title>{escape(f'{info.suit}: {drawing.title}')}</title>",
        f"<desc>{escape(facts)}</desc>",
    ]
    for layer in LAYERS:
        items = [item for item in drawing.items if item.layer == layer]
        if items:
            lines += [f'<g id="{layer}" fill="none">', *(_element(item) for item in items), "</g>"]
    lines += ['<g id="CHECK" fill="none">', *_check_square((x0 + _BORDER, y0 + _BORDER)), "</g>", "</svg>"]
    return "\n".join(lines) + "\n"


def _check_square(corner: Point) -> list[str]:
    x, y = corner
    side = _n(CHECK)
    words = "100 mm: measure before cutting"
    text = Text((x + CHECK + 3e-3, y + 3e-3), words, 3.5e-3)
    return [
        f'<rect x="{_n(x)}" y="{_n(-y - CHECK)}" width="{side}" height="{side}" {_stroke("thin", 0.0)}/>',
        _element(text),
    ]


def _element(item: Item) -> str:
    if isinstance(item, Text):
        return _text(item)
    if isinstance(item, Circle):
        cx, cy = item.centre
        return f'<circle cx="{_n(cx)}" cy="{_n(-cy)}" r="{_n(item.radius)}" {_stroke(item.pen, 0.0)}/>'
    if isinstance(item, Shape):
        edges = item.outline.edges
        path = " ".join(_edge(edge) for edge in edges)
        return f'<path d="M {_xy(edges[0].start)} {path} Z" {_stroke(item.pen, 0.0)}/>'
    points = " ".join(_xy(p) for p in item.points)
    if isinstance(item, Patch):
        return f'<polygon points="{points}" fill="{_colour(item.grey)}"/>'
    kind = "polygon" if item.closed else "polyline"
    return f'<{kind} points="{points}" {_stroke(item.pen, item.grey)}/>'


def _edge(edge: Edge) -> str:
    if not edge.sweep:
        return f"L {_xy(edge.end)}"
    # Counter-clockwise with y up is sweep flag 0 with y down.
    large, turn = int(abs(edge.sweep) > math.pi), int(edge.sweep < 0.0)
    return f"A {_n(edge.radius)} {_n(edge.radius)} 0 {large} {turn} {_xy(edge.end)}"


def _text(item: Text) -> str:
    x, y = _n(item.at[0]), _n(-item.at[1])
    turn = f' transform="rotate({-math.degrees(item.angle):.6g} {x} {y})"' if item.angle else ""
    weight = ' font-weight="bold"' if item.bold else ""
    family = quoteattr(f"{FONT_FAMILY}, Verdana, sans-serif")
    return (
        f'<text x="{x}" y="{y}" font-family={family} font-size="{_n(font_size(item.height))}" '
        f'text-anchor="{item.anchor}" fill="{_colour(item.grey)}"{weight}{turn}>{escape(item.text)}</text>'
    )


def _stroke(pen: Pen, grey: float) -> str:
    dashes = ",".join(_n(d) for d in PEN_DASHES[pen])
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'stroke="{_colour(grey)}" stroke-width="{_n(PEN_WIDTH[pen])}"{dashed}'


def _colour(grey: float) -> str:
    level = round(255 * grey)
    return f"#{level:02x}{level:02x}{level:02x}"


def _xy(point: Point) -> str:
    return f"{_n(point[0])} {_n(-point[1])}"


def _n(metres: float) -> str:
    """Millimetres with up to seven decimals."""
    text = f"{1e3 * metres:.7f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
