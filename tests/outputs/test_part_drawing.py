"""limbwright.outputs.part_drawing and model.cut_part: what the shop reads on one part."""

import itertools
import math
from dataclasses import replace
from fractions import Fraction

import pytest

from limbwright.core.errors import GeometryError
from limbwright.model.cut_part import Hole
from limbwright.outputs.drawing import Circle, Polyline, Shape, Text, text_box
from limbwright.outputs.outline import hull_of_circles
from limbwright.outputs.part_dimensions import length_words
from limbwright.outputs.part_drawing import part_drawing
from limbwright.outputs.placement import overlap
from outputs.sample_parts import FRACTIONS, INFO, carrier, parts, polar, relay, rod


def texts(drawing):
    return [item for item in drawing.items if isinstance(item, Text)]


def words(drawing):
    return "\n".join(item.text for item in texts(drawing))


def test_holes_are_true_circles_where_the_part_has_them():
    part = carrier()
    cut = {
        (c.centre, c.radius)
        for c in part_drawing(part, INFO).items
        if isinstance(c, Circle) and c.layer == "CUT"
    }
    assert cut == {((h.x, h.y), 0.5 * h.diameter) for h in part.holes}


def test_outline_is_cut_and_everything_to_read_is_not():
    drawing = part_drawing(carrier(), INFO)
    assert [type(i) for i in drawing.items if i.layer == "CUT"].count(Shape) == 1
    assert all(isinstance(i, (Shape, Circle)) for i in drawing.items if i.layer == "CUT")


def test_dimensions_material_section_and_side_are_written():
    said = words(part_drawing(carrier(), INFO))
    for needed in (
        "322.12 mm",
        "700 mm",
        "80 mm",
        "6061-T6",
        "plate 6 mm",
        "Ø 8 mm",
        "RIGHT",
        "Datum: hole S'",
    ):
        assert needed in said


def test_left_part_carries_the_mirror_mark_and_mirrored_holes():
    left = carrier().mirror_image()
    said = words(part_drawing(left, INFO))
    assert "MIRROR IMAGE of the right part" in said
    assert "carrier LEFT (mirrored)" in said
    assert left.holes[3].y == -carrier().holes[3].y
    assert left.mirror_image() == carrier()


def test_part_for_both_sides_says_turn_over():
    assert "turn over for the other side" in words(part_drawing(rod(), INFO))
    assert rod().mirror_image() == rod()


@pytest.mark.parametrize("info", [INFO, FRACTIONS, replace(INFO, units="in")], ids=["mm", "frac-in", "in"])
@pytest.mark.parametrize("part", parts(), ids=lambda p: f"{p.side} {p.name}")
def test_no_text_lies_on_another_or_on_the_outline(part, info):
    drawing = part_drawing(part, info)
    boxes = [(t.text, text_box(t)) for t in texts(drawing)]
    for (one, first), (other, second) in itertools.combinations(boxes, 2):
        assert not overlap(first, second), f"'{one}' and '{other}'"
    edges = [
        pair
        for edge in hull_of_circles(part.circles).edges
        for pair in itertools.pairwise(edge.points(math.pi / 32))
    ]
    for text, room in boxes:
        assert not any(overlap(room, edge) for edge in edges), text


@pytest.mark.parametrize("part", parts(), ids=lambda p: f"{p.side} {p.name}")
def test_name_stands_inside_the_outline_clear_of_the_holes(part):
    names = [t for t in texts(part_drawing(part, INFO)) if t.layer == "MARK"]
    assert len(names) == 1
    assert part.name in names[0].text
    outline = hull_of_circles(part.circles)
    assert min(outline.depth(corner) for corner in text_box(names[0])) > 0.0


@pytest.mark.parametrize("mm", [8.0, 80.0, 322.123, 700.0, 25.4, 0.1])
def test_fraction_and_what_it_leaves_add_up_to_the_length(mm):
    # The inch is 25.4 mm exactly: NIST SP 811 (2008), appendix B.
    said = length_words(mm * 1e-3, FRACTIONS)
    inches, _, rest = said.partition(" in")
    left = float(rest.strip(" ()").removesuffix(" mm")) if rest else 0.0
    assert float(sum(Fraction(w) for w in inches.split())) * 25.4 + left == pytest.approx(mm, abs=0.0051)


def test_relay_is_dimensioned_between_all_three_holes():
    said = words(part_drawing(relay(), INFO))
    chord = 2 * 70.0 * math.sin(math.radians(22.5))  # two cranks of 70 mm, 45 deg apart
    assert f"{chord:.2f} mm" in said
    assert said.count("70 mm") >= 2


def test_centre_lines_stay_on_a_thin_rim():
    part = rod()
    outline = hull_of_circles(part.circles)
    crosses = [i for i in part_drawing(part, INFO).items if isinstance(i, Polyline) and i.layer == "MARK"]
    assert len(crosses) == 4
    assert min(outline.depth(p) for cross in crosses for p in cross.points) > 0.0


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"circles": ()}, "has no outline"),
        ({"circles": ((0.0, 0.0, 0.0),)}, "radius of 0 or less"),
        ({"circles": ((0.0, math.nan, 0.02),)}, "not a number"),
        ({"holes": (Hole(0, 0, 0.008, "A"), Hole(1, 0, 0.008, "A")), "datum": "A"}, "two holes of one name"),
        ({"holes": (Hole(0, 0, -0.008, "S'"),)}, "diameter 0 or less"),
        ({"datum": "Q"}, "no hole 'Q'.*use: S', E1"),
        ({"quantity": 0}, "fewer than once"),
    ],
)
def test_parts_that_cannot_be_cut_are_refused_in_one_line(changes, message):
    with pytest.raises(GeometryError, match=message) as caught:
        carrier(**changes)
    assert "\n" not in str(caught.value)


def test_crank_pin_is_where_its_angle_says():
    # 80 mm at 60 deg from the link: (40.000, 69.282) mm.
    assert polar(60.0, 0.080) == pytest.approx((0.040, 0.0692820323), abs=1e-9)
    assert "69.28 mm" in words(part_drawing(carrier(), INFO))
