"""What an arm's numbers may not depend on: where it stands, which way it swings, how large it is drawn.

Source: Newtonian mechanics is the same everywhere and in every direction about the vertical; dimensional
analysis for the scale (moments of given weights go as length; angles from a length error go as its
inverse).
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from limbs.by_trig import inside
from limbs.trial import altered, arms_of, random_geometry, suit_of
from limbwright.analyses.effort import AXES, effort_over
from limbwright.analyses.matching import matching_at
from limbwright.analyses.travel import hand_travel
from limbwright.engine.closure import stage_angles
from limbwright.engine.flood import flood_range
from limbwright.limbs.arm_geometry import LENGTHS
from limbwright.limbs.parallel_arm import Drive, build_arm, pose_of
from limbwright.limbs.worn_arm import WornArm

SUIT, ARM = suit_of(), arms_of()[0]
SIZES = (*LENGTHS, "performer_forearm", "performer_grip", "character_forearm", "character_hand")


def moments(arm: WornArm, drive: Drive, lean: float = 0.0) -> np.ndarray:
    q = pose_of(arm.mechanism, drive)
    assert q is not None
    found = effort_over(SUIT.model_copy(update={"lean": lean}), arm, q[None, :], {"here": q})
    assert found is not None
    return np.array([found.named[0].asked[axis].value for axis in AXES])


def random_arms(seed: int):
    rng = np.random.default_rng(seed)
    for _ in range(5):
        geometry, home = random_geometry(rng, ARM.geometry)
        arm = replace(ARM, geometry=geometry, assembled=home, mechanism=build_arm(geometry, home))
        yield arm, inside(geometry, home, rng, 0.2), rng


def test_moments_do_not_depend_on_where_the_shoulder_is():
    for arm, drive, rng in random_arms(1):
        moved = altered(arm, shoulder=arm.geometry.shoulder + rng.uniform(-2, 2, 3))
        np.testing.assert_allclose(moments(moved, drive, 0.2), moments(arm, drive, 0.2), atol=1e-9)


def test_the_hand_moves_with_the_shoulder():
    for arm, drive, rng in random_arms(2):
        shift = rng.uniform(-1, 1, 3)
        moved = altered(arm, shoulder=arm.geometry.shoulder + shift)
        q = pose_of(arm.mechanism, drive)
        assert q is not None
        one, two = (hand_travel(a, q[None, :]) for a in (arm, moved))
        assert one is not None
        assert two is not None
        assert two.highest - one.highest == pytest.approx(shift[2], abs=1e-9)
        assert two.widest == pytest.approx(one.widest, abs=1e-9)
        assert two.ratio_greatest == pytest.approx(one.ratio_greatest, rel=1e-9, nan_ok=True)


def test_an_upright_arm_weighs_the_same_at_every_swing():
    """Gravity is vertical and so is the swivel: shoulder and elbow do not feel the swing, the swing feels
    none."""
    for arm, drive, _ in random_arms(3):
        upright = altered(arm, lean_out=0.0, lean_forward=0.0)
        first = moments(upright, drive)
        assert first[0] == pytest.approx(0.0, abs=1e-9)
        for swing in np.radians([-60.0, 0.0, 45.0, 130.0]):
            got = moments(upright, replace(drive, swing=float(swing)))
            np.testing.assert_allclose(got, first, atol=1e-9)


def test_a_lean_and_its_swing_turn_together():
    """A trunk bowed by the angle it leans feels the arm at swing s as one leant outward feels it a quarter
    turn on: right arm, gravity tilted forward at swing s against gravity tilted outward (swivel leant) at s
    - 90."""
    lean = 0.3
    upright = altered(ARM, lean_out=0.0, lean_forward=0.0)
    outward = altered(ARM, lean_out=lean, lean_forward=0.0)
    for swing in (0.4, 1.2, 1.9):
        drive = Drive(swing, 0.9, 0.6)
        bowed = moments(upright, drive, lean)
        leant = moments(outward, replace(drive, swing=swing - math.pi / 2))
        np.testing.assert_allclose(bowed, leant, atol=1e-9)


@pytest.mark.parametrize("size", [0.5, 2.0])
def test_matching_goes_as_one_over_the_size(size):
    """Every length twice as long: the same 0.5 mm turns the forearm half as far; margins stay."""
    for arm, drive, _ in random_arms(4):
        larger = altered(arm, **{name: size * getattr(arm.geometry, name) for name in SIZES})
        one, two = pose_of(arm.mechanism, drive), pose_of(larger.mechanism, drive)
        assert one is not None
        assert two is not None
        np.testing.assert_allclose(
            stage_angles(arm.mechanism, one), stage_angles(larger.mechanism, two), atol=1e-8
        )
        small, large = (matching_at(a, q[None, :]).sensitivity for a, q in ((arm, one), (larger, two)))
        np.testing.assert_allclose(large, small / size, rtol=1e-5, atol=1e-5)


def test_locks_are_where_the_angles_are_whatever_the_size():
    axes = (np.array([0.5]), np.radians(np.arange(0.0, 161.0, 10.0)), np.radians(np.arange(0.0, 141.0, 10.0)))
    every = np.ones(17 * 15, dtype=bool)
    for arm, _, _ in random_arms(5):
        larger = altered(arm, **{name: 3.0 * getattr(arm.geometry, name) for name in SIZES})
        one, two = (flood_range(a.mechanism, axes, every, np.full(6, 0.15)) for a in (arm, larger))
        np.testing.assert_array_equal(one.barrier, two.barrier)


def test_a_weight_at_twice_the_reach_asks_twice_as_much():
    """A part alone: moments of a given weight go as length. Everything else is taken off by difference."""
    part = {"name": "bell", "on": "arm/character_hand", "mass": "1 kg", "centre": ["0 mm", "0 mm", "0 mm"]}
    heavy, light = suit_of({"parts.2": part}), SUIT.model_copy(update={"parts": SUIT.parts[:2]})
    for arm, drive, _ in random_arms(6):
        extra = []
        for size in (1.0, 2.0):
            scaled = altered(arm, **{name: size * getattr(arm.geometry, name) for name in SIZES})
            q = pose_of(scaled.mechanism, drive)
            assert q is not None
            found = [effort_over(suit, scaled, q[None, :], {"here": q}) for suit in (heavy, light)]
            assert found[0] is not None
            assert found[1] is not None
            extra.append([found[0].named[0].asked[a].value - found[1].named[0].asked[a].value for a in AXES])
        np.testing.assert_allclose(np.array(extra[1]), 2.0 * np.array(extra[0]), atol=1e-8)
