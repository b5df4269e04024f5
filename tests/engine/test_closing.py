"""Loops close to 1e-10 m whatever their dimensions; impossible ones say by how much they miss.

The check is a second forward kinematics (SciPy rotations, `by_hand`), not the engine's own misfit.
Bar of the design: closure residual under 1e-10 m on 10,000 random poses and dimensions.
"""

import numpy as np
import pytest

from engine import by_hand
from engine.rigs import (
    ArmSizes,
    Rig,
    arm,
    four_bar,
    random_pose,
    random_rotation,
    random_sizes,
    random_tree,
)
from limbwright.engine.closure import AssemblyError, Poses, assemble, close_from, closure_rows, follow_drive
from limbwright.engine.mechanism import BALL, GROUND, PIN, Mechanism
from limbwright.engine.mechanism_builder import MechanismBuilder
from limbwright.engine.outcome import Outcome

BAR = 1e-10  # m, rad


def assert_closed(rig: Rig, poses: Poses) -> None:
    assert not poses.outcome.any(), np.bincount(poses.outcome)
    assert by_hand.gaps(rig.builder, poses.q).max() < BAR
    assert poses.miss.max() < BAR


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
@pytest.mark.parametrize("errors", [0.0, 0.001])
def test_six_thousand_arm_poses(joining, errors):
    """Twenty arms of any proportions, rods exact and up to 1 mm wrong, fifty poses each within 0.4 rad."""
    rng = np.random.default_rng(60)
    for _ in range(20):
        sizes, home = random_sizes(rng, errors)
        rig = arm(sizes, joining, home)
        mechanism = rig.assemble()
        drive = np.array(home) + rng.uniform(-0.4, 0.4, (50, 3))
        poses = follow_drive(mechanism, drive)
        assert_closed(rig, poses)
        np.testing.assert_allclose(mechanism.driven_values(poses.q), drive, atol=1e-15)


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
def test_two_thousand_poses_of_crank_rockers(joining):
    """Grashof crank-rockers of random sizes through a whole turn."""
    rng = np.random.default_rng(61)
    for _ in range(17):
        crank = rng.uniform(0.03, 0.1)
        coupler, rocker = rng.uniform(2.0, 4.0, 2) * crank
        low, high = abs(coupler - rocker) + crank, coupler + rocker - crank
        ground = low + rng.uniform(0.15, 0.85) * (high - low)
        guess = (1.5, 0.5, 1.8)
        rig = four_bar(ground, crank, coupler, rocker, guess, joining)
        poses = follow_drive(rig.assemble(), 1.5 + np.linspace(0, 2 * np.pi, 40)[:, None])
        assert_closed(rig, poses)


def random_loops(rng: np.random.Generator) -> tuple[Rig, np.ndarray]:
    """A random tree with closures that meet in a random pose, fewer rows than freedoms; and that pose."""
    builder = random_tree(rng, int(rng.integers(4, 9)))
    q = random_pose(rng, builder)
    placed = by_hand.place(builder, q[None])
    free = len(builder.linkage().dof_body)
    while free > 3:
        a, b = (int(x) for x in rng.choice(len(builder.names), 2, replace=False))
        pa = rng.uniform(-0.3, 0.3, 3)
        world = placed.point(a, pa)[0]
        kind = rng.integers(3) if free > 6 else 0
        name = f"closure {free}"
        turn_b = placed.rotation[b].as_matrix()[0]
        if kind == 0:
            pb = rng.uniform(-0.3, 0.3, 3)
            builder.rod(name, a, pa, b, pb, float(np.linalg.norm(world - placed.point(b, pb)[0])))
            free -= 1
            continue
        pb = turn_b.T @ (world - placed.position[b, 0])
        if kind == 1:
            builder.ball(name, a, pa, b, pb)
            free -= 3
        else:
            axis = rng.normal(size=3)
            builder.pin(name, a, pa, axis, b, pb, turn_b.T @ placed.rotation[a].apply(axis)[0])
            free -= 5
    return Rig(builder, [], q), q


def test_two_thousand_poses_of_random_spatial_loops():
    """Pins, sliders, universals and balls tied by rods, balls and pins, each pose from a start up to 0.05 rad
    or m off. A random mechanism may have been laid out beside a singular pose, where a start that far off can
    be out of reach: one in a hundred is allowed to say so."""
    rng = np.random.default_rng(62)
    reached = 0
    for _ in range(100):
        rig, home = random_loops(rng)
        mechanism = rig.assemble()
        starts = np.tile(home, (20, 1))
        for dof in range(mechanism.freedoms):
            starts = np.vstack(
                [by_hand.moved(rig.builder, s[None], dof, rng.uniform(-0.05, 0.05)) for s in starts]
            )
        poses = close_from(mechanism, starts)
        closed = poses.outcome == Outcome.CLOSED
        reached += closed.sum()
        assert by_hand.gaps(rig.builder, poses.q[closed]).max() < BAR
        assert np.isfinite(poses.q).all()
        assert np.isfinite(poses.miss).all()
    assert reached > 1980


# --- what cannot close


def far_side(rig_lengths: tuple[float, float, float], rod: float, theta: float) -> float:
    """By how much a rod is too long or too short between a given crank pin and the copy's circle [m]."""
    ground, crank, rocker = rig_lengths
    reach = abs(crank * np.exp(1j * theta) - ground)
    return max(rod - (reach + rocker), abs(reach - rocker) - rod, 0.0)


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
def test_miss_of_a_rod_that_does_not_fit(joining):
    """The least misfit is the straight-line one, rod in line with the copied crank: exact by geometry. The
    descent stops when it is flat; a hundred-thousandth of the miss is far under what anyone can file off."""
    rng = np.random.default_rng(63)
    seen = 0
    for _ in range(150):
        ground, crank, rocker = rng.uniform(0.1, 0.5), rng.uniform(0.05, 0.2), rng.uniform(0.05, 0.2)
        theta = rng.uniform(0.3, 2.8)
        reach = abs(crank * np.exp(1j * theta) - ground)
        fits = float(np.sqrt(reach**2 + rocker**2))
        wrong = reach + rocker + rng.uniform(0.001, 0.05)
        if rng.uniform() < 0.5 and abs(reach - rocker) > 0.03:
            wrong = abs(reach - rocker) - rng.uniform(0.001, 0.02)
        builder = four_bar(ground, crank, fits, rocker, (theta, 0.0, 1.5), joining)
        impossible = four_bar(ground, crank, wrong, rocker, (theta, 0.0, 1.5), joining)
        # start the wrong one from where the right one closes
        mechanism = builder.assemble()
        swapped = Mechanism(
            impossible.builder.linkage(impossible.driven),
            mechanism.body_names, mechanism.closure_names, mechanism.stage_names,
            mechanism.assembled, mechanism.stage_sign,
        )  # fmt: skip
        poses = close_from(swapped, mechanism.assembled[None])
        assert poses.outcome[0] == Outcome.CANNOT_CLOSE
        assert np.isfinite(poses.q).all()
        assert poses.miss[0] == pytest.approx(far_side((ground, crank, rocker), wrong, theta), rel=1e-5)
        assert by_hand.gaps(impossible.builder, poses.q)[0] == pytest.approx(poses.miss[0], abs=1e-12)
        seen += 1
    assert seen == 150


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
def test_an_arm_with_a_long_rod_says_so_and_goes_on(joining):
    """The shoulder rod 2 mm too long: some poses cannot be reached; the others are as good as ever."""
    sizes = ArmSizes(rod_errors=(0.002, 0.0, 0.0))
    rig = arm(sizes, joining, (0.0, 1.3, 1.05))
    mechanism = rig.assemble()
    elevation = np.radians(np.linspace(75, 170, 200))
    poses = follow_drive(mechanism, np.column_stack([0 * elevation, elevation, 0 * elevation + 1.05]))
    failed = poses.outcome == Outcome.CANNOT_CLOSE
    assert 0 < failed.sum() < 200
    assert by_hand.gaps(rig.builder, poses.q[poses.outcome == Outcome.CLOSED]).max() < BAR
    assert np.isfinite(poses.q).all()
    assert (poses.miss[failed] > BAR).all()
    # the engine reports the gap that really is there
    np.testing.assert_allclose(by_hand.gaps(rig.builder, poses.q[failed]), poses.miss[failed], atol=1e-12)


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
def test_assembly_that_misses_is_refused_with_the_distance(joining):
    """Pins of a 300 mm ground and 80 mm cranks are never over 460 mm apart: a coupler of 500 is 40 long."""
    with pytest.raises(AssemblyError, match=r"miss each other by 40 mm") as caught:
        four_bar(0.3, 0.08, 0.5, 0.08, (np.pi, 0.1, 0.1), joining).assemble()
    assert caught.value.miss == pytest.approx(0.5 - (0.3 + 0.08 + 0.08), rel=1e-5)


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf, 1e308])
def test_a_drive_that_is_no_number_is_not_a_pose(bad):
    """Never an exception, never a NaN in what is returned, and never "closed"."""
    mechanism = arm().assemble()
    drive = np.tile(mechanism.driven_values(mechanism.assembled), (3, 1))
    drive[1, 1] = bad
    poses = follow_drive(mechanism, drive)
    assert list(poses.outcome) == [Outcome.CLOSED, Outcome.CANNOT_CLOSE, Outcome.CLOSED]
    assert np.isfinite(poses.q).all()
    assert not np.isnan(poses.miss).any()


def test_a_start_that_is_no_number_is_not_a_pose():
    mechanism = arm().assemble()
    starts = np.tile(mechanism.assembled, (3, 1))
    starts[1, 4] = np.nan
    poses = close_from(mechanism, starts)
    assert list(poses.outcome) == [Outcome.CLOSED, Outcome.CANNOT_CLOSE, Outcome.CLOSED]
    assert not np.isnan(poses.miss).any()


def test_degenerate_lengths_do_not_upset_the_solver():
    """Cranks of no length, rods of no length, points on top of each other: an outcome, finite, no warning."""
    for crank, coupler, rocker in ((0.0, 0.3, 0.1), (0.1, 0.0, 0.1), (0.1, 0.3, 0.0), (0.0, 0.0, 0.0)):
        rig = four_bar(0.3, crank, coupler, rocker, (1.0, 0.2, 1.0), "rod")
        linkage = rig.builder.linkage(rig.driven)
        mechanism = Mechanism(
            linkage, tuple(rig.builder.names), ("coupler",), ("rocker",), rig.guess, np.ones(1)
        )
        poses = close_from(mechanism, rig.guess[None])
        assert np.isfinite(poses.q).all()
        assert poses.outcome[0] in tuple(Outcome)
        assert poses.miss[0] == pytest.approx(abs(closure_rows(mechanism, poses.q[0])[0]), abs=1e-12)


def test_a_ball_joint_keeps_its_unit_quaternion():
    """An RSSR ring driven fifty times round keeps |quaternion| = 1 to rounding."""
    b = MechanismBuilder()
    crank = b.body("crank", GROUND, PIN)
    coupler = b.body(
        "coupler", crank, BALL, origin=(0.03, 0.0, 0.0), orientation=random_rotation(np.random.default_rng(1))
    )
    rocker = b.body("rocker", GROUND, PIN, axis=(1.0, 0.0, 0.0), origin=(0.4, 0.1, 0.05))
    b.ball("far", coupler, (0.0, 0.0, 0.46), rocker, (0.0, 0.0, 0.2))
    mechanism = assemble(b, [(crank, 0)])
    poses = follow_drive(mechanism, np.linspace(0, 100 * np.pi, 2000)[:, None])
    assert not poses.outcome.any()
    np.testing.assert_allclose(np.linalg.norm(poses.q[:, 1:5], axis=1), 1.0, atol=1e-14)
    assert by_hand.gaps(b, poses.q).max() < BAR
