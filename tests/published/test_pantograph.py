"""The scaling pantograph: fixed pivot O, tracer P and follower Q stay on one line, OQ / OP = k.

Source: textbook geometry (C. Scheiner, Pantographice, 1631; in every kinematics text). With unit
vectors u, v along the long arms, P = a u + b v and Q = k a u + k b v = k P in every pose, so Q's path
is P's path k times as large; by virtual work a force F on Q is balanced by -k F on P. All exact, so the
tolerance is that of the closure (1e-10 m) and, for forces, 1e-9 of the largest term.
"""

import numpy as np
import pytest

from limbwright.engine.closure import assemble, follow_drive, frames
from limbwright.engine.mechanism import GROUND, PIN, Mechanism
from limbwright.engine.mechanism_builder import MechanismBuilder
from limbwright.engine.statics import PointLoad, holding_moments, no_masses

A, B = 0.25, 0.30  # short arms [m]
X = np.array([1.0, 0.0, 0.0])


def pantograph(k: float, joining: str = "ball") -> Mechanism:
    """Five links (ground with them), five pins at O, D, E, P and F, in the x-y plane; two freedoms."""
    b = MechanismBuilder()
    near = b.body("near arm", GROUND, PIN)  # O to E, k A long
    far = b.body("far arm", near, PIN, origin=k * A * X)  # E to Q, k B long
    short = b.body("short arm", near, PIN, origin=A * X)  # D to P, parallel to the far arm
    if joining == "rod":
        b.rod("link", short, B * X, far, B * X, (k - 1) * A)
    else:
        link = b.body("link", short, PIN, origin=B * X)  # P to F, parallel to the near arm
        b.ball("F", link, (k - 1) * A * X, far, B * X)
    guess = [0.3, 1.2, 1.1] + ([] if joining == "rod" else [-1.0])
    return assemble(b, [(near, 0), (short, 0)], np.array(guess))


def tracer_angles(path: np.ndarray) -> np.ndarray:
    """Near arm's angle and short arm's angle to it that bring P to points of a path (law of cosines)."""
    reach = np.hypot(*path.T)
    bend = np.arccos((reach**2 - A**2 - B**2) / (2 * A * B))
    return np.column_stack(
        [np.arctan2(path[:, 1], path[:, 0]) - np.arctan2(B * np.sin(bend), A + B * np.cos(bend)), bend]
    )


def followed(mechanism: Mechanism, k: float, path: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    poses = follow_drive(mechanism, tracer_angles(path))
    assert not poses.outcome.any()
    traced, drawn = [], []
    for q in poses.q:
        placed = frames(mechanism, q)
        traced.append(placed.point(mechanism.body("short arm"), B * X)[:2])
        drawn.append(placed.point(mechanism.body("far arm"), k * B * X)[:2])
    return np.array(traced), np.array(drawn)


@pytest.mark.parametrize("joining", ["rod", "ball"])
@pytest.mark.parametrize("k", [1.5, 2.0, 3.5])
def test_follower_draws_the_traced_path_k_times_as_large(k, joining):
    t = np.linspace(0, 2 * np.pi, 120)
    path = np.column_stack([0.32 + 0.08 * np.cos(t), 0.15 + 0.07 * np.sin(2 * t)])
    traced, drawn = followed(pantograph(k, joining), k, path)
    np.testing.assert_allclose(traced, path, atol=1e-10)
    np.testing.assert_allclose(drawn, k * traced, atol=k * 1e-10)


@pytest.mark.parametrize("k", [1.5, 3.5])
def test_force_ratio_is_the_inverse_of_the_path_ratio(k):
    mechanism = pantograph(k)
    rng = np.random.default_rng(16)
    poses = follow_drive(mechanism, np.column_stack([rng.uniform(0, 0.6, 50), rng.uniform(0.8, 1.8, 50)]))
    assert not poses.outcome.any()
    for q in poses.q:
        force = np.array([*rng.normal(size=2), 0.0]) * 20
        on_follower = PointLoad(mechanism.body("far arm"), k * B * X, force)
        on_tracer = PointLoad(mechanism.body("short arm"), B * X, -k * force)
        alone, both = (
            holding_moments(mechanism, no_masses(mechanism), q[None], loads=loads).moments[0]
            for loads in ([on_follower], [on_follower, on_tracer])
        )
        assert np.abs(alone).max() > 0.1
        assert np.abs(both).max() < 1e-9 * np.linalg.norm(force) * k
