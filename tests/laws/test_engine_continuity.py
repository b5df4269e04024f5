"""A pose found by continuity is the pose, whatever the way there; and what an exact parallelogram keeps.

Laws of continuity on a simply connected usable range, and textbook properties of parallelograms.
"""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.rigs import ArmSizes, arm, arm_angles, random_sizes
from limbwright.engine.closure import follow_drive, frames, stage_angles
from limbwright.engine.outcome import Outcome

SEEDS = st.integers(0, 10_000)
JOININGS = st.sampled_from(["rod", "ball", "pin"])


@given(SEEDS, JOININGS)
@settings(max_examples=30)
def test_a_pose_does_not_depend_on_the_way_there(seed, joining):
    """Straight, by two detours, and in coarse jumps; rods up to half a millimetre wrong."""
    rng = np.random.default_rng(seed)
    sizes, home = random_sizes(rng, 0.0005)
    mechanism = arm(sizes, joining, home).assemble()
    goal = np.array(home) + rng.uniform(-0.4, 0.4, 3)
    found = []
    for detour in (np.zeros(3), rng.uniform(-0.3, 0.3, 3), rng.uniform(-0.3, 0.3, 3)):
        corner = np.array(home) + detour
        way = np.vstack([np.linspace(home, corner, 15), np.linspace(corner, goal, 15)])
        poses = follow_drive(mechanism, way)
        assert not poses.outcome.any()
        found.append(poses.q[-1])
    found.append(follow_drive(mechanism, goal[None]).q[0])
    np.testing.assert_allclose(found, np.tile(found[0], (4, 1)), atol=1e-8)


@given(SEEDS, JOININGS)
@settings(max_examples=30)
def test_a_closed_walk_comes_home(seed, joining):
    rng = np.random.default_rng(seed)
    sizes, home = random_sizes(rng, 0.0005)
    mechanism = arm(sizes, joining, home).assemble()
    t = np.linspace(0, 2 * np.pi, 80)[:, None]
    drive = np.array(home) + 0.35 * np.sin(t * rng.integers(1, 4, 3)) * rng.uniform(-1, 1, 3)
    poses = follow_drive(mechanism, drive)
    assert not poses.outcome.any()
    np.testing.assert_allclose(poses.q[-1], mechanism.assembled, atol=1e-8)


@given(SEEDS, JOININGS)
@settings(max_examples=30)
def test_neighbouring_poses_are_neighbours(seed, joining):
    """Continuity: halving the step between two driven poses halves the step between the poses found."""
    rng = np.random.default_rng(seed)
    sizes, home = random_sizes(rng, 0.0005)
    mechanism = arm(sizes, joining, home).assemble()
    towards = rng.normal(size=3)
    towards /= np.linalg.norm(towards)
    steps = 1e-3 * np.array([[1.0], [0.5]])
    poses = follow_drive(mechanism, np.array(home) + steps * towards)
    moved = poses.q - mechanism.assembled
    np.testing.assert_allclose(moved[0], 2 * moved[1], atol=2e-4 * np.abs(moved[0]).max() + 1e-9)


@given(SEEDS, JOININGS)
@settings(max_examples=30)
def test_the_coupler_of_an_exact_parallelogram_only_translates(seed, joining):
    """Carrier parallel to driver, relay and character's forearm parallel to the performer's, and every rod to
    the side it copies, in all poses: 1e-9 rad."""
    rng = np.random.default_rng(seed)
    sizes, home = random_sizes(rng)
    mechanism = arm(sizes, joining, home).assemble()
    drive = np.array(home) + rng.uniform(-0.4, 0.4, (10, 3))
    poses = follow_drive(mechanism, drive)
    assert not poses.outcome.any()
    for d, q in zip(drive, poses.q, strict=True):
        np.testing.assert_allclose(q, arm_angles(sizes, *d, joining), atol=1e-9)
        turn = frames(mechanism, q).rotation
        for one, other in (("driver", "carrier"), ("forearm", "relay"), ("forearm", "character forearm")):
            np.testing.assert_allclose(turn[mechanism.body(one)], turn[mechanism.body(other)], atol=1e-9)


@given(st.floats(0.02, 1.4), st.sampled_from([1.0, -1.0]), JOININGS)
@settings(max_examples=40)
def test_closed_to_the_very_edge_and_never_beyond(before, side, joining):
    """A stage driven to any place before its lock closes on its own side; to the same place behind it, it is
    reported, and a pose in between never turns up on the other side."""
    sizes = ArmSizes(crank_angles=(np.pi / 2 - 1.05, np.pi / 2 - 2.1, np.pi / 2 - 1.05))
    home = (0.0, 1.05, 1.05)
    mechanism = arm(sizes, joining, home).assemble()
    lock = home[1] + side * np.pi / 2  # where the shoulder's window closes
    drive = np.array([[0.0, lock - side * before, 1.05], [0.0, lock + side * before, 1.05]])
    drive[:, 2] -= drive[:, 1] - home[1]  # the forearm keeps its direction, and stage 2 its window
    windows = np.array([np.sin(sizes.window(*d[1:])) for d in drive])
    poses = follow_drive(mechanism, drive)
    for window, outcome, q in zip(windows, poses.outcome, poses.q, strict=True):
        inside = (np.sign(window) == np.sign(np.sin(sizes.window(*home[1:])))).all()
        assert outcome == (Outcome.CLOSED if inside else Outcome.BRANCH_LOST)
        if inside:
            np.testing.assert_allclose(stage_angles(mechanism, q)[::2], np.arcsin(np.abs(window)), atol=1e-6)
