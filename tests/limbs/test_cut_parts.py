"""What the shop drills against where the engine's pins are: every hole-to-hole distance, to 1e-12 m.

The outside route is the arm placed in a pose by hand trigonometry (`by_trig`), compared with the plates and
bars as drawn; and the engine's own points, since a plot that disagrees with the check is worth nothing.
"""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from limbs.by_trig import exact_points
from limbs.trial import arms_of, suit_of
from limbwright.limbs.arm_points import arm_points
from limbwright.limbs.cut_parts import cut_parts
from limbwright.model.body import complete_body
from limbwright.model.cut_part import CutPart

PINS = {
    "each": {
        "elbow": {"stack": ["driver", "performer_forearm"], "length": "40 mm", "diameter": "10 mm"},
        "relay": {"stack": ["carrier", "relay"], "length": "40 mm", "diameter": "6 mm"},
    }
}
LAYERS = {"driver": 86, "performer_forearm": 92, "carrier": 96, "relay": 112, "mast": 70}
EDITS: dict[str, object] = {f"limbs.arm.{name}.layer": f"{layer} mm" for name, layer in LAYERS.items()}
EDITS["limbs.arm.pins"] = {"diameter": "8 mm", "material": "S355", **PINS}
# the ends of links that no pin goes through
POINTS_OF = {
    "mast": ("S", "S'"), "driver": ("S", "E"), "performer forearm link": ("E", "W"),
    "carrier": ("S'", "E1", "E'"), "character forearm": ("E'", "W'"), "driver crank": ("S", "A"),
    "carrier crank": ("S'", "A'"), "performer forearm crank": ("E", "B"),
    "character forearm crank": ("E'", "C'"), "relay": ("E1", "B'", "C"),
    "shoulder rod": ("A", "A'"), "forearm rod": ("B", "B'"), "relay rod": ("C", "C'"),
}  # fmt: skip
DIRECTIONS = {  # own direction of what a plate is bolted to, as two named points
    "driver crank": ("S", "E"), "carrier crank": ("S'", "E'"), "performer forearm crank": ("E", "W"),
    "character forearm crank": ("E'", "W'"), "relay": ("E'", "W'"), "carrier": ("S'", "E'"),
}  # fmt: skip


def parts_of(edits: dict[str, object]) -> dict[tuple[str, str], CutPart]:
    suit = suit_of(edits)
    return {(part.name, part.side): part for part in cut_parts(suit, complete_body(suit.active))}


PARTS = parts_of(EDITS)
ARMS = arms_of(EDITS)
ARM = ARMS[0]
RIGHT = {name: part for (name, side), part in PARTS.items() if side == "right"}


def hole(part: CutPart, label: str) -> np.ndarray:
    found = next(h for h in part.holes if h.label == label)
    return np.array([found.x, found.y])


def test_every_part_is_there_for_both_sides():
    assert {name for name, _ in PARTS} == POINTS_OF.keys()
    assert len(PARTS) == 2 * len(POINTS_OF)


@pytest.mark.parametrize("name", POINTS_OF)
def test_hole_distances_are_the_engines(name):
    by_hand = exact_points(ARM.geometry, ARM.assembled)
    by_engine = arm_points(ARM.mechanism, ARM.geometry, ARM.mechanism.assembled)
    part = RIGHT[name]
    for one, two in itertools.combinations(POINTS_OF[name], 2):
        drilled = np.linalg.norm(hole(part, one) - hole(part, two))
        assert drilled == pytest.approx(np.linalg.norm(by_hand[one] - by_hand[two]), abs=1e-12)
        assert drilled == pytest.approx(np.linalg.norm(by_engine[one] - by_engine[two]), abs=1e-12)
    assert {h.label for h in part.holes if "fix" not in h.label} == set(POINTS_OF[name])


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize("name", DIRECTIONS)
def test_plates_turn_the_right_way(name, side):
    """Seen from the outer face, the one away from the body: x along the link, y a quarter turn on. Every hole
    by projection of the placed arm, out to the side, where the outer face looks back."""
    arm = next(a for a in ARMS if a.side == side)
    p = exact_points(arm.geometry, replace(arm.assembled, swing=0.0))
    start, end = (p[label] for label in DIRECTIONS[name])
    x = (end - start) / np.linalg.norm(end - start)
    y = np.cross([-1.0, 0.0, 0.0], x)
    part = PARTS[name, side]
    datum = p[part.datum]
    for label in POINTS_OF[name]:
        want = np.array([(p[label] - datum) @ x, (p[label] - datum) @ y])
        np.testing.assert_allclose(hole(part, label), want, atol=1e-12)


def test_carrier_holes_add_up():
    holes = {h.label: h.x for h in RIGHT["carrier"].holes}
    assert holes["E1"] - holes["S'"] + (holes["E'"] - holes["E1"]) == pytest.approx(0.68, abs=1e-12)
    assert holes["E1"] == pytest.approx(complete_body(suit_of(EDITS).active).upper_arm.value, abs=1e-12)


def test_a_rods_error_is_drilled_as_written():
    """A typed rod is drawn as long as it is typed, not as long as the side it should copy."""
    rods = parts_of({"limbs.arm.rods.forearm.length": "600.5 mm"})
    assert hole(rods["forearm rod", "right"], "B'")[0] == pytest.approx(0.6005, abs=1e-12)
    assert hole(rods["shoulder rod", "right"], "A'")[0] == pytest.approx(0.6, abs=1e-12)


def test_left_parts_are_mirrored():
    for name, part in RIGHT.items():
        twin = PARTS[name, "left"]
        assert (part.mirrored, twin.mirrored) == (False, True)
        assert [(h.x, -h.y, h.diameter, h.label) for h in part.holes] == [
            (h.x, h.y, h.diameter, h.label) for h in twin.holes
        ]
        assert [(x, -y, r) for x, y, r in part.circles] == list(twin.circles)
        assert (part.layer, part.datum) == (twin.layer, twin.datum)


def test_one_sided_arm_has_no_twin():
    parts = parts_of({"limbs.arm.mirrored": "false", "limbs.arm.side": "left"})
    assert {side for _, side in parts} == {"left"}
    assert len(parts) == len(POINTS_OF)


@pytest.mark.parametrize("side", ["right", "left"])
def test_one_sided_arms_are_drawn_from_their_own_outer_face(side):
    """A left arm made alone is the mirror image of a right one made alone: both seen from outside."""
    parts = parts_of({"limbs.arm.mirrored": "false", "limbs.arm.side": side})
    sign = 1.0 if side == "right" else -1.0
    for name, part in RIGHT.items():
        for h in part.holes:
            np.testing.assert_allclose(hole(parts[name, side], h.label), [h.x, sign * h.y], atol=1e-12)


def test_pins_have_their_own_diameters():
    for name, label, diameter in (
        ("driver", "E", 0.010), ("performer forearm link", "E", 0.010), ("driver", "S", 0.008),
        ("performer forearm crank", "E", 0.010), ("carrier", "E1", 0.006), ("relay", "E1", 0.006),
    ):  # fmt: skip
        found = next(h for h in RIGHT[name].holes if h.label == label)
        assert found.diameter == pytest.approx(diameter)


def test_layers_and_stock_are_as_written():
    assert RIGHT["carrier"].layer == pytest.approx(0.096)
    assert RIGHT["relay"].layer == pytest.approx(0.112)
    assert (RIGHT["mast"].section, RIGHT["mast"].material) == ("tube 25 x 1.5 mm", "6061-T6")
    width = 2.0 * max(radius for _, _, radius in RIGHT["driver"].circles)
    assert width == pytest.approx(0.030)  # flat 30 x 5 mm


@pytest.mark.parametrize("name", POINTS_OF)
def test_every_hole_lies_inside_the_outline(name):
    """Inside the convex hull of the circles: in every direction the hull reaches farther than the hole."""
    part = RIGHT[name]
    for turn in np.linspace(0.0, 2.0 * math.pi, 361):
        u = np.array([math.cos(turn), math.sin(turn)])
        reach = max(x * u[0] + y * u[1] + r for x, y, r in part.circles)
        for h in part.holes:
            assert h.x * u[0] + h.y * u[1] + 0.5 * h.diameter < reach
