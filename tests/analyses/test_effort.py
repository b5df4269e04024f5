"""Holding moments against the slope of the potential energy, placed by hand, and against hand calculation.

Sources: principle of virtual work, tau = dV/dq with V = -sum m g . x (Goldstein, Classical Mechanics, ch. 1);
every item is placed by `limbs.by_trig`, not by the engine. Own arm: de Leva 1996, table 4, men. Gravity
9.80665 m/s2 (ISO 80000-3).
"""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from limbs.by_trig import exact_points, inside, plane_frame
from limbs.trial import altered, arms_of, random_geometry, suit_of
from limbwright.analyses.effort import AXES, Effort, PoseEffort, effort_over, leaning_gravity
from limbwright.analyses.reach import sweep_reach
from limbwright.engine.closure import follow_drive
from limbwright.limbs.arm_masses import MassItem, arm_items, own_arm_items
from limbwright.limbs.parallel_arm import Drive, build_arm, pose_of
from limbwright.limbs.worn_arm import WornArm
from limbwright.model.suit import Suit

G = 9.80665
LAYERS = {f"limbs.arm.{name}.layer": f"{60 + 12 * i} mm" for i, name in enumerate(
    ("mast", "driver", "carrier", "performer_forearm", "character_forearm", "relay", "rods.relay")
)}  # fmt: skip
BELL = {
    "name": "bell", "on": "arm/forearm_rod", "mass": {"value": "300 g", "range": ["200 g", "400 g"]},
    "centre": ["200 mm", "0 mm", "30 mm"],
}  # fmt: skip
EDITS: dict[str, object] = {**LAYERS, "parts.2": BELL}
SUIT = suit_of(EDITS)
ARMS = {arm.side: arm for arm in arms_of(EDITS)}
HOSTS = {  # body: where its frame sits, and which of (elevation, elbow) turn it
    "swivel": ("S", 0, 0), "driver": ("S", 1, 0), "performer_forearm": ("E", 1, 1), "carrier": ("S'", 1, 0),
    "relay": ("E1", 1, 1), "character_forearm": ("E'", 1, 1),
}  # fmt: skip
ROD_PINS = {"shoulder_rod": ("A", "A'"), "forearm_rod": ("B", "B'"), "relay_rod": ("C", "C'")}


def place(geometry, item: MassItem, drive: Drive) -> np.ndarray:
    """World place of an item by hand: hinges from trigonometry, local axes raising, across, against the
    limb."""
    points, (r, up) = exact_points(geometry, drive), plane_frame(geometry, drive.swing)
    across = np.cross(up, r)
    if item.rod:
        a, b = (points[p] for p in ROD_PINS[item.body])
        return a + item.along * (b - a) + item.centre[1] * across
    hinge, raised, bent = HOSTS[item.body]
    angle = raised * drive.elevation + bent * drive.elbow
    raising = math.cos(angle) * r + math.sin(angle) * up
    against = -math.sin(angle) * r + math.cos(angle) * up
    return points[hinge] + item.centre @ np.array([raising, across, against])


def slope(geometry, items, drive: Drive, gravity: np.ndarray) -> np.ndarray:
    """dV over swing, elevation, elbow by central differences of 2e-5 rad: error under 1e-8 N m here."""
    step, found = 2e-5, []
    for name in ("swing", "elevation", "elbow"):
        ends = []
        for change in (step, -step):
            there = replace(drive, **{name: getattr(drive, name) + change})
            ends.append(-sum(i.mass * gravity @ place(geometry, i, there) for i in items))
        found.append((ends[0] - ends[1]) / (2 * step))
    return np.array(found)


def all_items(suit: Suit, arm: WornArm) -> tuple[MassItem, ...]:
    return (*arm_items(suit, arm), *own_arm_items(arm))


def asked(suit: Suit, arm: WornArm, drive: Drive) -> PoseEffort:
    q = pose_of(arm.mechanism, drive)
    assert q is not None
    found = effort_over(suit, arm, q[None, :], {"here": q})
    assert found is not None
    return found.named[0]


def values(pose: PoseEffort) -> np.ndarray:
    return np.array([pose.asked[axis].value for axis in AXES])


@pytest.mark.parametrize("lean", [0.0, 20.0, -10.0])
@pytest.mark.parametrize("side", ["right", "left"])
def test_moments_are_the_slope_of_the_potential_energy(side, lean):
    rng = np.random.default_rng(1)
    suit = SUIT.model_copy(update={"lean": math.radians(lean)})
    tilt = math.radians(lean)
    gravity = G * np.array([math.sin(tilt), 0.0, -math.cos(tilt)])  # the suit's own axes, trunk bowed forward
    for _ in range(6):
        geometry, home = random_geometry(rng, ARMS[side].geometry)
        arm = replace(ARMS[side], geometry=geometry, assembled=home, mechanism=build_arm(geometry, home))
        drive = inside(geometry, home, rng, 0.2)
        want = slope(geometry, all_items(suit, arm), drive, gravity)
        np.testing.assert_allclose(values(asked(suit, arm, drive)), want, atol=1e-7)


def test_level_own_arm_by_hand():
    """Arm out level and straight: 75 kg x (.0271 x .5772 la + .0162 (la + .4574 lf) + .0061 (la + lf +
    .3624 lh)) g about the shoulder, and the same less la about the elbow."""
    arm = ARMS["right"]
    la, lf = arm.body.upper_arm.value, arm.body.forearm.value
    lh = arm.body.segments["hand"].length
    shoulder = (
        75 * G * (0.0271 * 0.5772 * la + 0.0162 * (la + 0.4574 * lf) + 0.0061 * (la + lf + 0.3624 * lh))
    )
    elbow = 75 * G * (0.0162 * 0.4574 * lf + 0.0061 * (lf + 0.3624 * lh))
    found = asked(SUIT, arm, Drive(1.0, math.pi / 2, 0.0)).asked
    assert found["shoulder"].own_arm == pytest.approx(shoulder, rel=1e-9)
    assert found["elbow"].own_arm == pytest.approx(elbow, rel=1e-9)
    assert found["swing"].own_arm == pytest.approx(0.0, abs=1e-9)


def test_a_mass_in_the_characters_hand_by_hand():
    """Parallelograms carry a weight at the character's hand to the performer as if it hung on a lever of the
    carrier's level reach plus the forearm's: 1 kg at elevation 60, elbow 30 deg."""
    light = suit_of()
    part = {"name": "bell", "on": "arm/character_hand", "mass": "1 kg", "centre": ["0 mm", "0 mm", "0 mm"]}
    heavy = suit_of({"parts.2": part})
    drive = Drive(1.2, math.radians(60), math.radians(30))
    arm = arms_of()[0]
    without = light.model_copy(update={"parts": light.parts[:2]})
    more = values(asked(heavy, arm, drive)) - values(asked(without, arm, drive))
    fore = 0.72 * math.sin(math.radians(90))
    np.testing.assert_allclose(
        more, [0.0, G * (0.68 * math.sin(math.radians(60)) + fore), G * fore], atol=1e-9
    )


def test_trunk_lean_is_the_whole_suit_leaning():
    """Gravity tilted by the trunk's lean, or the swivel leant forward as much under upright gravity: one
    thing."""
    for side, lean in (("right", 0.35), ("left", -0.2)):
        leaning = SUIT.model_copy(update={"lean": lean})
        tilted = altered(ARMS[side], lean_forward=lean)
        for drive in (Drive(0.3, 1.2, 0.4), Drive(1.7, 0.8, 0.9)):
            bowed, built = asked(leaning, ARMS[side], drive), asked(SUIT, tilted, drive)
            np.testing.assert_allclose(values(bowed), values(built), atol=1e-9)
            assert abs(values(bowed)[0]) > 0.1  # the swing is loaded, so the check sees something


def test_leaning_gravity_points_ahead_of_the_trunk():
    np.testing.assert_allclose(leaning_gravity(math.radians(90)), [G, 0, 0], atol=1e-12)
    np.testing.assert_allclose(leaning_gravity(0.0), [0, 0, -G], atol=1e-12)


def test_bowing_asks_the_raised_arm_to_be_held_back():
    """Arm out to the side, trunk bowed forward: weight pulls the arm forward, so the moment that holds it is
    against the swing; an upright swivel asks for none."""
    drive = Drive(0.0, math.pi / 2, 0.2)
    for arm in ARMS.values():
        assert values(asked(SUIT, arm, drive))[0] == pytest.approx(0.0, abs=1e-9)
        bowed = SUIT.model_copy(update={"lean": 0.3})
        assert values(asked(bowed, arm, drive))[0] < -1.0


@cache
def suit_with(part: str, mass: float) -> Suit:
    index = [p.name for p in SUIT.parts].index(part)
    return suit_of({**EDITS, f"parts.{index}.mass": f"{mass} kg"})


@pytest.mark.parametrize("part", ["arm shell", "forearm shell", "bell"])
def test_linear_and_rising_in_a_parts_mass(part):
    """Weights are forces: twice the extra mass is twice the extra moment; outboard mass never lightens."""
    drive = Drive(0.9, math.radians(75), math.radians(25))
    at = [values(asked(suit_with(part, mass), ARMS["right"], drive)) for mass in (0.1, 0.6, 1.1, 2.1)]
    np.testing.assert_allclose(at[2] - at[1], at[1] - at[0], atol=1e-9)
    np.testing.assert_allclose(at[3] - at[2], 2 * (at[1] - at[0]), atol=1e-9)
    assert at[0][1] < at[1][1] < at[2][1] < at[3][1]


def test_every_item_of_an_outstretched_arm_adds():
    """With the arm out nothing is inboard of its hinge: each item's share about the shoulder is at least
    zero, and only what rides on the swivel adds none."""
    arm, drive = ARMS["right"], Drive(0.9, math.radians(75), math.radians(25))
    q = pose_of(arm.mechanism, drive)
    assert q is not None
    gravity = np.array([0.0, 0.0, -G])
    for item in all_items(SUIT, arm):
        share = slope(arm.geometry, [item], drive, gravity)[1]
        assert share > 1e-6 or (item.body == "swivel" and abs(share) < 1e-7), item.name


@pytest.mark.parametrize("side", ["right", "left"])
def test_band_holds_two_thousand_draws(side):
    """Every mass drawn anywhere in its range (uniform, seeded): no moment outside the band; and both ends
    of the band are reached by a corner, so it is no wider than it must be. Moments by hand, item by
    item."""
    rng = np.random.default_rng(2000)
    suit = SUIT.model_copy(update={"lean": 0.15})
    arm, drive = ARMS[side], Drive(0.6, math.radians(100), math.radians(50))
    gravity = leaning_gravity(0.15)
    items = all_items(suit, arm)
    each = np.array([slope(arm.geometry, [i], drive, gravity) / i.mass for i in items])
    ends = np.array([i.ends for i in items])
    drawn = rng.uniform(ends[:, 0], ends[:, 1], (2000, len(items))) @ each
    found = asked(suit, arm, drive)
    for k, axis in enumerate(AXES):
        low, high = found.asked[axis].band
        assert drawn[:, k].min() >= low - 1e-7
        assert drawn[:, k].max() <= high + 1e-7
        assert low <= found.asked[axis].value <= high
        heavy = np.where(each[:, k] > 0.0, ends[:, 1], ends[:, 0]) @ each[:, k]
        light = np.where(each[:, k] > 0.0, ends[:, 0], ends[:, 1]) @ each[:, k]
        assert (low, high) == pytest.approx((light, heavy), abs=1e-6)


@pytest.fixture(scope="module")
def swept() -> tuple[Effort, np.ndarray]:
    arm = ARMS["right"]
    reach = sweep_reach(arm, (0.35, 0.175, 0.175))
    q = reach.poses(reach.usable)
    suit = SUIT.model_copy(update={"lean": 0.1})
    found = effort_over(suit, arm, q, {})
    assert found is not None
    return found, q


def test_worst_pose_is_the_worst(swept):
    """Against the slope of the potential energy in every tenth usable pose, and the greatest of all
    moments."""
    found, q = swept
    arm = ARMS["right"]
    items, gravity = all_items(SUIT, arm), leaning_gravity(0.1)
    drives = arm.mechanism.driven_values(q)
    for row in range(0, len(q), max(1, len(q) // 25)):
        want = slope(arm.geometry, items, Drive(*(float(v) for v in drives[row])), gravity)
        np.testing.assert_allclose(found.moments[row], want, atol=1e-7)
    for k, axis in enumerate(AXES):
        most = np.abs(found.moments[:, k]).max()
        assert abs(found.worst[axis].asked[axis].value) == pytest.approx(most, abs=1e-6)


@pytest.mark.parametrize("crank", [0.08, 0.01])
def test_near_two_locks_the_moments_are_still_numbers(crank):
    """Shoulder and forearm stages 0.6 deg from their locks at once, cranks down to 10 mm: a short crank is no
    lock. Of the slope of the energy 1e-6, as two nearly vanishing columns leave that much of 16 digits."""
    th, fl = math.radians(70), math.radians(50)
    geometry = replace(
        ARMS["right"].geometry, mast_lean=0.0,
        angle_shoulder=math.pi - th - math.radians(0.6), angle_forearm=math.pi - th - fl + math.radians(0.6),
    )  # fmt: skip
    names = ("driver", "carrier", "forearm", "relay_lower", "relay_outer", "character")
    geometry = replace(geometry, **{f"crank_{name}": crank for name in names}).matched()
    home = Drive(1.0, th, fl)
    arm = replace(ARMS["right"], geometry=geometry, assembled=home, mechanism=build_arm(geometry, home))
    want = slope(geometry, all_items(SUIT, arm), home, np.array([0.0, 0.0, -G]))
    np.testing.assert_allclose(values(asked(SUIT, arm, home)), want, rtol=1e-6, atol=1e-6)


def test_no_usable_pose_no_moments():
    arm = ARMS["right"]
    assert effort_over(SUIT, arm, np.zeros((0, 6)), {}) is None


def test_masses_without_a_range_are_named():
    suit = suit_of({"parts.0.mass": "500 g"})
    q = follow_drive(ARMS["right"].mechanism, np.array([[1.0, 1.0, 0.5]])).q
    found = effort_over(suit, arms_of()[0], q, {})
    assert found is not None
    assert found.unstated == ("arm shell",)
