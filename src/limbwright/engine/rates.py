"""Velocities by the chain rule through the closures: dq_d/dq_i = -(dc/dq_d)^+ dc/dq_i."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from jaxtyping import Float

from limbwright.engine import kernel_rates as kernels
from limbwright.engine.arrays import for_kernel
from limbwright.engine.mechanism import CLOSURE_ROWS, Linkage, Mechanism
from limbwright.engine.threads import POSES_A_PART, spread


class PointMotion(NamedTuple):
    """Where points are and how they follow the driven coordinates."""

    place: Float[np.ndarray, "pose point 3"]  # in the world [m]
    rate: Float[np.ndarray, "pose point 3 i"]  # [m/rad, 1]; NaN where the pose is locked


class RowsAt(NamedTuple):
    """Closure rows of a linkage at poses that need not close it."""

    rows: Float[np.ndarray, "pose r"]  # [m, rad]
    jacobian: Float[np.ndarray, "pose r d"]  # dc/dq_d


def point_motion(
    mechanism: Mechanism,
    q: Float[np.ndarray, "pose q"],
    points: Sequence[tuple[int, Float[np.ndarray, " 3"]]],
) -> PointMotion:
    """Places and rates of (body, point in that body) at closed poses."""
    q = for_kernel(q)
    bodies = np.array([body for body, _ in points], dtype=np.int64)
    locals_ = np.array([np.asarray(p, dtype=np.float64) for _, p in points]).reshape(-1, 3)
    count, driven = len(q), len(mechanism.linkage.driven)
    motion = PointMotion(np.empty((count, len(bodies), 3)), np.empty((count, len(bodies), 3, driven)))
    spread(
        kernels.rates_each,
        count,
        POSES_A_PART,
        mechanism.linkage,
        q,
        mechanism.rows,
        bodies,
        locals_,
        motion.place,
        motion.rate,
    )
    return motion


def rows_at(linkage: Linkage, q: Float[np.ndarray, "pose q"]) -> RowsAt:
    """How far the loops of a linkage miss at given poses, and their Jacobian."""
    q = for_kernel(q)
    rows = sum(CLOSURE_ROWS[int(k)] for k in linkage.kind)
    found = RowsAt(np.empty((len(q), rows)), np.empty((len(q), rows, len(linkage.dependent))))
    spread(kernels.rows_each, len(q), POSES_A_PART, linkage, q, rows, found.rows, found.jacobian)
    return found


def velocity_ratio(
    follower: Float[np.ndarray, "pose 3 i"], leader: Float[np.ndarray, "pose 3 i"], floor: float
) -> Float[np.ndarray, "pose 2"]:
    """Greatest and least |follower velocity| / |leader velocity| over all directions of motion.

    Singular values of F L^+; NaN where the leader is within `floor` [m/rad] of losing a direction,
    since the ratio is unbounded there.
    """
    both = np.concatenate([leader, follower], axis=1)
    known: np.ndarray = np.all(np.isfinite(both), axis=(1, 2))
    leader = np.where(known[:, None, None], leader, 0.0)
    follower = np.where(known[:, None, None], follower, 0.0)
    u, s, vt = np.linalg.svd(leader, full_matrices=False)
    sound = known & (s[:, -1] > floor)
    inverse = np.divide(1.0, s, out=np.zeros_like(s), where=s > 0.0)
    mapping = follower @ np.swapaxes(vt, 1, 2) @ (inverse[:, :, None] * np.swapaxes(u, 1, 2))
    values = np.linalg.svd(mapping, compute_uv=False)
    ratio = np.stack([values[:, 0], values[:, -1]], axis=-1)
    ratio[~sound] = np.nan
    return ratio
