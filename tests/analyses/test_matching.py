"""Forearms out of parallel from length errors, against the exactly solved arm and published formulas.

Sources: jobmap section 0 for -d/(b sin theta); the four-bar's law of cosines (`limbs.by_trig`) for exact
angles; differences of exactly solved arms for every length. Worst is the sum of the shares and likely the
root of their squares (textbook error propagation).
"""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from limbs.by_trig import along, inside, solved_sines
from limbs.trial import altered, arms_of, assembled_at, random_geometry
from limbwright.analyses.matching import (
    exact_offset,
    margin_spread,
    matching_at,
    matching_over,
    worst_corner,
)
from limbwright.engine.closure import follow_drive
from limbwright.limbs.arm_geometry import LENGTHS
from limbwright.limbs.parallel_arm import Drive, build_arm, pose_of
from limbwright.limbs.worn_arm import WornArm

ARM = arms_of()[0]
COUNT = 6


@cache
def random_arms(seed: int, margin: float = 0.5) -> list[tuple[WornArm, Drive, np.ndarray]]:
    """Arms and poses well inside their windows."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(COUNT):
        geometry, home = random_geometry(rng, ARM.geometry)
        arm = replace(ARM, geometry=geometry, assembled=home, mechanism=build_arm(geometry, home))
        drive = inside(geometry, home, rng, margin)
        q = pose_of(arm.mechanism, drive)
        assert q is not None
        found.append((arm, drive, q))
    return found


@pytest.mark.parametrize("name", LENGTHS)
def test_linear_share_against_the_solved_arm(name):
    """Central difference of two exactly solved arms, 20 um either way: 1e-4 of the length's own share, with a
    floor where it has none to speak of."""
    step = 2e-5
    for arm, drive, q in random_arms(1):
        ends = [exact_offset(arm, drive, name, change) for change in (step, -step)]
        exact = (ends[0] - ends[1]) / (2.0 * step)
        linear = matching_at(arm, q[None, :]).sensitivity[0, LENGTHS.index(name)]
        assert linear == pytest.approx(exact, rel=1e-4, abs=1e-5)


def test_every_length_is_felt_somewhere():
    """So that the check above is known to see each: every one turns the forearm by 0.1 rad/m in some arm."""
    found = np.abs([matching_at(arm, q[None, :]).sensitivity[0] for arm, _, q in random_arms(1)])
    assert np.all(found.max(axis=0) > 0.1)


def test_a_relay_rods_error_turns_the_forearm_by_the_published_formula():
    """Output turns by -d/(b sin theta), theta from crank to rod, which is ph + c2 - th: the relay rod moves
    nothing but the character's forearm, so its share is that formula alone."""
    for arm, drive, q in random_arms(2):
        theta = drive.elbow + arm.geometry.angle_relay
        found = matching_at(arm, q[None, :]).sensitivity[0, LENGTHS.index("rod_relay")]
        assert found == pytest.approx(-1.0 / (arm.geometry.crank_character * math.sin(theta)), rel=1e-6)


@pytest.mark.parametrize(("theta", "turned"), [(90.0, 0.36), (20.0, 1.07), (10.0, 2.27)])
def test_the_job_maps_figures(theta, turned):
    """jobmap section 0, exact: crank 80, side 400, rod 0.5 mm long: 0.36, 1.07, 2.27 deg at 90, 20, 10
    deg."""
    geometry = replace(
        ARM.geometry, carrier=ARM.geometry.relay_at + 0.4, crank_relay_outer=0.08, crank_character=0.08
    )
    geometry = replace(geometry.matched(), angle_relay=0.5 * math.pi - ARM.assembled.elbow)
    arm = altered(ARM, **geometry.__dict__)
    drive = replace(ARM.assembled, elbow=math.radians(theta) - geometry.angle_relay)
    # the same change point at 180 deg is the far one for a long rod: take the angle at the near one
    for near in (drive, replace(drive, elbow=math.pi - math.radians(theta) - geometry.angle_relay)):
        offset = math.degrees(exact_offset(arm, near, "rod_relay", 0.0005))
        if round(abs(offset), 2) == turned:
            return
    pytest.fail(f"neither side turns by {turned} deg")


def test_exact_lengths_match_exactly():
    for arm, _, q in random_arms(3, margin=0.1):
        assert abs(matching_at(arm, q[None, :]).offset[0]) < 1e-9


def test_offset_with_lengths_as_written_is_the_four_bars():
    """A rod written 2 mm long: carrier and forearm angles by the law of cosines."""
    for arm, drive, _ in random_arms(4, margin=0.7):
        wrong = altered(arm, rod_shoulder=arm.geometry.rod_shoulder + 0.002)
        q = pose_of(wrong.mechanism, drive)
        assert q is not None
        g = wrong.geometry
        pin = g.crank_driver * along(drive.elevation + g.angle_shoulder)
        apart = pin - g.mast * along(math.pi - g.mast_lean)
        far = np.linalg.norm(apart)
        between = math.acos((far**2 + g.crank_carrier**2 - g.rod_shoulder**2) / (2 * far * g.crank_carrier))
        toward = math.atan2(apart[0], -apart[1])
        carrier = [toward + s * between - g.angle_shoulder for s in (1, -1)]
        got = q[3]
        turned = min(abs(math.remainder(got - c, 2 * math.pi)) for c in carrier)
        assert turned < 1e-10
        matching = matching_at(wrong, q[None, :])
        assert matching.offset[0] == pytest.approx(q[3] + q[5] - drive.elevation - drive.elbow, abs=1e-12)
        assert abs(matching.offset[0]) > 1e-4


def test_worst_and_likely_are_sum_and_root_of_squares():
    for arm, _, q in random_arms(5):
        found = matching_at(arm, q[None, :])
        parts = [
            abs(found.sensitivity[0, i]) * arm.geometry.tolerance[name] for i, name in enumerate(LENGTHS)
        ]
        assert found.worst[0] == pytest.approx(math.fsum(parts), rel=1e-12)
        assert found.likely[0] == pytest.approx(math.hypot(*parts), rel=1e-12)
        assert found.worst[0] >= found.likely[0] >= max(parts) - 1e-15


def test_worst_is_not_beaten_by_solved_arms():
    """Arms with every length at one end of its +/-, solved exactly: the worst corner is the linear sum and no
    other beats it. At a tenth of the shop's +/-, so that the second order stays under 1 %."""
    rng = np.random.default_rng(6)
    for whole, drive, q in random_arms(6, margin=0.6):
        tenth = {name: 0.1 * half for name, half in whole.geometry.tolerance.items()}
        arm = altered(whole, tolerance=tenth)
        found = matching_at(arm, q[None, :])
        tolerance = np.array([tenth[name] for name in LENGTHS])

        def solved(signs, arm=arm, drive=drive, tolerance=tolerance):
            changed = arm.geometry
            for name, change in zip(LENGTHS, signs * tolerance, strict=True):
                changed = changed.with_length(name, float(change))
            got = pose_of(build_arm(changed, arm.assembled), drive)
            assert got is not None
            return got[3] + got[5] - got[1] - got[2]

        corner = np.sign(found.sensitivity[0])
        assert solved(corner) == pytest.approx(found.worst[0], rel=0.01)
        for signs in rng.choice([-1.0, 1.0], (30, len(LENGTHS))):
            assert abs(solved(signs)) <= 1.01 * found.worst[0]


def test_trimmed_rods_follow_their_sides():
    """A rod set to match a side that came out long leaves nothing: mast + 1 mm with both its rods + 1 mm,
    solved exactly, is parallel again. A trimmed mast has no share, a trimmed rod only what trimming
    leaves."""
    arm = altered(ARM, trimmed=("rod_shoulder", "rod_forearm", "rod_relay"))
    q = arm.mechanism.assembled
    found = matching_at(arm, q[None, :])
    for sides, rods in ((("mast",), ("rod_shoulder", "rod_forearm")), (("carrier",), ("rod_relay",))):
        changed = arm.geometry
        for name in (*sides, *rods):
            changed = changed.with_length(name, 0.001)
        got = pose_of(build_arm(changed, arm.assembled), arm.assembled)
        assert got is not None
        assert abs(got[3] + got[5] - got[1] - got[2]) < 1e-9
        for side in sides:
            assert found.trimmed_shares[0, LENGTHS.index(side)] < 1e-9
    rod = LENGTHS.index("rod_relay")
    assert found.trimmed_shares[0, rod] == pytest.approx(abs(found.sensitivity[0, rod]) * 1e-4, rel=1e-9)
    assert found.trimmed_worst[0] < found.worst[0]
    assert found.trimmed_likely[0] <= found.trimmed_worst[0]


def test_untrimmed_arm_gains_nothing():
    found = matching_at(ARM, ARM.mechanism.assembled[None, :])
    np.testing.assert_array_equal(found.trimmed_shares, found.shares)


@pytest.mark.parametrize("trimmed", [(), ("rod_shoulder", "rod_forearm", "rod_relay")])
def test_margin_spread_against_the_solved_arm(trimmed):
    """Root of squares of each length's own effect on each stage's angle, by differences of arms solved
    exactly with the law of cosines; a trimmed rod follows its side."""
    copies = {"mast": ("rod_shoulder", "rod_forearm"), "carrier": ("rod_relay",), "relay_at": ("rod_relay",)}
    step = 1e-6
    for base, drive, q in random_arms(7):
        arm = altered(base, trimmed=trimmed)
        squares = np.zeros(6)
        for name in LENGTHS:
            ends = []
            for change in (step, -step):
                changed = arm.geometry.with_length(name, change)
                if trimmed:
                    for rod in copies.get(name, ()):
                        changed = changed.with_length(rod, -change if name == "relay_at" else change)
                where = (np.array(drive.elevation), np.array(drive.elbow))
                ends.append(np.arcsin(solved_sines(changed, arm.assembled, *where)))
            half = (
                min(1e-4, arm.geometry.tolerance[name]) if name in trimmed else arm.geometry.tolerance[name]
            )
            squares += ((ends[0] - ends[1]) / (2 * step) * half) ** 2
        np.testing.assert_allclose(margin_spread(arm, q[None])[0], np.sqrt(squares), rtol=2e-3, atol=2e-6)


def test_over_poses_takes_each_elevation_and_elbow_once():
    """The swing turns the plane and nothing in it: the same pair at two swings is one row, with one
    answer."""
    swings, pairs = np.radians([10.0, 50.0]), np.radians([[40.0, 30.0], [60.0, 30.0], [50.0, 50.0]])
    drive = np.array([[s, *pair] for s in swings for pair in pairs])
    q = follow_drive(ARM.mechanism, drive).q
    found = matching_over(ARM, q)
    np.testing.assert_allclose(sorted(map(tuple, found.drive)), sorted(map(tuple, pairs)), atol=1e-12)
    each = matching_at(ARM, q)
    np.testing.assert_allclose(each.worst[:3], each.worst[3:], rtol=1e-9)


def test_an_error_that_locks_the_pose_says_so():
    """jobmap: a rod 0.5 mm long locks 5.734 deg early; 4 deg from the change point there is no such pose."""
    geometry = replace(
        ARM.geometry, carrier=ARM.geometry.relay_at + 0.4, crank_relay_outer=0.08, crank_character=0.08
    )
    geometry = replace(geometry.matched(), angle_relay=0.5 * math.pi - ARM.assembled.elbow)
    arm: WornArm = assembled_at(replace(ARM, geometry=geometry), 60, 45, 40)
    near = Drive(1.0, math.radians(45), math.radians(4.0) - geometry.angle_relay)
    far = replace(near, elbow=math.radians(176.0) - geometry.angle_relay)
    locked = [math.isnan(exact_offset(arm, d, "rod_relay", 0.0005)) for d in (near, far)]
    assert sorted(locked) == [False, True]


@pytest.mark.parametrize("trimmed", [(), ("rod_shoulder", "rod_forearm", "rod_relay")])
def test_the_worst_corner_is_no_less_than_any_of_many_corners_nearby(trimmed):
    """Far from a lock the sensitivities find the worst of all corners: 200 random ones, each solved
    with its lengths put in by hand, stay under it; and it stays near the linear sum."""
    copies = {
        "rod_shoulder": {"mast": 1},
        "rod_forearm": {"mast": 1},
        "rod_relay": {"carrier": 1, "relay_at": -1},
    }
    rng = np.random.default_rng(9)
    for base, drive, q in random_arms(5, margin=0.9)[:2]:
        arm = altered(base, trimmed=trimmed)
        matching = matching_at(arm, q[None])
        corner = worst_corner(arm, matching, 0, trimmed=bool(trimmed))
        assert not corner.locks
        linear = (matching.trimmed_worst if trimmed else matching.worst)[0]
        assert corner.offset == pytest.approx(linear, rel=0.15)
        for _ in range(200):
            half = {n: min(1e-4, t) if n in trimmed else t for n, t in arm.geometry.tolerance.items()}
            moved = {n: float(rng.choice([-1.0, 1.0])) * half[n] for n in LENGTHS}
            for rod in trimmed:
                moved[rod] += sum(sign * moved[side] for side, sign in copies[rod].items())
            geometry = replace(arm.geometry, **{n: getattr(arm.geometry, n) + d for n, d in moved.items()})
            other = replace(arm, geometry=geometry, mechanism=build_arm(geometry, arm.assembled))
            at = pose_of(other.mechanism, drive)
            assert at is not None
            assert abs(at[3] + at[5] - at[1] - at[2]) <= corner.offset * (1 + 1e-6)


def test_a_corner_that_locks_is_told():
    """The shoulder stage 4 deg from its lock with 8 mm off a crank of 80: a four-bar that long on one
    side cannot follow there (its locks lie asin of the mismatch, about 5.7 deg and more, inside)."""
    geometry = ARM.geometry
    near = math.pi - geometry.mast_lean - geometry.angle_shoulder - math.radians(4.0)
    loose = replace(geometry, tolerance={**geometry.tolerance, "rod_shoulder": 0.008}, trimmed=())
    arm = replace(ARM, geometry=loose)
    q = pose_of(arm.mechanism, Drive(1.0, near, 0.1))
    assert q is not None
    assert worst_corner(arm, matching_at(arm, q[None]), 0, trimmed=False).locks
