"""limbwright.outputs.sheet_svg, read back with an independent reader (svgelements)."""

import io
import itertools
import math
import re
import xml.etree.ElementTree as ET

import pytest
import svgelements

from limbwright.outputs.part_drawing import part_drawing
from limbwright.outputs.sheet_svg import svg_sheet
from limbwright.outputs.title_block import SheetInfo
from outputs.sample_parts import INFO, carrier, hole_distances_mm, parts


def reopen(text):
    return svgelements.SVG.parse(io.StringIO(text), ppi=25.4)  # so that its pixels are millimetres


@pytest.mark.parametrize("part", parts(), ids=lambda p: f"{p.side} {p.name}")
def test_hole_distances_are_true(part):
    text = svg_sheet(part_drawing(part, INFO), INFO)
    image = reopen(text)
    # The reader takes a millimetre for 0.0393701 in, 5.4e-7 too much: measured in its own millimetre.
    reader_mm = float(image.width) / float(ET.fromstring(text).attrib["width"].removesuffix("mm"))
    assert reader_mm == pytest.approx(1.0, abs=1e-6)
    radii = {500 * h.diameter for h in part.holes}
    circles = [e for e in image.elements() if isinstance(e, svgelements.Circle)]
    holes = [c for c in circles if any(abs(float(c.rx) - r) < 1e-4 for r in radii)]
    pairs = itertools.combinations(holes, 2)
    found = sorted(math.dist((a.cx, a.cy), (b.cx, b.cy)) / reader_mm for a, b in pairs)
    assert found == pytest.approx(hole_distances_mm(part), abs=1e-6)


def test_size_and_user_unit_are_millimetres():
    text = svg_sheet(part_drawing(carrier(), INFO), INFO)
    root = ET.fromstring(text)
    _, _, width, height = (float(v) for v in root.attrib["viewBox"].split())
    assert root.attrib["width"] == f"{width:.7f}".rstrip("0").rstrip(".") + "mm"
    assert root.attrib["height"] == f"{height:.7f}".rstrip("0").rstrip(".") + "mm"


def test_outline_turns_the_right_way_round():
    """The path's own box must be the part's box: a wrong arc flag would bend arcs inwards."""
    part = carrier()
    image = reopen(svg_sheet(part_drawing(part, INFO), INFO))
    paths = [e for e in image.elements() if isinstance(e, svgelements.Path)]
    outline = max(paths, key=lambda p: p.length())
    x0, _, x1, _ = outline.bbox()
    assert x1 - x0 == pytest.approx(740.0, abs=1e-3)
    assert sum(isinstance(s, svgelements.Arc) for s in outline) == 3


def test_layers_are_groups_and_everything_lies_inside_the_page():
    text = svg_sheet(part_drawing(carrier(), INFO), INFO)
    assert re.findall(r'<g id="(\w+)"', text) == ["CUT", "MARK", "TEXT", "CHECK"]
    image = reopen(text)
    x0, y0, x1, y1 = image.bbox()
    assert x0 >= -1e-6
    assert y0 >= -1e-6
    assert x1 <= float(image.width) + 1e-6
    assert y1 <= float(image.height) + 1e-6


def test_awkward_names_stay_inside_the_markup():
    info = SheetInfo(suit='Tom & "Jerry" <b>', revision="A&B")
    root = ET.fromstring(svg_sheet(part_drawing(carrier(name="a<b&c"), info), info))
    assert 'Tom & "Jerry" <b>' in root[0].text
    assert any("a<b&c" in (e.text or "") for e in root.iter())


def test_the_same_drawing_gives_the_same_text():
    assert svg_sheet(part_drawing(carrier(), INFO), INFO) == svg_sheet(part_drawing(carrier(), INFO), INFO)
