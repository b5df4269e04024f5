"""What holds a pose: two ways agree, every body is balanced, and the work done is the energy gained.

Laws, from any statics text: virtual work (the driver's moment is the slope of the potential along the
closed motion), Newton and Euler for a body at rest, and a straight rod's mass m at fraction s from end a
weighing as (1 - s) m at a and s m at b. Bar of the design: 1e-9 of the largest term.
"""

import numpy as np
import pytest

from engine import by_hand
from engine.rigs import ArmSizes, Rig, arm, four_bar, random_sizes
from engine.test_closing import random_loops
from engine.test_derivatives import random_masses
from limbwright.engine.closure import assemble, follow_drive, frames
from limbwright.engine.mechanism import (
    BALL,
    GROUND,
    PIN,
    SLIDER,
    UNIVERSAL,
    Masses,
    Mechanism,
)
from limbwright.engine.mechanism_builder import MechanismBuilder
from limbwright.engine.statics import (
    PointLoad,
    add_masses,
    holding_moments,
    joint_reactions,
    no_masses,
)

BAR = 1e-9
X, Y, Z = np.eye(3)


def spatial_rig() -> Rig:
    """A crank moves a slide through a coupler on a universal and a ball; a rod moves a swing; a body hangs
    on the slide by a ball and three stays. Lengths are those of the pose it is laid out in."""
    b = MechanismBuilder()
    q = np.array([0.4, -0.3, 0.2])
    crank = b.body("crank", GROUND, PIN, axis=Z)
    coupler = b.body("coupler", crank, UNIVERSAL, origin=0.1 * X, axis=Y, second_axis=Z)
    meet = by_hand.place(b, q[None]).point(coupler, 0.3 * X)[0]
    slide = b.body("slide", GROUND, SLIDER, axis=np.array([1.0, 0.2, 0.1]), origin=meet)
    b.ball("ball", coupler, 0.3 * X, slide, np.zeros(3))
    swing = b.body("swing", GROUND, PIN, axis=np.array([0.2, 1.0, 0.3]), origin=np.array([0.1, 0.3, -0.2]))
    hanger = b.body("hanger", slide, BALL, origin=0.05 * Z)
    q = np.array([*q, 0.0, 0.3, 1.0, 0.0, 0.0, 0.0])
    placed = by_hand.place(b, q[None])
    for name, one, at, other, to in (
        ("rod", coupler, [0.1, 0.05, 0.05], swing, [0.0, 0.0, 0.25]),
        ("stay 1", hanger, [0.1, 0.0, 0.0], GROUND, [0.5, 0.3, 0.2]),
        ("stay 2", hanger, [0.0, 0.1, 0.0], GROUND, [0.2, 0.4, -0.2]),
        ("stay 3", hanger, [0.0, 0.0, 0.1], GROUND, [0.6, -0.2, 0.4]),
    ):
        at, to = np.array(at), np.array(to)
        b.rod(
            name, one, at, other, to, float(np.linalg.norm(placed.point(one, at) - placed.point(other, to)))
        )
    return Rig(b, [(crank, 0)], q)


def cases() -> list[tuple[Rig, Mechanism, np.ndarray]]:
    """Rigs with their closed poses: 1,000 and a few in all."""
    rng = np.random.default_rng(5)
    found = []
    for joining in ("rod", "ball", "pin"):
        for _ in range(8):
            sizes, home = random_sizes(rng, 0.0005)
            rig = arm(sizes, joining, home)
            mechanism = rig.assemble()
            found.append((rig, mechanism, np.array(home) + rng.uniform(-0.3, 0.3, (30, 3))))
        rig = four_bar(0.3, 0.1, 0.35, 0.25, (1.0, 0.4, 1.4), joining)
        found.append((rig, rig.assemble(), rng.uniform(0, 6, (60, 1))))
    rig = spatial_rig()
    found.append((rig, rig.assemble(), rng.uniform(0.38, 0.7, (150, 1))))
    out = []
    for rig, mechanism, drive in found:
        poses = follow_drive(mechanism, drive)
        assert not poses.outcome.any(), (rig.builder.names, np.bincount(poses.outcome))
        out.append((rig, mechanism, poses.q))
    return out


CASES = cases()


def random_loads(rng: np.random.Generator, mechanism: Mechanism) -> list[PointLoad]:
    bodies = rng.integers(1, len(mechanism.body_names), 2)
    return [PointLoad(int(b), rng.uniform(-0.3, 0.3, 3), rng.normal(size=3) * 10) for b in bodies]


def test_there_are_a_thousand_states():
    assert sum(len(q) for _, _, q in CASES) >= 1000


@pytest.mark.parametrize("case", range(len(CASES)))
def test_virtual_work_and_newton_euler_agree(case):
    """About a driven axis the joint carries the driver's moment; about a dependent one nothing."""
    _, mechanism, poses = CASES[case]
    rng = np.random.default_rng(case)
    masses, gravity, loads = (
        random_masses(rng, mechanism),
        rng.normal(size=3) * 9.8,
        random_loads(rng, mechanism),
    )
    held = holding_moments(mechanism, masses, poses, gravity, loads)
    m = mechanism.linkage
    for i, q in enumerate(poses):
        found = joint_reactions(mechanism, masses, q, gravity, loads)
        assert found.free
        placed = frames(mechanism, q)
        scale = max(np.abs(found.moment).max(), np.abs(found.force).max(), np.abs(held.multipliers[i]).max())
        want = np.zeros(mechanism.freedoms)
        want[m.driven] = held.moments[i]
        got = np.array(
            [_along(found, placed, m.dof_body[d], m.dof_kind[d]) for d in range(mechanism.freedoms)]
        )
        assert np.abs(got - want).max() < BAR * scale


def _along(found, placed, body: int, kind: int) -> float:
    """The reaction's part that does work on one velocity coordinate."""
    axis = {0: placed.axis, 1: placed.axis, 2: placed.second_axis}.get(kind)
    direction = placed.rotation[body][:, kind - 3] if axis is None else axis[body]
    return float(direction @ (found.force[body] if kind == 1 else found.moment[body]))


def closure_wrench(rig: Rig, mechanism: Mechanism, q: np.ndarray, lam: np.ndarray, body: int) -> np.ndarray:
    """Force and moment (about the body's origin) of all closures on one body: the power that lambda gives
    to the rows when the body alone is moved, by differences of the second kinematics."""
    placed = by_hand.place(rig.builder, q[None])
    wrench = np.zeros(6)
    for direction in range(6):
        for step, weight in by_hand.STENCIL:
            there = by_hand.shifted(placed, body, direction, step * by_hand.STEP)
            rows = by_hand.rows(rig.builder, mechanism.linkage.across_a, there)[0]
            wrench[direction] += weight * (rows @ lam) / by_hand.STEP
    return wrench


@pytest.mark.parametrize("case", range(len(CASES)))
def test_every_body_is_balanced(case):
    """Joint from its parent, joints to its children, closures, weight and point loads sum to nothing.

    The closures' forces are found here by differences, good to about 1e-11 of the largest."""
    rig, mechanism, poses = CASES[case]
    rng = np.random.default_rng(case)
    masses, gravity, loads = (
        random_masses(rng, mechanism),
        rng.normal(size=3) * 9.8,
        random_loads(rng, mechanism),
    )
    q = poses[:: max(1, len(poses) // 4)]
    held = holding_moments(mechanism, masses, q, gravity, loads)
    for i, pose in enumerate(q):
        found = joint_reactions(mechanism, masses, pose, gravity, loads)
        placed = by_hand.place(rig.builder, pose[None])
        scale = max(np.abs(found.moment).max(), np.abs(found.force).max(), np.abs(held.multipliers[i]).max())
        for body in range(1, len(mechanism.body_names)):
            at = placed.position[body, 0]
            total = closure_wrench(rig, mechanism, pose, held.multipliers[i], body)
            total[:3] += found.force[body]
            total[3:] += found.moment[body]
            for child, parent in enumerate(rig.builder.parents):
                if parent == body:
                    total[:3] -= found.force[child]
                    total[3:] -= found.moment[child] + np.cross(
                        placed.position[child, 0] - at, found.force[child]
                    )
            for point, force in _applied(rig, masses, gravity, loads, placed, body):
                total[:3] += force
                total[3:] += np.cross(point - at, force)
            assert np.abs(total).max() < BAR * scale


def _applied(rig, masses: Masses, gravity, loads, placed, body):
    """Points and forces of weights, shares of rods and point loads on one body."""
    yield placed.point(body, masses.centre[body])[0], masses.mass[body] * gravity
    for k, c in enumerate(rig.builder.closures):
        for end, point, share in (
            (c.a, c.point_a, 1 - masses.rod_centre[k]),
            (c.b, c.point_b, masses.rod_centre[k]),
        ):
            if end == body:
                yield placed.point(body, point)[0], share * masses.rod_mass[k] * gravity
    for load in loads:
        if load.body == body:
            yield placed.point(body, load.point)[0], load.force


@pytest.mark.parametrize("case", range(0, len(CASES), 3))
def test_moment_is_the_slope_of_energy_along_the_closed_motion(case):
    """Drive one coordinate by small steps, let the loops close, and see how the potential changes."""
    rig, mechanism, poses = CASES[case]
    rng = np.random.default_rng(case)
    masses, gravity = random_masses(rng, mechanism), rng.normal(size=3) * 9.8
    q = poses[:4]
    held = holding_moments(mechanism, masses, q, gravity)
    h = 2e-3
    for column in range(len(mechanism.linkage.driven)):
        slope = np.zeros(len(q))
        for step, weight in by_hand.STENCIL:
            drive = mechanism.driven_values(q).copy()
            drive[:, column] += step * h
            there = follow_drive(mechanism, drive)
            assert not there.outcome.any()
            slope += weight * by_hand.potential(rig.builder, masses, gravity, there.q) / h
        # fourth order on a curve that steepens towards a lock: five digits are the difference's, not ours
        assert np.abs(slope - held.moments[:, column]).max() < 1e-5 * np.abs(held.moments).max()


def test_a_rod_row_weighs_as_a_rod_body_does():
    """The same arm with its rods as rows and as bodies: same holding moments, any centre along the rod."""
    rng = np.random.default_rng(8)
    for _ in range(10):
        sizes, home = random_sizes(rng)
        share, mass = rng.uniform(size=3), rng.uniform(0.1, 0.6, 3)
        results = []
        for joining in ("rod", "ball"):
            mechanism = arm(sizes, joining, home).assemble()
            masses = no_masses(mechanism)
            if joining == "rod":
                masses.rod_mass[:], masses.rod_centre[:] = mass, share
            else:
                for i in range(3):
                    body = mechanism.body(f"rod {i}")
                    masses.mass[body], masses.centre[body, 2] = mass[i], -share[i] * sizes.rod_lengths[i]
            poses = follow_drive(mechanism, np.array([home]) + 0.1)
            results.append(holding_moments(mechanism, masses, poses.q).moments)
        np.testing.assert_allclose(results[0], results[1], rtol=1e-9, atol=1e-9)


def test_compression_is_positive():
    """A weight on top of a propped crank presses the prop: multiplier of a rod + in compression."""
    b = MechanismBuilder()
    crank = b.body("crank", GROUND, PIN, axis=(0.0, -1.0, 0.0))
    b.rod("prop", crank, X, GROUND, np.array([1.0, 0.0, -1.0]), 1.0)
    mechanism = assemble(b, [])
    masses = no_masses(mechanism)
    masses.mass[crank], masses.centre[crank] = 10.0, 0.5 * X
    held = holding_moments(mechanism, masses, mechanism.assembled[None])
    np.testing.assert_allclose(held.multipliers[0, 0], 10.0 * 9.80665 / 2, rtol=1e-12)


def test_a_locked_pose_has_no_number():
    """Exact parallelogram stretched out: no moment is claimed, and the reactions say they are not free."""
    mechanism = four_bar(0.4, 0.08, 0.4, 0.08, (1.5, 0.0, 1.5), "rod").assemble()
    masses = no_masses(mechanism)
    masses.mass[1:] = 1.0
    straight = np.zeros((1, 2))
    assert np.isnan(holding_moments(mechanism, masses, straight).moments).all()
    assert not joint_reactions(mechanism, masses, straight[0]).free


def test_forces_are_the_same_however_redundant_the_closure():
    """Ball ends and pin ends hold the same planar arm: moments agree, with loads in the arm's plane."""
    results = []
    for joining in ("rod", "ball", "pin"):
        mechanism = arm(ArmSizes(), joining).assemble()
        masses = no_masses(mechanism)
        masses.mass[1:7] = [1.0, 0.8, 0.6, 1.2, 0.2, 0.9]
        masses.centre[1:7, 2] = -0.2
        drive = np.array([[0.0, 1.0, 1.1], [0.5, 1.2, 0.9]])
        poses = follow_drive(mechanism, drive)
        results.append(holding_moments(mechanism, masses, poses.q).moments)
    np.testing.assert_allclose(results[1], results[0], rtol=1e-10, atol=1e-10)
    np.testing.assert_allclose(results[2], results[0], rtol=1e-10, atol=1e-10)


def test_adding_masses_keeps_the_moment():
    rng = np.random.default_rng(13)
    rig, _ = random_loops(rng)
    mechanism = rig.assemble()
    one, other = random_masses(rng, mechanism), random_masses(rng, mechanism)
    other.mass[2] = 0.0
    both = add_masses(one, other)
    q = rig.guess[None]
    for gravity in np.eye(3):
        want = sum(by_hand.potential(rig.builder, part, gravity, q) for part in (one, other))
        np.testing.assert_allclose(by_hand.potential(rig.builder, both, gravity, q), want, rtol=1e-12)
    nothing = no_masses(mechanism)
    np.testing.assert_array_equal(add_masses(nothing, nothing).centre, nothing.centre)
