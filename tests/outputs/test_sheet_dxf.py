"""limbwright.outputs.sheet_dxf, read back from the file."""

import io
import itertools
import math

import ezdxf
import pytest

from limbwright.outputs.outline import hull_of_circles
from limbwright.outputs.part_drawing import part_drawing
from limbwright.outputs.sheet_dxf import dxf_sheet
from outputs.sample_parts import FRACTIONS, INFO, carrier, hole_distances_mm, parts


def reopen(data):
    encoding = "cp1252" if b"AC1009" in data[:400] else "utf-8"
    return ezdxf.read(io.StringIO(data.decode(encoding)))


@pytest.mark.parametrize("version", ["R2010", "R12"])
@pytest.mark.parametrize("part", parts(), ids=lambda p: f"{p.side} {p.name}")
def test_holes_are_true_circles_at_true_distances(part, version):
    space = reopen(dxf_sheet(part_drawing(part, INFO), INFO, version)).modelspace()
    circles = list(space.query('CIRCLE[layer=="CUT"]'))
    assert sorted(c.dxf.radius for c in circles) == pytest.approx(
        sorted(500 * h.diameter for h in part.holes)
    )
    found = sorted(a.dxf.center.distance(b.dxf.center) for a, b in itertools.combinations(circles, 2))
    assert found == pytest.approx(hole_distances_mm(part), abs=1e-6)


@pytest.mark.parametrize("part", parts(), ids=lambda p: f"{p.side} {p.name}")
def test_outline_is_one_closed_polyline_with_arcs(part):
    space = reopen(dxf_sheet(part_drawing(part, INFO), INFO)).modelspace()
    outlines = list(space.query('LWPOLYLINE[layer=="CUT"]'))
    assert len(outlines) == 1
    assert outlines[0].closed
    corners = list(outlines[0].get_points("xyb"))
    # Area from the polyline alone: polygon plus circular segments, sweep = 4 atan(bulge)
    # (the DXF reference's definition of a bulge).
    area = 0.0
    for (ax, ay, bulge), (bx, by, _) in itertools.pairwise([*corners, corners[0]]):
        area += 0.5 * (ax * by - bx * ay)
        assert math.dist((ax, ay), (bx, by)) > 1e-3
        if bulge:
            sweep = 4 * math.atan(bulge)
            radius = math.dist((ax, ay), (bx, by)) / (2 * math.sin(0.5 * sweep))
            area += 0.5 * radius**2 * (sweep - math.sin(sweep))
    assert area == pytest.approx(1e6 * hull_of_circles(part.circles).area(), rel=1e-9)


def test_units_layers_and_check_square():
    document = reopen(dxf_sheet(part_drawing(carrier(), INFO), INFO))
    assert document.dxfversion == "AC1024"  # R2010
    assert document.header["$INSUNITS"] == 4  # millimetres
    assert document.header["$MEASUREMENT"] == 1  # metric
    assert {"CUT", "MARK", "TEXT", "CHECK"} <= {layer.dxf.name for layer in document.layers}
    space = document.modelspace()
    assert {entity.dxf.layer for entity in space} == {"CUT", "MARK", "TEXT", "CHECK"}
    assert {entity.dxftype() for entity in space.query('*[layer=="CUT"]')} == {"CIRCLE", "LWPOLYLINE"}
    square = space.query('LWPOLYLINE[layer=="CHECK"]').first
    assert square is not None
    assert square.closed
    corners = [(x, y) for x, y, *_ in square.get_points()]
    assert [math.dist(corners[k], corners[k - 1]) for k in range(4)] == pytest.approx([100.0] * 4, abs=1e-9)


@pytest.mark.parametrize("version", ["R2010", "R12"])
@pytest.mark.parametrize("info", [INFO, FRACTIONS], ids=["mm", "frac-in"])
def test_audit_finds_nothing(version, info):
    auditor = reopen(dxf_sheet(part_drawing(carrier(), info), info, version)).audit()
    assert auditor.errors == []
    assert auditor.fixes == []


def test_words_state_unit_part_and_caution():
    for version in ("R2010", "R12"):
        space = reopen(dxf_sheet(part_drawing(carrier(), INFO), INFO, version)).modelspace()
        said = "\n".join(t.dxf.text for t in space.query("TEXT"))
        assert "MILLIMETRES (1 unit = 1 mm)" in said
        assert "carrier RIGHT" in said
        assert "not a certificate" in said
        assert ("Ø" in said) is (version == "R2010")


def test_r12_is_old_and_plain(caplog):
    data = dxf_sheet(part_drawing(carrier(), INFO), INFO, "R12")
    document = reopen(data)
    assert document.dxfversion == "AC1009"
    assert "$INSUNITS" not in document.header
    assert data.isascii()
    outline = document.modelspace().query('POLYLINE[layer=="CUT"]').first
    assert outline is not None
    assert outline.is_closed
    assert caplog.records == []


def test_the_same_drawing_gives_the_same_bytes_and_leaves_the_library_alone():
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    drawing = part_drawing(carrier(), INFO)
    for version in ("R2010", "R12"):
        assert dxf_sheet(drawing, INFO, version) == dxf_sheet(drawing, INFO, version)
    assert options.write_fixed_meta_data_for_testing == before
