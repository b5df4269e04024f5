"""What a pose costs: holding moments by virtual work, and the force in every joint and rod."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from jaxtyping import Bool, Float

from limbwright.engine import kernel_statics as kernels
from limbwright.engine.arrays import for_kernel
from limbwright.engine.kernel_closure import Room, make_room, place_pose
from limbwright.engine.mechanism import BALL_CLOSURE, ROD, Masses, Mechanism
from limbwright.engine.threads import POSES_A_PART, spread

STANDARD_GRAVITY = 9.80665  # m/s2, ISO 80000-3
DOWN = np.array([0.0, 0.0, -STANDARD_GRAVITY])


class PointLoad(NamedTuple):
    """A force that keeps its direction in the world, at a point of a body."""

    body: int
    point: Float[np.ndarray, " 3"]  # in the body's frame [m]
    force: Float[np.ndarray, " 3"]  # [N]


class Holding(NamedTuple):
    """What holds many poses still."""

    moments: Float[
        np.ndarray, "pose i"
    ]  # the driver supplies these, + with the coordinate [N m, N]; NaN where locked
    multipliers: Float[np.ndarray, "pose r"]  # closure forces; of a rod, + is compression [N, N m]


class Reactions(NamedTuple):
    """Load that each body's joint carries from its parent to the body, in the world."""

    force: Float[np.ndarray, "body 3"]  # [N]
    moment: Float[np.ndarray, "body 3"]  # about the joint's origin [N m]
    free: Bool[np.ndarray, ""]  # False where the pose is locked and there is no answer


def no_masses(mechanism: Mechanism) -> Masses:
    """A mechanism that weighs nothing, to be filled in or added to."""
    bodies, closures = len(mechanism.body_names), len(mechanism.closure_names)
    return Masses(np.zeros(bodies), np.zeros((bodies, 3)), np.zeros(closures), np.full(closures, 0.5))


def add_masses(one: Masses, other: Masses) -> Masses:
    """Two sets of masses as one, with the centre of each body's total."""
    mass = one.mass + other.mass
    moment = one.mass[:, None] * one.centre + other.mass[:, None] * other.centre
    rod = one.rod_mass + other.rod_mass
    rod_moment = one.rod_mass * one.rod_centre + other.rod_mass * other.rod_centre
    return Masses(
        mass,
        np.divide(moment, mass[:, None], out=np.zeros_like(moment), where=mass[:, None] != 0.0),
        rod,
        np.divide(rod_moment, rod, out=np.full_like(rod, 0.5), where=rod != 0.0),
    )


def holding_moments(
    mechanism: Mechanism,
    masses: Masses,
    q: Float[np.ndarray, "pose q"],
    gravity: Float[np.ndarray, " 3"] = DOWN,
    loads: Sequence[PointLoad] = (),
) -> Holding:
    """Moments that hold closed poses, by virtual work: tau = dV/dq_i - (dc/dq_i)^T lambda.

    lambda is the least-norm solution of (dc/dq_d)^T lambda = dV/dq_d; a locked pose gives NaN.

    Args:
        q: closed poses, as `follow_drive` returns them.
        gravity: its direction tilts with the trunk [m/s2].
        loads: point forces besides the weights.
    """
    q = for_kernel(q)
    bodies, points, forces = _load_arrays(loads)
    held = Holding(np.empty((len(q), len(mechanism.linkage.driven))), np.empty((len(q), mechanism.rows)))
    spread(
        kernels.holding_each,
        len(q),
        POSES_A_PART,
        mechanism.linkage,
        masses,
        np.asarray(gravity, dtype=np.float64),
        bodies,
        points,
        forces,
        q,
        mechanism.rows,
        held.moments,
        held.multipliers,
    )
    return held


def joint_reactions(
    mechanism: Mechanism,
    masses: Masses,
    q: Float[np.ndarray, " q"],
    gravity: Float[np.ndarray, " 3"] = DOWN,
    loads: Sequence[PointLoad] = (),
) -> Reactions:
    """Load in every tree joint by Newton-Euler: each body balanced under its loads and closures.

    About a driven joint's axis the moment is what the driver supplies; about a dependent joint's
    axis it is zero. Both agree with `holding_moments` to rounding.
    """
    bodies, points, forces = _load_arrays(loads)
    gravity = np.asarray(gravity, dtype=np.float64)
    room = _placed(mechanism, q)
    count = len(mechanism.body_names)
    force, moment = np.zeros((count, 3)), np.zeros((count, 3))
    lam = np.zeros(mechanism.rows)
    tau = np.zeros(len(mechanism.linkage.driven))
    free = kernels.holding(
        mechanism.linkage, masses, gravity, bodies, points, forces, room, force, moment, lam, tau
    )
    kernels.applied_loads(mechanism.linkage, masses, gravity, bodies, points, forces, room, force, moment)
    _add_closure_forces(mechanism, room, lam, force, moment)
    kernels.sum_up_tree(mechanism.linkage, force, moment)
    about_joint = moment - np.cross(room.pos, force)
    return Reactions(-force, -about_joint, np.array(free))


def _add_closure_forces(
    mechanism: Mechanism,
    room: Room,
    lam: Float[np.ndarray, " r"],
    force: Float[np.ndarray, "body 3"],
    moment: Float[np.ndarray, "body 3"],
) -> None:
    """What each closure does to its two bodies; equal and opposite."""
    linkage = mechanism.linkage
    for k in range(len(linkage.kind)):
        at = linkage.row_at[k]
        a, b = room.ends[k]
        rod = linkage.kind[k] == ROD
        push = lam[at] * (a - b) / np.linalg.norm(a - b) if rod else lam[at : at + 3]
        turn = np.zeros(3)
        if not rod and linkage.kind[k] != BALL_CLOSURE:
            axis = room.rot[linkage.body_b[k]] @ linkage.axis_b[k]
            for side in range(2):
                across = room.rot[linkage.body_a[k]] @ linkage.across_a[k, side]
                turn = turn + lam[at + 3 + side] * np.cross(across, axis)
        for body, point, sign in ((linkage.body_a[k], a, 1.0), (linkage.body_b[k], b, -1.0)):
            force[body] += sign * push
            moment[body] += sign * (np.cross(point, push) + turn)


def _placed(mechanism: Mechanism, q: Float[np.ndarray, " q"]) -> Room:
    q = np.array(q, dtype=np.float64)
    room = make_room(mechanism.linkage, len(q), mechanism.rows)
    place_pose(mechanism.linkage, q, room)
    return room


def _load_arrays(
    loads: Sequence[PointLoad],
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    return (
        np.array([load.body for load in loads], dtype=np.int64),
        np.array([load.point for load in loads], dtype=np.float64).reshape(-1, 3),
        np.array([load.force for load in loads], dtype=np.float64).reshape(-1, 3),
    )
