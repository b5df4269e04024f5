"""Rates of points against differences of solved poses, and the velocity ratio against a search by brute
force."""

import math
from dataclasses import replace

import numpy as np
import pytest

from limbs.by_trig import exact_points, inside
from limbs.trial import arms_of, random_geometry
from limbwright.engine.closure import closure_jacobian, closure_rows, follow_drive
from limbwright.engine.outcome import Outcome
from limbwright.engine.rates import point_motion, rows_at, velocity_ratio
from limbwright.limbs.arm_points import local_points
from limbwright.limbs.parallel_arm import Drive, build_arm, pose_of

BASE = arms_of()[0].geometry
POINTS = ("E", "W", "G", "E1", "E'", "W'", "T'", "A'", "B'", "C'")


def arms(seed: int, error: float, rods: str = "rows", count: int = 6):
    rng = np.random.default_rng(seed)
    for _ in range(count):
        geometry, home = random_geometry(rng, BASE)
        geometry = geometry.with_length("rod_shoulder", error).with_length("rod_relay", -error)
        mechanism = build_arm(geometry, home, rods=rods)  # type: ignore[arg-type]
        yield geometry, home, mechanism, inside(geometry, home, rng, 0.4)


@pytest.mark.parametrize("error", [0.0, 0.0008])
@pytest.mark.parametrize("rods", ["rows", "bodies"])
def test_rates_are_differences_of_solved_poses(rods, error):
    """Fourth-order differences of 1e-4 rad (error h^4 / 30) of poses solved anew: 1e-7 m/rad."""
    for geometry, _, mechanism, drive in arms(1, error, rods):
        points = [(mechanism.body(b), at) for b, at in (local_points(geometry)[p] for p in POINTS)]
        here = np.array([drive.swing, drive.elevation, drive.elbow])
        step = 1e-4
        ways = [here, *(here + s * step * np.eye(3)[i] for i in range(3) for s in (1, -1, 2, -2))]
        poses = follow_drive(mechanism, np.array(ways))
        assert set(poses.outcome) == {Outcome.CLOSED}
        motion = point_motion(mechanism, poses.q, points)
        for i in range(3):
            ahead, back, two_ahead, two_back = motion.place[1 + 4 * i : 5 + 4 * i]
            slope = (8 * (ahead - back) - (two_ahead - two_back)) / (12 * step)
            np.testing.assert_allclose(motion.rate[0, :, :, i], slope, atol=1e-7)


def test_rates_of_an_exact_arm_by_trigonometry():
    """Places written down by hand; their differences share nothing with the solver."""
    for geometry, _, mechanism, drive in arms(2, 0.0):
        points = [(mechanism.body(b), at) for b, at in (local_points(geometry)[p] for p in POINTS)]
        q = pose_of(mechanism, drive)
        assert q is not None
        motion = point_motion(mechanism, q[None, :], points)
        step = 1e-5
        for i, name in enumerate(("swing", "elevation", "elbow")):
            ends = [
                exact_points(geometry, replace(drive, **{name: getattr(drive, name) + s * step}))
                for s in (1, -1)
            ]
            for k, point in enumerate(POINTS):
                slope = (ends[0][point] - ends[1][point]) / (2 * step)
                np.testing.assert_allclose(motion.rate[0, k, :, i], slope, atol=1e-7)


def test_rows_and_jacobian_at_poses_that_need_not_close():
    for _, _, mechanism, drive in arms(3, 0.001):
        rng = np.random.default_rng(4)
        q = np.array([drive.swing, drive.elevation, drive.elbow] * 2) + rng.normal(0, 0.2, (5, 6))
        found = rows_at(mechanism.linkage, q)
        for row, one in enumerate(q):
            np.testing.assert_allclose(found.rows[row], closure_rows(mechanism, one), atol=1e-14)
            dependent = closure_jacobian(mechanism, one)[:, mechanism.linkage.dependent]
            np.testing.assert_allclose(found.jacobian[row], dependent, atol=1e-14)


def directions(count: int) -> np.ndarray:
    """Unit vectors spread evenly over the sphere (golden-angle spiral)."""
    k = np.arange(count) + 0.5
    z, turn = 1.0 - 2.0 * k / count, math.pi * (1.0 + math.sqrt(5.0)) * k
    flat = np.sqrt(1.0 - z**2)
    return np.stack([flat * np.cos(turn), flat * np.sin(turn), z], axis=1)


def test_velocity_ratio_against_every_direction_of_motion():
    """|F v| / |L v| tried over 40,000 directions v of the driven rates: none outside the two singular
    values, and the extremes come within a thousandth of them."""
    rng = np.random.default_rng(5)
    follower, leader = rng.normal(size=(30, 3, 3)), rng.normal(size=(30, 3, 3))
    # so that even 40,000 directions find the narrow extremes: leaders that are not nearly flat
    leader = np.array([u @ np.diag(rng.uniform(0.4, 2.0, 3)) @ vt for u, _, vt in map(np.linalg.svd, leader)])
    found = velocity_ratio(follower, leader, 0.05)
    tried = directions(40_000).T
    for row in range(30):
        ratio = np.linalg.norm(follower[row] @ tried, axis=0) / np.linalg.norm(leader[row] @ tried, axis=0)
        greatest, least = found[row]
        assert least * (1 - 1e-9) <= ratio.min()
        assert ratio.max() <= greatest * (1 + 1e-9)
        assert ratio.max() == pytest.approx(greatest, rel=2e-3)
        assert ratio.min() == pytest.approx(least, rel=2e-2, abs=2e-2)


def test_ratio_of_hands_by_hand():
    """Arm level and out, elbow square and up, upright: about the swivel hands go as their level distances,
    the rest lies in the plane. A hand twice as far out goes twice as fast."""
    leader = np.diag([0.5, 0.3, 0.25])
    np.testing.assert_allclose(
        velocity_ratio(2.0 * leader[None], leader[None], 0.05), [[2.0, 2.0]], rtol=1e-12
    )
    stretched = np.diag([1.5, 0.3, 0.25])
    np.testing.assert_allclose(velocity_ratio(stretched[None], leader[None], 0.05), [[3.0, 1.0]], rtol=1e-12)


@pytest.mark.parametrize(("least", "sound"), [(0.0501, True), (0.0499, False), (0.0, False)])
def test_no_ratio_where_the_leader_loses_a_direction(least, sound):
    leader = np.diag([0.5, 0.3, least])[None]
    assert np.isfinite(velocity_ratio(np.eye(3)[None], leader, 0.05)).all() == sound


def test_a_locked_pose_has_no_rates():
    """On a change point the copy's column vanishes, and dq_d/dq_i has no value: NaN, no large number."""
    geometry, home = BASE, Drive(1.0, 0.8, 0.7)
    mechanism = build_arm(geometry, home)
    elbow = -geometry.angle_relay
    q = np.array([1.0, 0.8, elbow, 0.8, elbow, elbow])
    assert np.abs(closure_rows(mechanism, q)).max() < 1e-12
    hand = (mechanism.body("character_forearm"), np.array([0.0, 0.0, -0.5]))
    assert np.isnan(point_motion(mechanism, q[None, :], [hand]).rate).all()
    near = q + math.radians(0.5) * np.array([0, 0, 1, 0, 1, 1])
    assert np.isfinite(point_motion(mechanism, near[None, :], [hand]).rate).all()


def test_no_ratio_of_rates_that_are_none():
    """One locked pose among sound ones spoils neither the sum nor the others."""
    rng = np.random.default_rng(6)
    follower, leader = rng.normal(size=(3, 3, 3)), np.tile(np.eye(3), (3, 1, 1))
    follower[1] = np.nan
    found = velocity_ratio(follower, leader, 0.05)
    assert np.isnan(found[1]).all()
    assert np.isfinite(found[[0, 2]]).all()
