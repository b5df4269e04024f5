"""The determinant of the parallel arm's closure, and rank loss exactly at its zeros.

Source: derived by hand. A rod's row is n . (v_a - v_b), so the copied crank's column is b times the sine
of the angle between crank and rod; three stages in a chain make a triangular matrix, whose determinant
is b0 b1 b2 sin(th + c0 - mu) sin(ph + c1 - mu) sin(ph + c2 - th), with mast line mu, upper arm th,
forearm ph. With every rod a body on a ball closure the two in-plane rows of a loop give the crossed
product of crank and rod, so the rods' lengths come in as factors. Poses of exact parallelograms are
written down, not solved: each copy turns as much as what it copies. Tolerance 1e-10 of b0 b1 b2 (L0 L1 L2).
"""

import numpy as np
import pytest

from engine.rigs import ArmSizes, Joining, arm, arm_angles, random_sizes
from limbwright.engine.closure import closure_jacobian, closure_rows, stage_angles
from limbwright.engine.mechanism import Mechanism
from limbwright.engine.mobility import drops_rank, mobility

LOCKS = ("shoulder", "forearm", "relay")


def poses_of(sizes: ArmSizes, joining: Joining, driven: np.ndarray) -> np.ndarray:
    return np.array([arm_angles(sizes, *d, joining) for d in driven])


def dependent_block(mechanism: Mechanism, q: np.ndarray) -> np.ndarray:
    return closure_jacobian(mechanism, q)[:, mechanism.linkage.dependent]


@pytest.mark.parametrize("seed", range(10))
def test_determinant_with_rod_rows(seed):
    rng = np.random.default_rng(seed)
    sizes, home = random_sizes(rng)
    mechanism = arm(sizes, "rod", home).assemble()
    factor = np.prod(sizes.cranks)
    for driven in rng.uniform(-np.pi, np.pi, (100, 3)):
        q = arm_angles(sizes, *driven, "rod")
        assert np.abs(closure_rows(mechanism, q)).max() < 1e-12
        want = factor * np.prod(np.sin(sizes.window(*driven[1:])))
        got = np.linalg.det(dependent_block(mechanism, q))
        assert abs(abs(got) - abs(want)) < 1e-10 * factor


@pytest.mark.parametrize("seed", range(10))
def test_determinant_with_rod_bodies(seed):
    rng = np.random.default_rng(100 + seed)
    sizes, home = random_sizes(rng)
    mechanism = arm(sizes, "ball", home).assemble()
    factor = np.prod(sizes.cranks) * np.prod(sizes.rod_lengths)
    for driven in rng.uniform(-np.pi, np.pi, (100, 3)):
        q = arm_angles(sizes, *driven, "ball")
        block = dependent_block(mechanism, q)
        # rows out of the arm's plane are zero up to the swing: turn them into the plane's own axes
        c, s = np.cos(driven[0]), np.sin(driven[0])
        into_plane = np.kron(np.eye(3), np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]]))
        turned = into_plane @ block
        assert np.abs(turned[1::3]).max() < 1e-12
        want = factor * np.prod(np.sin(sizes.window(*driven[1:])))
        got = np.linalg.det(np.delete(turned, [1, 4, 7], axis=0))
        assert abs(abs(got) - abs(want)) < 1e-10 * factor


def at_a_lock(sizes: ArmSizes, which: int, side: float, rng: np.random.Generator, off: float) -> np.ndarray:
    """Driven values with one window `off` [rad] from 0 or 180 deg and the others well inside."""
    while True:
        driven = rng.uniform(-np.pi, np.pi, 3)
        window = sizes.window(*driven[1:])
        driven[1 + (which > 0)] += side * np.pi + off - window[which]
        others = np.delete(np.abs(np.sin(sizes.window(*driven[1:]))), which)
        if others.min() > 0.2:
            return driven


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
@pytest.mark.parametrize("which", range(3), ids=LOCKS)
def test_rank_drops_exactly_where_a_window_closes(which, joining):
    """At the zero both the dependent block and, the parallelogram being exact, the whole lose one rank."""
    rng = np.random.default_rng(7 + which)
    for trial in range(20):
        sizes, home = random_sizes(rng)
        mechanism = arm(sizes, joining, home).assemble()
        usual = np.linalg.matrix_rank(closure_jacobian(mechanism, mechanism.assembled), tol=1e-9)
        for off in (0.0, 1e-4, -1e-4):
            q = arm_angles(sizes, *at_a_lock(sizes, which, float(trial % 2), rng, off), joining)
            jacobian = closure_jacobian(mechanism, q)
            block = jacobian[:, mechanism.linkage.dependent]
            rank = np.linalg.matrix_rank(jacobian, tol=1e-9)
            locked = np.linalg.matrix_rank(block, tol=1e-9) < block.shape[1]
            assert locked == (off == 0.0)
            assert (rank == usual - 1) == (off == 0.0)
            assert mobility(mechanism, q).true == (4 if off == 0.0 else 3)
            if joining == "rod":
                assert drops_rank(jacobian, block) == ((True, True) if off == 0.0 else (False, False))


@pytest.mark.parametrize("joining", ["rod", "ball"])
def test_rank_holds_everywhere_else(joining):
    """A thousand poses with every window at least 0.1 deg from its ends keep their rank."""
    rng = np.random.default_rng(11)
    checked = 0
    while checked < 1000:
        sizes, home = random_sizes(rng)
        mechanism = arm(sizes, joining, home).assemble()
        for driven in rng.uniform(-np.pi, np.pi, (50, 3)):
            if np.abs(np.sin(sizes.window(*driven[1:]))).min() < np.radians(0.1):
                continue
            got = mobility(mechanism, arm_angles(sizes, *driven, joining))
            assert got.true == 3
            assert got.least_singular_value > 0.0
            checked += 1


@pytest.mark.parametrize("which", range(3), ids=LOCKS)
def test_least_singular_value_goes_to_zero_with_the_window(which):
    """Halving the distance to the lock halves the least singular value, to one in a thousand."""
    rng = np.random.default_rng(3)
    sizes, home = random_sizes(rng)
    mechanism = arm(sizes, "rod", home).assemble()
    values = []
    for off in (1e-4, 5e-5):
        rng = np.random.default_rng(5)  # the same other angles
        q = arm_angles(sizes, *at_a_lock(sizes, which, 0.0, rng, off), "rod")
        values.append(mobility(mechanism, q).least_singular_value)
    assert values[0] / values[1] == pytest.approx(2.0, rel=1e-3)


def test_stage_angles_are_the_windows():
    """Each stage's angle from its lock is its window's, folded; the same at both ends of an exact rod."""
    rng = np.random.default_rng(19)
    for _ in range(50):
        sizes, home = random_sizes(rng)
        mechanism = arm(sizes, "rod", home).assemble()
        driven = np.array(home) + rng.uniform(-0.3, 0.3, 3)
        angles = stage_angles(mechanism, arm_angles(sizes, *driven, "rod")).reshape(3, 2)
        want = np.arcsin(np.abs(np.sin(sizes.window(*driven[1:]))))
        np.testing.assert_allclose(angles, np.column_stack([want, want]), atol=1e-9)


def test_without_crank_angles_the_everyday_poses_lock():
    """c = 0, vertical mast: locked with the arm hanging, the forearm vertical, the elbow straight."""
    sizes = ArmSizes(crank_angles=(0.0, 0.0, 0.0))
    mechanism = arm(sizes, "rod", (0.0, 1.0, 1.0)).assemble()
    usable = mobility(mechanism, arm_angles(sizes, 0.0, 0.7, 0.9, "rod"))
    assert usable.true == 3
    for elevation, elbow in ((0.0, 1.0), (1.0, np.pi - 1.0), (1.0, 0.0)):
        assert mobility(mechanism, arm_angles(sizes, 0.0, elevation, elbow, "rod")).true == 4
