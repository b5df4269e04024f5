"""DXF plots in millimetres: closed polylines with true arcs, true circles, one layer per use.

R2010 by default, which says that its unit is the millimetre ($INSUNITS 4). R12 cannot say so, so its
drawings say it in words, and so should its file name. The same input gives the same bytes.
"""

import io
import logging
import math
import threading
from collections.abc import Generator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final, Literal

from limbwright.outputs.drawing import Circle, Drawing, Item, Patch, Pen, Polyline, Shape, Text, box
from limbwright.outputs.title_block import CAUTION, SheetInfo

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

Version = Literal["R2010", "R12"]
CHECK_LAYER: Final = "CHECK"
CHECK: Final = 0.1  # side of the check square [m]
_COLOURS: Final = {"CUT": 7, "MARK": 5, "TEXT": 8, CHECK_LAYER: 6}  # colour numbers of the format
_LINETYPES: Final[dict[Pen, str]] = {"dashed": "LW_DASHED", "centre": "LW_CENTRE"}
_PATTERNS: Final = {
    "LW_DASHED": ("dashed", [8.0, 6.0, -2.0]),
    "LW_CENTRE": ("chain line", [14.5, 10.0, -1.5, 1.5, -1.5]),
}
_STYLES: Final = {False: ("LW_SANS", "DejaVuSans.ttf"), True: ("LW_SANS_BOLD", "DejaVuSans-Bold.ttf")}
_PLAIN: Final = {"Ø": "dia ", "ø": "dia ", "±": "+/-", "×": "x", "°": " deg", "½": "1/2", "¼": "1/4",
                 "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "…": "..."}  # fmt: skip
_ALONE = threading.Lock()


def dxf_sheet(drawing: Drawing, info: SheetInfo, version: Version = "R2010") -> bytes:
    """One drawing as a DXF file in mm.

    Args:
        drawing: what to write.
        info: the suit's facts, written on layer TEXT.
        version: `R2010`, or `R12` for machines that read nothing newer.
    """
    with _fixed_dates(), _quiet():
        document = _new_document(version)
        space = document.modelspace()
        for item in drawing.items:
            _add(space, item, version)
        for item in _words_and_check(drawing, info, version):
            layer = CHECK_LAYER if isinstance(item, Polyline) or item.text.startswith("100 mm") else "TEXT"
            _add(space, item, version, layer)
        stream = io.StringIO()
        document.write(stream)
        return document.encode(stream.getvalue())


@contextmanager
def _fixed_dates() -> Generator[None]:
    """Make the DXF library write fixed dates and identifiers; the switch is global, hence the lock."""
    from ezdxf._options import options

    with _ALONE:
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = before


@contextmanager
def _quiet() -> Generator[None]:
    """Keep back the DXF library's remark that R12 has no unit: the drawing says it in words."""
    log = logging.getLogger("ezdxf")
    before = log.level
    log.setLevel(logging.ERROR)
    try:
        yield
    finally:
        log.setLevel(before)


def _new_document(version: Version) -> "Document":
    from ezdxf import units
    from ezdxf.filemanagement import new

    document = new(version)
    if version != "R12":
        document.units = units.MM
        document.header["$MEASUREMENT"] = 1
    for name, colour in _COLOURS.items():
        document.layers.add(name, color=colour)
    for name, (words, pattern) in _PATTERNS.items():
        document.linetypes.add(name, pattern, description=words)
    for name, file in _STYLES.values():
        document.styles.add(name, font=file)
    return document


def _words_and_check(drawing: Drawing, info: SheetInfo, version: Version) -> list[Polyline | Text]:
    """Facts in words and the 100 mm square, below the drawing."""
    x, low, _, _ = drawing.bounds()
    low -= 12e-3
    words = [
        f"{info.suit}: {drawing.title}. Revision {info.revision}, {info.dated}. Run {drawing.digest()}.",
        f"Drawn 1:1 in MILLIMETRES (1 unit = 1 mm), DXF {version}. Datum: {drawing.datum or 'none'}.",
        CAUTION,
    ]
    items: list[Polyline | Text] = [Text((x, low - 6e-3 * k), line, 3e-3) for k, line in enumerate(words)]
    low -= 6e-3 * len(words)
    items.append(Polyline(box(x, low - CHECK, x + CHECK, low), closed=True))
    items.append(Text((x + 5e-3, low - CHECK + 5e-3), "100 mm square: measure before cutting", 2.2e-3))
    return items


def _add(space: "Modelspace", item: Item, version: Version, layer: str | None = None) -> None:
    attribs: dict[str, object] = {"layer": layer or item.layer}
    if isinstance(item, Text):
        _add_text(space, item, version, attribs)
    elif isinstance(item, Circle):
        space.add_circle(_mm(item.centre), 1e3 * item.radius, dxfattribs=attribs)
    elif isinstance(item, Shape):
        corners = [(*_mm(edge.start), edge.bulge) for edge in item.outline.edges]
        _add_polyline(space, corners, True, version, attribs)
    elif isinstance(item, Patch):
        corners = [(*_mm(point), 0.0) for point in item.points]
        _add_polyline(space, corners, True, version, attribs)
    else:
        linetype = _LINETYPES.get(item.pen)
        if linetype:
            attribs["linetype"] = linetype
        if len(item.points) == 2:
            space.add_line(_mm(item.points[0]), _mm(item.points[1]), dxfattribs=attribs)
        else:
            corners = [(*_mm(point), 0.0) for point in item.points]
            _add_polyline(space, corners, item.closed, version, attribs)


def _add_polyline(
    space: "Modelspace",
    corners: list[tuple[float, float, float]],
    closed: bool,
    version: Version,
    attribs: dict[str, object],
) -> None:
    """A polyline of (x, y, bulge) in mm; R12 has only the older kind."""
    if version == "R12":
        space.add_polyline2d(corners, format="xyb", close=closed, dxfattribs=attribs)
    else:
        space.add_lwpolyline(corners, format="xyb", close=closed, dxfattribs=attribs)


def _add_text(space: "Modelspace", item: Text, version: Version, attribs: dict[str, object]) -> None:
    from ezdxf.enums import TextEntityAlignment

    anchors = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    attribs |= {"style": _STYLES[item.bold][0], "rotation": math.degrees(item.angle)}
    words = item.text.replace("%%", "% %")  # two of them open a control code
    if version == "R12":
        words = "".join(_PLAIN.get(c, c) for c in words)
    text = space.add_text(words, height=1e3 * item.height, dxfattribs=attribs)
    text.set_placement(_mm(item.at), align=anchors[item.anchor])


def _mm(point: tuple[float, float]) -> tuple[float, float]:
    return 1e3 * point[0], 1e3 * point[1]
