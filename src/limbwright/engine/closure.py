"""Position analysis of closed chains: pose, misfit, outcome."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from jaxtyping import Float, Int

from limbwright.engine import kernel_closure as kernels
from limbwright.engine.arrays import for_kernel
from limbwright.engine.kernel_follow import CHUNK, close_each, follow_path
from limbwright.engine.kernel_pose import place_bodies, stage_sine
from limbwright.engine.kernel_rows import fill_columns, misfit
from limbwright.engine.mechanism import BALL, CLOSURE_ROWS, JOINT_FREEDOMS, Linkage, Mechanism
from limbwright.engine.mechanism_builder import MechanismBuilder
from limbwright.engine.outcome import Outcome
from limbwright.engine.threads import spread


class Poses(NamedTuple):
    """Many solved poses."""

    q: Float[np.ndarray, "pose q"]  # coordinates [rad, m]; quaternions w x y z for ball joints
    outcome: Int[np.ndarray, " pose"]  # values of `Outcome`
    miss: Float[np.ndarray, " pose"]  # the worst closure's gap [m], or tilt [rad] of a pin closure


@dataclass(frozen=True)
class Frames:
    """World frames of every body in one pose."""

    rotation: Float[np.ndarray, "body 3 3"]
    position: Float[np.ndarray, "body 3"]  # [m]
    axis: Float[np.ndarray, "body 3"]
    second_axis: Float[np.ndarray, "body 3"]

    def point(self, body: int, local: Float[np.ndarray, " 3"]) -> Float[np.ndarray, " 3"]:
        """A point of a body in the world [m]."""
        return self.position[body] + self.rotation[body] @ np.asarray(local, dtype=float)


class AssemblyError(ValueError):
    """The loops do not meet in the pose they should be assembled in."""

    def __init__(self, miss: float) -> None:
        self.miss = miss
        super().__init__(f"the loops miss each other by {miss * 1e3:.3g} mm in the assembled pose")


def zero_pose(linkage: Linkage) -> Float[np.ndarray, " q"]:
    """All coordinates zero, quaternions at identity."""
    sizes = [4 if j == BALL else JOINT_FREEDOMS[int(j)] for j in linkage.joint]
    q = np.zeros(sum(sizes))
    for at, joint in zip(linkage.q_at, linkage.joint, strict=True):
        if joint == BALL:
            q[at] = 1.0
    return q


def assemble(
    builder: MechanismBuilder, driven: list[tuple[int, int]], guess: Float[np.ndarray, " q"] | None = None
) -> Mechanism:
    """Freeze a builder and close it from a guess; that pose fixes the branch.

    Raises:
        AssemblyError: the loops do not close there.
    """
    linkage = builder.linkage(driven)
    rows = sum(CLOSURE_ROWS[int(k)] for k in linkage.kind)
    q = zero_pose(linkage) if guess is None else np.array(guess, dtype=float)
    room = kernels.make_room(linkage, len(q), rows)
    outcome, miss = kernels.close_pose(linkage, q, room)
    if outcome != Outcome.CLOSED:
        raise AssemblyError(float(miss))
    sines = [
        stage_sine(linkage, s, room.rot, room.pos, room.points, room.axis) for s in range(len(builder.stages))
    ]
    q.flags.writeable = False
    return Mechanism(
        linkage=linkage,
        body_names=tuple(builder.names),
        closure_names=tuple(c.name for c in builder.closures),
        stage_names=tuple(s.name for s in builder.stages),
        assembled=q,
        stage_sign=np.where(np.array(sines) < 0.0, -1.0, 1.0),
    )


def follow_drive(mechanism: Mechanism, drive: Float[np.ndarray, "pose i"]) -> Poses:
    """Close the loops along a path of driven values, each pose from the one before it.

    Every 2,048th pose starts again from the assembled pose, so threads cannot change the result.
    A pose that cannot close, or that closes on another branch, says so; nothing is raised.
    """
    drive = for_kernel(drive)
    count, size = len(drive), len(mechanism.assembled)
    poses = Poses(np.empty((count, size)), np.empty(count, dtype=np.int64), np.empty(count))
    spread(
        follow_path,
        count,
        CHUNK,
        mechanism.linkage,
        np.array(mechanism.assembled),
        drive,
        mechanism.stage_sign,
        mechanism.rows,
        poses.q,
        poses.outcome,
        poses.miss,
    )
    return poses


def follow_stream(mechanism: Mechanism, batches: Iterable[Float[np.ndarray, "pose i"]]) -> Iterator[Poses]:
    """Like `follow_drive`, one batch at a time, so memory does not grow with the number of poses."""
    for batch in batches:
        yield follow_drive(mechanism, batch)


def close_from(mechanism: Mechanism, starts: Float[np.ndarray, "pose q"]) -> Poses:
    """Close each pose from its own start, keeping its driven coordinates."""
    q = np.array(starts, dtype=np.float64, order="C")
    poses = Poses(q, np.empty(len(q), dtype=np.int64), np.empty(len(q)))
    spread(
        close_each,
        len(q),
        CHUNK,
        mechanism.linkage,
        q,
        mechanism.stage_sign,
        mechanism.rows,
        poses.outcome,
        poses.miss,
    )
    return poses


def frames(mechanism: Mechanism, q: Float[np.ndarray, " q"]) -> Frames:
    """Where every body is in one pose."""
    n = len(mechanism.body_names)
    found = Frames(np.zeros((n, 3, 3)), np.zeros((n, 3)), np.zeros((n, 3)), np.zeros((n, 3)))
    place_bodies(
        mechanism.linkage,
        np.array(q, dtype=np.float64),
        False,
        found.rotation,
        found.position,
        found.axis,
        found.second_axis,
    )
    return found


def closure_rows(mechanism: Mechanism, q: Float[np.ndarray, " q"]) -> Float[np.ndarray, " r"]:
    """The closure rows c(q) [m, rad]."""
    room = _placed(mechanism, q)
    misfit(mechanism.linkage, room.rot, room.ends, room.c)
    return room.c


def closure_jacobian(mechanism: Mechanism, q: Float[np.ndarray, " q"]) -> Float[np.ndarray, "r v"]:
    """The exact Jacobian dc/dv over all velocity coordinates [m/rad, 1, ...]."""
    room = _placed(mechanism, q)
    columns = np.zeros((mechanism.freedoms, mechanism.rows))
    every = np.arange(mechanism.freedoms)
    fill_columns(mechanism.linkage, every, room.rot, room.pos, room.ax, room.ax2, room.ends, columns)
    return columns.T


def stage_angles(mechanism: Mechanism, q: Float[np.ndarray, " q"]) -> Float[np.ndarray, " s"]:
    """Signed angle of every stage from its lock [rad]; negative on the other side of it."""
    room = _placed(mechanism, q)
    sines = np.array(
        [
            stage_sine(mechanism.linkage, s, room.rot, room.pos, room.points, room.axis)
            for s in range(len(mechanism.stage_names))
        ]
    )
    return np.arcsin(mechanism.stage_sign * sines)


def _placed(mechanism: Mechanism, q: Float[np.ndarray, " q"]) -> kernels.Room:
    q = np.array(q, dtype=np.float64)
    room = kernels.make_room(mechanism.linkage, len(q), mechanism.rows)
    kernels.place_pose(mechanism.linkage, q, room)
    return room
