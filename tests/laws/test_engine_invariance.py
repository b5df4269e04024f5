"""What must not depend on how a mechanism is written: where it stands, left or right, units, threads.

Laws of geometry and statics (any text); properties over drawn mechanisms. Tolerances are rounding:
positions 1e-9 m, moments 1e-9 of the largest term.
"""

import hashlib
import os
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.changed import MIRROR, mirrored, mirrored_masses, mirrored_pose, scaled
from engine.rigs import ArmSizes, Rig, arm, four_bar, random_rotation, random_sizes
from engine.test_closing import random_loops
from engine.test_derivatives import random_masses
from limbwright.engine.closure import close_from, follow_drive, frames, stage_angles
from limbwright.engine.outcome import Outcome
from limbwright.engine.statics import PointLoad, holding_moments, joint_reactions

SEEDS = st.integers(0, 10_000)
JOININGS = st.sampled_from(["rod", "ball", "pin"])
INCH = 0.0254  # m, exact (international yard and pound agreement, 1959)


def drawn_arm(seed: int, joining: str, placed=None) -> tuple[Rig, np.ndarray, np.random.Generator]:
    """An arm with rods up to half a millimetre wrong, and a path of driven values well inside its windows."""
    rng = np.random.default_rng(seed)
    sizes, home = random_sizes(rng, 0.0005)
    drive = np.array(home) + np.cumsum(rng.uniform(-0.05, 0.05, (12, 3)), axis=0)
    return arm(sizes, joining, home, placed), drive, rng


@given(SEEDS, JOININGS)
@settings(max_examples=25)
def test_moving_the_whole_changes_nothing(seed, joining):
    """Turn and shift mechanism, gravity and loads: same angles, same moments, reactions turned along."""
    rig, drive, rng = drawn_arm(seed, joining)
    turn, shift = random_rotation(rng), rng.uniform(-2, 2, 3)
    moved, _, _ = drawn_arm(seed, joining, (turn, shift))
    one, other = rig.assemble(), moved.assemble()
    here, there = follow_drive(one, drive), follow_drive(other, drive)
    np.testing.assert_allclose(there.q, here.q, atol=1e-9)
    np.testing.assert_array_equal(there.outcome, here.outcome)
    places = frames(one, here.q[-1]).position[1:] @ turn.T + shift
    np.testing.assert_allclose(frames(other, there.q[-1]).position[2:], places, atol=1e-9)
    masses = random_masses(rng, one)
    again = masses._replace(
        mass=np.insert(masses.mass, 1, 0.0), centre=np.insert(masses.centre, 1, 0.0, axis=0)
    )  # the welded base weighs nothing
    gravity, force, point = rng.normal(size=3) * 9.8, rng.normal(size=3) * 10, rng.normal(size=3)
    moments = holding_moments(one, masses, here.q, gravity, [PointLoad(6, point, force)]).moments
    turned = holding_moments(
        other, again, there.q, turn @ gravity, [PointLoad(7, point, turn @ force)]
    ).moments
    scale = np.abs(moments).max()
    np.testing.assert_allclose(turned, moments, atol=1e-8 * scale)
    force = joint_reactions(one, masses, here.q[-1], gravity).force
    turned = joint_reactions(other, again, there.q[-1], turn @ gravity).force
    np.testing.assert_allclose(turned[2:], force[1:] @ turn.T, atol=1e-8 * np.abs(force).max())


@given(SEEDS, JOININGS)
@settings(max_examples=25)
def test_the_left_arm_is_the_right_arms_mirror(seed, joining):
    rig, drive, rng = drawn_arm(seed, joining)
    one, other = rig.assemble(), mirrored(rig).assemble()
    here, there = follow_drive(one, drive), follow_drive(other, drive)
    np.testing.assert_allclose(there.q, here.q, atol=1e-9)
    for q, p in zip(here.q, there.q, strict=True):
        np.testing.assert_allclose(frames(other, p).position, frames(one, q).position @ MIRROR, atol=1e-9)
        np.testing.assert_allclose(stage_angles(other, p), stage_angles(one, q), atol=1e-8)
    masses, gravity = random_masses(rng, one), rng.normal(size=3) * 9.8
    moments = holding_moments(one, masses, here.q, gravity).moments
    turned = holding_moments(other, mirrored_masses(masses), there.q, MIRROR @ gravity).moments
    np.testing.assert_allclose(turned, moments, atol=1e-8 * np.abs(moments).max())


@given(SEEDS)
@settings(max_examples=25)
def test_mirror_of_any_spatial_loop(seed):
    """Balls, universals and sliders too."""
    rng = np.random.default_rng(seed)
    rig, home = random_loops(rng)
    one, other = rig.assemble(), mirrored(rig).assemble()
    there = close_from(other, mirrored_pose(rig.builder, home)[None])
    here = close_from(one, home[None])
    np.testing.assert_array_equal(there.outcome, here.outcome)
    np.testing.assert_allclose(
        frames(other, there.q[0]).position, frames(one, here.q[0]).position @ MIRROR, atol=1e-9
    )


@given(SEEDS, JOININGS, st.sampled_from([1 / INCH, 0.5, 12.0, 0.1]))
@settings(max_examples=25)
def test_scale_changes_lengths_only(seed, joining, scale):
    """The same shape in inches, or half as large: angles stay, misses and lengths go with the scale, and
    so do the moments of the same weights."""
    rig, drive, rng = drawn_arm(seed, joining)
    one, other = rig.assemble(), scaled(rig, scale).assemble()
    here, there = follow_drive(one, drive), follow_drive(other, drive)
    np.testing.assert_array_equal(there.outcome, here.outcome)
    np.testing.assert_allclose(there.q, here.q, atol=1e-8)
    masses = random_masses(rng, one)
    moments = holding_moments(one, masses, here.q).moments
    larger = holding_moments(other, masses._replace(centre=scale * masses.centre), there.q).moments
    np.testing.assert_allclose(larger / scale, moments, atol=1e-7 * np.abs(moments).max())


@given(st.floats(0.01, 0.05), st.sampled_from(["rod", "ball"]))
@settings(max_examples=20)
def test_a_miss_goes_with_the_scale_and_not_with_the_place(excess, joining):
    """Too long a coupler, drawn by `excess`, misses by just that, anywhere and at any size."""
    fits, crank = 0.35, (1.2, 0.3, 1.4)
    good = four_bar(0.3, 0.1, fits, 0.2, crank, joining)
    reach = abs(0.1 * np.exp(1.2j) - 0.3)
    wrong = four_bar(0.3, 0.1, reach + 0.2 + excess, 0.2, crank, joining)
    closed = good.assemble()
    for scale in (1.0, 1 / INCH):
        bad = scaled(wrong, scale)
        swapped = closed.__class__(**{**closed.__dict__, "linkage": bad.builder.linkage(bad.driven)})
        found = close_from(swapped, closed.assembled[None])
        assert found.outcome[0] == Outcome.CANNOT_CLOSE
        assert found.miss[0] == pytest.approx(scale * excess, rel=1e-4)


PROGRAM = """
import hashlib, numpy as np
from limbwright.engine.closure import follow_drive
from limbwright.engine.statics import holding_moments, no_masses
from engine.rigs import ArmSizes, arm
mechanism = arm(ArmSizes(rod_errors=(0.0003, -0.0004, 0.0002)), "ball").assemble()
t = np.arange(30_000)
wave = [0.5 * np.sin(t / 97), 0.3 * np.sin(t / 31), 0.2 * np.cos(t / 7)]
drive = np.array([0.0, 1.2, 1.1]) + np.stack(wave, -1)
poses = follow_drive(mechanism, drive)
masses = no_masses(mechanism)
masses.mass[1:] = 1.0
masses.centre[1:, 2] = -0.1
held = holding_moments(mechanism, masses, poses.q)
digest = hashlib.sha256()
for part in (*poses, *held):
    digest.update(np.ascontiguousarray(part).tobytes())
print(digest.hexdigest(), int(poses.outcome.max()))
"""


def test_threads_do_not_change_a_bit():
    """30,000 poses and their moments: the same bytes on one, two and five threads."""
    found = set()
    for threads in ("1", "2", "5"):
        path = os.pathsep.join([p for p in sys.path if p])
        env = {**os.environ, "LIMBWRIGHT_THREADS": threads, "PYTHONPATH": path}
        command = [sys.executable, "-c", PROGRAM]
        done = subprocess.run(command, env=env, capture_output=True, text=True, check=True, timeout=300)
        digest, outcome = done.stdout.split()
        assert outcome == "0"
        assert len(digest) == len(hashlib.sha256().hexdigest())
        found.add(digest)
    assert len(found) == 1


def test_the_same_call_twice_gives_the_same_bytes():
    mechanism = arm(ArmSizes(rod_errors=(0.0003, 0.0, 0.0))).assemble()
    drive = np.array([0.0, 1.1, 1.1]) + np.random.default_rng(2).uniform(-0.2, 0.2, (500, 3))
    first, again = follow_drive(mechanism, drive), follow_drive(mechanism, drive)
    assert first.q.tobytes() == again.q.tobytes()
