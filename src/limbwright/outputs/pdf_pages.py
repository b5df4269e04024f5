"""Display lists onto PDF pages at true scale.

Geometry is written by this module with seven decimals of a millimetre, since the PDF library rounds to
seven digits; the library embeds the lettering, numbers the objects and writes the file. The same input
gives the same bytes.
"""

import io
import math
from collections.abc import Iterable
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from limbwright.outputs.drawing import PEN_DASHES, PEN_WIDTH, Circle, Item, Patch, Pen, Shape, Text
from limbwright.outputs.lettering import BOLD, REGULAR, font, font_size, text_width
from limbwright.outputs.outline import Bounds, Edge, Point

POINTS_PER_MM: Final = 72.0 / 25.4
# A cubic curve leaves a circle by about 4e-9 of its radius over 15 deg (it falls with the sixth power).
_CURVE: Final = math.pi / 12


class PdfPages:
    """A PDF being written, page by page.

    Args:
        title: for the document's properties.
        scale: enlargement of everything, 1 but for a compensated reprint.
    """

    def __init__(self, title: str, scale: float = 1.0) -> None:
        self._file = io.BytesIO()
        self._canvas = Canvas(self._file, pageCompression=1, invariant=1)
        self._canvas.setTitle(title)
        self._canvas.setCreator("Limbwright")
        self._canvas.setAuthor("Limbwright")
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._scale = scale
        for bold in (False, True):
            font(bold)

    def stencil(self, name: str, items: Iterable[Item], bounds: Bounds, pen: float | None = None) -> None:
        """Draw items once, for use on many pages; coordinates in mm.

        Args:
            name: of the stencil.
            items: what to draw [m].
            bounds: beyond which nothing is drawn [m].
            pen: width of every line in place of its own [m].
        """
        pad = 10.0
        x0, y0 = (math.floor(1e3 * b - pad) for b in bounds[:2])
        x1, y1 = (math.ceil(1e3 * b + pad) for b in bounds[2:])
        self._canvas.beginForm(name, x0, y0, x1, y1)
        self._ink(items, pen)
        self._canvas.endForm()

    def page(self, width: float, height: float) -> None:
        """Start a page of a size as printed [m]; the paper is `scale` times as large."""
        points = 1e3 * POINTS_PER_MM * self._scale
        self._canvas.setPageSize((round(width * points, 4), round(height * points, 4)))
        factor = POINTS_PER_MM * self._scale
        self._canvas.addLiteral(f"{factor!r} 0 0 {factor!r} 0 0 cm")

    def draw(self, items: Iterable[Item]) -> None:
        """Draw items on the page [m]."""
        self._ink(items)

    def place(self, name: str, at: Point, scale: float, window: Bounds) -> None:
        """Put a stencil on the page, its origin at `at` [m], clipped to a window of the page [m]."""
        x0, y0, x1, y1 = window
        self._canvas.saveState()
        self._canvas.addLiteral(f"{_n(x0)} {_n(y0)} {_n(x1 - x0)} {_n(y1 - y0)} re W n")
        self._canvas.addLiteral(f"{scale!r} 0 0 {scale!r} {_n(at[0])} {_n(at[1])} cm")
        self._canvas.doForm(name)
        self._canvas.restoreState()

    def end_page(self) -> None:
        """Finish the page."""
        self._canvas.showPage()

    def to_bytes(self) -> bytes:
        """The whole file."""
        self._canvas.save()
        return self._file.getvalue()

    def _ink(self, items: Iterable[Item], pen: float | None = None) -> None:
        self._canvas.addLiteral("1 J 1 j")
        for item in items:
            if isinstance(item, Text):
                self._text(item)
            else:
                self._canvas.addLiteral(_operators(item, pen))

    def _text(self, item: Text) -> None:
        width = text_width(item.text, item.height, bold=item.bold)
        back = {"start": 0.0, "middle": 0.5 * width, "end": width}[item.anchor]
        c, s = math.cos(item.angle), math.sin(item.angle)
        x, y = 1e3 * (item.at[0] - back * c), 1e3 * (item.at[1] - back * s)
        self._canvas.addLiteral(f"{_grey(item.grey)} g")
        words = self._canvas.beginText()
        words.setTextTransform(c, s, -s, c, x, y)
        words.setFont(BOLD if item.bold else REGULAR, 1e3 * font_size(item.height))
        words.textOut(item.text)
        self._canvas.drawText(words)


def _operators(item: Item, width: float | None = None) -> str:
    """PDF operators of one item that is not text, in mm."""
    if isinstance(item, Patch):
        return f"{_grey(item.grey)} g {_path(item.points)} h f"
    if isinstance(item, Circle):
        return f"{_pen(item.pen, 0.0, width)} {_circle(item)} h S"
    if isinstance(item, Shape):
        edges = item.outline.edges
        drawn = " ".join(_edge(edge) for edge in edges)
        return f"{_pen(item.pen, 0.0, width)} {_xy(edges[0].start)} m {drawn} h S"
    assert not isinstance(item, Text)
    return f"{_pen(item.pen, item.grey, width)} {_path(item.points)} {'h ' if item.closed else ''}S"


def _pen(pen: Pen, grey: float, width: float | None) -> str:
    dashes = " ".join(_n(d) for d in PEN_DASHES[pen]) if width is None else ""
    return f"{_grey(grey)} G {_n(PEN_WIDTH[pen] if width is None else width)} w [{dashes}] 0 d"


def _path(points: tuple[Point, ...]) -> str:
    return f"{_xy(points[0])} m " + " ".join(f"{_xy(p)} l" for p in points[1:])


def _circle(item: Circle) -> str:
    (x, y), radius = item.centre, item.radius
    start = (x + radius, y)
    return f"{_xy(start)} m {_edge(Edge(start, start, item.centre, radius, 0.0, math.tau))}"


def _edge(edge: Edge) -> str:
    if not edge.sweep:
        return f"{_xy(edge.end)} l"
    count = math.ceil(abs(edge.sweep) / _CURVE - 1e-9)
    step = edge.sweep / count
    reach = 4.0 / 3.0 * math.tan(0.25 * step) * edge.radius
    points = edge.points(abs(step) * (1.0 + 1e-9))
    curves: list[str] = []
    for k in range(count):
        a, b = edge.angle + k * step, edge.angle + (k + 1) * step
        (ax, ay), (bx, by) = points[k], points[k + 1]
        first = (ax - reach * math.sin(a), ay + reach * math.cos(a))
        second = (bx + reach * math.sin(b), by - reach * math.cos(b))
        curves.append(f"{_xy(first)} {_xy(second)} {_xy((bx, by))} c")
    return " ".join(curves)


def _xy(point: Point) -> str:
    return f"{_n(point[0])} {_n(point[1])}"


def _n(metres: float) -> str:
    """Millimetres with up to seven decimals."""
    text = f"{1e3 * metres:.7f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _grey(grey: float) -> str:
    return f"{grey:.3g}"
