"""The drawn arm: arms placed by plain trigonometry are found again from their own marks."""

import math
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limbwright.limbs.arm_geometry import ArmGeometry, resolve_arm
from limbwright.model.body import complete_body
from limbwright.model.character import Marks
from limbwright.model.suit_file import load_suit
from limbwright.search.drawn_arm import FIELDS, DrawnArm, drawn_arm, proportions, see_marks
from limbwright.search.sizes import SIXTEENTH

ANY_SWING = (-math.pi, math.pi)
MOST_ELBOW = math.radians(150.0)


class Arm(NamedTuple):
    """Lengths [m] and pose [rad] of an arm to draw."""

    mast: float = 0.6
    lean: float = math.radians(10.0)
    carrier: float = 0.7
    forearm: float = 0.76
    hand: float = 0.26
    swing: float = math.radians(25.0)
    elevation: float = math.radians(40.0)
    elbow: float = math.radians(30.0)


@pytest.fixture(scope="module")
def worn(demo_suit_path: Path) -> ArmGeometry:
    suit = load_suit(demo_suit_path)
    return resolve_arm(suit, "arm", complete_body(suit.active), "right")


def marks(
    worn: ArmGeometry, arm: Arm, bend: float = 0.0, shift: tuple[float, float, float] = (0, 0, 0)
) -> Marks:
    """Where an arm's joints are drawn, [out, forward, up]; the hand bent at the wrist, everything shifted."""
    shoulder = np.array([-worn.shoulder[1], worn.shoulder[0], worn.shoulder[2]]) + np.array(shift)
    outward = np.array([math.cos(arm.swing), math.sin(arm.swing), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    fore = arm.elevation + arm.elbow
    at = shoulder + arm.mast * (math.sin(arm.lean) * outward + math.cos(arm.lean) * up)
    points = [at]
    for length, angle in ((arm.carrier, arm.elevation), (arm.forearm, fore), (arm.hand, fore + bend)):
        at = at + length * (math.sin(angle) * outward - math.cos(angle) * up)
        points.append(at)
    names = ("shoulder", "elbow", "wrist", "hand_tip")
    return Marks.model_validate(
        {name: tuple(f"{1e3 * v:.9f} mm" for v in point) for name, point in zip(names, points, strict=True)}
    )


def lengths_of(arm: Arm) -> dict[str, float]:
    return dict(zip(FIELDS, arm[:5], strict=True))


def draw(worn: ArmGeometry, arm: Arm, drawn: Marks, **other: float) -> DrawnArm:
    lengths = lengths_of(arm._replace(**other))
    return drawn_arm(see_marks(worn, drawn), lengths, ANY_SWING, MOST_ELBOW)


@settings(max_examples=40)
@given(
    mast=st.floats(0.2, 1.2),
    lean=st.floats(-0.6, 0.6),
    carrier=st.floats(0.4, 1.2),
    forearm=st.floats(0.3, 1.2),
    swing=st.floats(-0.7, 2.0),
    elevation=st.floats(0.2, 2.6),
    elbow=st.floats(0.05, 2.2),
)
def test_an_arm_is_found_again_from_its_own_marks(worn: ArmGeometry, **drawn: float) -> None:
    arm = Arm(**drawn)
    seen = see_marks(worn, marks(worn, arm))
    np.testing.assert_allclose(seen.bones, (arm.carrier, arm.forearm, arm.hand), atol=1e-6)
    found = draw(worn, arm, marks(worn, arm))
    assert max(miss.away for miss in found.misses) < 1e-5
    if arm.mast * abs(math.sin(arm.lean)) > 0.01:
        np.testing.assert_allclose(found.pose, (arm.swing, arm.elevation, arm.elbow), atol=1e-3)


def test_sizes_are_the_drawn_ones_to_the_shop_s_step(worn: ArmGeometry) -> None:
    arm = Arm(mast=0.6123, lean=math.radians(9.8), carrier=0.7004, forearm=0.7616)
    seen = see_marks(worn, marks(worn, arm))
    sizes = proportions(seen, {}, 0.3, "mm")
    assert {f: s.text for f, s in sizes.items()} == {
        "mast.length": "612 mm",
        "mast.lean": "10 deg",
        "carrier.length": "700 mm",
        "character_forearm.length": "762 mm",
        "character_hand.length": "260 mm",
    }
    inches = proportions(seen, {}, 0.3, "frac-in")
    assert inches["carrier.length"].text == "27 9/16 in"  # 27.575 in
    assert inches["carrier.length"].value == pytest.approx(441 * SIXTEENTH, abs=1e-12)


@pytest.mark.parametrize(
    ("given_field", "value", "other", "text"),
    [
        # the mast's own projection on a lean that stands: 612.3 mm x cos(9.8 deg - 2 deg)
        ("mast.lean", math.radians(2.0), "mast.length", "607 mm"),
        ("mast.length", 0.5, "mast.lean", "10 deg"),
    ],
)
def test_what_stands_is_worked_around(
    worn: ArmGeometry, given_field: str, value: float, other: str, text: str
) -> None:
    seen = see_marks(worn, marks(worn, Arm(mast=0.6123, lean=math.radians(9.8))))
    sizes = proportions(seen, {given_field: value}, 0.3, "mm")
    assert given_field not in sizes
    assert sizes[other].text == text


def test_a_short_upper_arm_is_made_long_enough_for_the_relay(worn: ArmGeometry) -> None:
    sizes = proportions(see_marks(worn, marks(worn, Arm(carrier=0.25))), {}, 0.3152, "mm")
    assert sizes["carrier.length"].text == "316 mm"


def test_a_bent_wrist_is_told_and_missed(worn: ArmGeometry) -> None:
    arm, bend = Arm(), math.radians(30.0)
    found = draw(worn, arm, marks(worn, arm, bend))
    assert found.bent_wrist == pytest.approx(bend, abs=1e-6)
    tip = found.misses[3].away
    # a straight hand cannot be nearer than the bend allows once the whole arm gives way a little
    assert 0.02 < tip < 2.0 * arm.hand * math.sin(0.5 * bend)


def test_marks_beside_the_arm_s_plane_are_missed_across_it(worn: ArmGeometry) -> None:
    # the arm points forward 50 mm outside the axis: its plane turns until it cuts through between
    # elbow and hand, and no pose is nearer
    arm = Arm(lean=0.0, swing=math.radians(90.0), elbow=0.0)
    found = draw(worn, arm, marks(worn, arm, shift=(0.05, 0.0, 0.0)))
    shoulder, elbow, _, tip = found.misses
    assert shoulder.away == pytest.approx(0.05, abs=1e-6)  # it stays on the axis
    assert 0.005 < elbow.away < 0.05
    assert abs(elbow.across) > 0.9 * elbow.away
    assert elbow.across * tip.across < 0.0
    azimuths = [math.atan2(0.05, arm.carrier * math.sin(arm.elevation)), 0.0]
    assert min(azimuths) < 0.5 * math.pi - found.swing < max(azimuths)


def test_a_mast_too_short_misses_the_shoulder_by_the_difference(worn: ArmGeometry) -> None:
    arm = Arm(lean=0.0, elevation=math.radians(90.0), elbow=0.0)
    found = draw(worn, arm, marks(worn, arm), mast=arm.mast - 0.03)
    assert found.misses[0].away == pytest.approx(0.03, abs=1e-6)
    out, forward, up = found.misses[0].offset
    np.testing.assert_allclose((out, forward, up), (0.0, 0.0, 0.03), atol=1e-6)


def test_an_elbow_drawn_backwards_is_told(worn: ArmGeometry) -> None:
    arm = Arm(elbow=math.radians(-20.0))
    found = draw(worn, arm, marks(worn, arm))
    assert found.elbow == pytest.approx(0.0, abs=1e-6)
    assert math.degrees(found.backwards) == pytest.approx(20.0, abs=1e-6)
    assert max(miss.away for miss in found.misses) > 0.02


def test_the_swivel_s_range_holds_the_drawn_pose(worn: ArmGeometry) -> None:
    arm = Arm(swing=math.radians(60.0))
    found = drawn_arm(
        see_marks(worn, marks(worn, arm)), lengths_of(arm), (0.0, math.radians(45.0)), MOST_ELBOW
    )
    assert math.degrees(found.swing) == pytest.approx(45.0, abs=1e-4)
