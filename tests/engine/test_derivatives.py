"""Exact Jacobians and slopes against differences at 1,000 random states, every joint and closure kind.

The differenced functions are the second kinematics of `by_hand`, so both the function and its
derivative are checked. Bar of the design: 1e-7 relative. A fourth-order central difference with step
1e-3 is good to about 1e-12, so that is known to be the engine's figure and not the difference's.
"""

import numpy as np
import pytest

from engine import by_hand
from engine.rigs import add_random_closures, random_pose, random_tree
from limbwright.engine import kernel_statics
from limbwright.engine.closure import closure_jacobian, closure_rows
from limbwright.engine.kernel_closure import make_room, place_pose
from limbwright.engine.mechanism import (
    BALL,
    BALL_CLOSURE,
    PIN,
    PIN_CLOSURE,
    ROD,
    SLIDER,
    UNIVERSAL,
    Masses,
    Mechanism,
)
from limbwright.engine.mechanism_builder import MechanismBuilder
from limbwright.engine.statics import PointLoad, holding_moments, no_masses

BAR = 1e-7
MECHANISMS, STATES = 100, 10


def open_mechanism(builder: MechanismBuilder, driven: list[tuple[int, int]] | None = None) -> Mechanism:
    """A mechanism that need not be closed: derivatives hold anywhere."""
    linkage = builder.linkage(driven or [])
    names = tuple(c.name for c in builder.closures)
    return Mechanism(linkage, tuple(builder.names), names, (), np.zeros(0), np.zeros(0))


def random_case(seed: int) -> tuple[MechanismBuilder, np.ndarray]:
    rng = np.random.default_rng(seed)
    builder = random_tree(rng, int(rng.integers(3, 9)))
    add_random_closures(rng, builder, int(rng.integers(1, 5)))
    return builder, np.array([random_pose(rng, builder) for _ in range(STATES)])


def test_cases_cover_every_joint_and_closure():
    builders = [random_case(seed)[0] for seed in range(MECHANISMS)]
    assert {j for b in builders for j in b.joints} >= {PIN, SLIDER, UNIVERSAL, BALL}
    assert {c.kind for b in builders for c in b.closures} == {ROD, BALL_CLOSURE, PIN_CLOSURE}


def differences(builder: MechanismBuilder, across: np.ndarray, q: np.ndarray, freedoms: int) -> np.ndarray:
    """dc/dv (pose, row, velocity) by fourth-order central differences of the second kinematics."""
    columns = []
    for dof in range(freedoms):
        total = 0.0
        for step, weight in by_hand.STENCIL:
            there = by_hand.place(builder, by_hand.moved(builder, q, dof, step * by_hand.STEP))
            total = total + weight * by_hand.rows(builder, across, there)
        columns.append(total / by_hand.STEP)
    return np.stack(columns, axis=-1)


@pytest.mark.parametrize("part", range(4))
def test_closure_rows_and_jacobian(part):
    for seed in range(part, MECHANISMS, 4):
        builder, q = random_case(seed)
        mechanism = open_mechanism(builder)
        across = mechanism.linkage.across_a
        rows = by_hand.rows(builder, across, by_hand.place(builder, q))
        want = differences(builder, across, q, mechanism.freedoms)
        for i in range(STATES):
            np.testing.assert_allclose(closure_rows(mechanism, q[i]), rows[i], atol=1e-12)
            got = closure_jacobian(mechanism, q[i])
            assert np.abs(got - want[i]).max() < BAR * np.abs(want[i]).max()
            assert np.abs(got - want[i]).max() < 1e-10 * max(1.0, np.abs(want[i]).max())


def test_jacobian_against_plain_central_differences():
    """The bar as the design words it: second order, step 1e-5, on the engine's own rows."""
    for seed in range(20):
        builder, q = random_case(seed)
        mechanism = open_mechanism(builder)
        for state in q[:2]:
            got = closure_jacobian(mechanism, state)
            for dof in range(mechanism.freedoms):
                ends = [
                    closure_rows(mechanism, by_hand.moved(builder, state[None], dof, step)[0])
                    for step in (1e-5, -1e-5)
                ]
                want = (ends[0] - ends[1]) / 2e-5
                assert np.abs(got[:, dof] - want).max() < BAR * max(1.0, np.abs(got).max())


def random_masses(rng: np.random.Generator, mechanism: Mechanism) -> Masses:
    masses = no_masses(mechanism)
    masses.mass[1:] = rng.uniform(0.1, 3.0, len(masses.mass) - 1)
    masses.centre[1:] = rng.uniform(-0.3, 0.3, (len(masses.mass) - 1, 3))
    for k, kind in enumerate(mechanism.linkage.kind):
        if kind == ROD:
            masses.rod_mass[k] = rng.uniform(0.05, 0.5)
            masses.rod_centre[k] = rng.uniform()
    return masses


def slopes(mechanism: Mechanism, masses: Masses, gravity: np.ndarray, q: np.ndarray) -> np.ndarray:
    """dV/dv over every velocity coordinate, from the engine's kernels."""
    m = mechanism.linkage
    room = make_room(m, len(q), mechanism.rows)
    place_pose(m, q, room)
    force, moment = np.zeros((2, len(mechanism.body_names), 3))
    nothing = np.zeros(0, dtype=np.int64), np.zeros((0, 3)), np.zeros((0, 3))
    kernel_statics.applied_loads(m, masses, gravity, *nothing, room, force, moment)
    kernel_statics.sum_up_tree(m, force, moment)
    return np.array([kernel_statics.slope(m, d, room, force, moment) for d in range(mechanism.freedoms)])


@pytest.mark.parametrize("part", range(4))
def test_slope_of_the_potential(part):
    for seed in range(part, MECHANISMS, 4):
        builder, q = random_case(seed)
        rng = np.random.default_rng(1000 + seed)
        mechanism = open_mechanism(builder)
        masses, gravity = random_masses(rng, mechanism), rng.normal(size=3) * 9.8
        want = np.zeros((STATES, mechanism.freedoms))
        for dof in range(mechanism.freedoms):
            for step, weight in by_hand.STENCIL:
                there = by_hand.moved(builder, q, dof, step * by_hand.STEP)
                energy = by_hand.potential(builder, masses, gravity, there)
                want[:, dof] += weight * energy / by_hand.STEP
        for i in range(STATES):
            got = slopes(mechanism, masses, gravity, q[i])
            assert np.abs(got - want[i]).max() < BAR * np.abs(want[i]).max()


def test_an_open_chain_is_held_by_the_slope_itself():
    """No closures: what the driver supplies is dV/dq, point loads included (virtual work)."""
    rng = np.random.default_rng(77)
    for _ in range(20):
        builder = random_tree(rng, 5, (PIN, SLIDER, UNIVERSAL))
        driven = [
            (b, i) for b, j in enumerate(builder.joints) if b for i in range(2 if j == UNIVERSAL else 1)
        ]
        mechanism = open_mechanism(builder, driven)
        masses, gravity = random_masses(rng, mechanism), rng.normal(size=3) * 9.8
        q = np.array([random_pose(rng, builder) for _ in range(5)])
        load = PointLoad(5, rng.normal(size=3), rng.normal(size=3) * 10)
        got = holding_moments(mechanism, masses, q, gravity, [load]).moments
        for dof in range(mechanism.freedoms):
            want = 0.0
            for step, weight in by_hand.STENCIL:
                there = by_hand.moved(builder, q, dof, step * by_hand.STEP)
                energy = by_hand.potential(builder, masses, gravity, there)
                energy = energy - by_hand.place(builder, there).point(5, load.point) @ load.force
                want = want + weight * energy / by_hand.STEP
            assert np.abs(got[:, dof] - want).max() < BAR * np.abs(got).max()
