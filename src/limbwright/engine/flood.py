"""The usable range of a mechanism: a flood over its driven coordinates from the assembled pose."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from jaxtyping import Bool, Float, Int, UInt8

from limbwright.engine import kernel_flood as kernels
from limbwright.engine.closure import closure_jacobian, follow_drive, stage_angles
from limbwright.engine.mechanism import Mechanism
from limbwright.engine.outcome import Outcome
from limbwright.engine.threads import spread

Progress = Callable[[int, int], None]  # (done, whole); raises to cancel
BARE_FLOOR = np.radians(1.0)  # a floor above this is a stop somebody fitted, not the edge of a lock
IN_LINE = 1e-3  # [rad] crank and rod this near to one line, at the end of a bisected edge, are in line
SINGULAR = 1e-3  # a singular value this small against the assembled pose's largest, at a bisected edge's end


class Barrier(IntEnum):
    """Why a node was not reached."""

    NONE = 0
    EXCLUDED = 1  # not asked for: the caller masked it out
    FLOOR = 2  # a stage would come nearer to its lock than its floor allows
    CHANGE_POINT = 3  # rank of dc/dq drops: the motion may divide
    DEAD_POINT = 4  # crank and rod in line at one end: the driver cannot pass, or the copy turns back
    CANNOT_CLOSE = 5  # no stage stands at a lock, and yet the loops do not meet beyond
    CUT_OFF = 6  # never visited: behind one of the others


@dataclass(frozen=True)
class Flood:
    """What was reached over a grid; nodes are flat, the last axis fastest. 31 bytes a node."""

    axes: tuple[Float[np.ndarray, " _"], ...]  # driven values along each axis [rad, m]
    barrier: UInt8[np.ndarray, " node"]  # `Barrier`; NONE where reached
    behind: UInt8[np.ndarray, " node"]  # of a cut-off node: the nearest barrier's kind
    stage: Int[
        np.ndarray, " node"
    ]  # of a reached node its least stage; of a barred one the stage that barred it
    margin: Float[np.ndarray, " node"]  # least stage angle from its lock [rad]; NaN where not reached
    dependent: Float[np.ndarray, "node _"]  # the coordinates that are not driven; NaN where not reached

    @property
    def shape(self) -> tuple[int, ...]:
        """Nodes along each axis."""
        return tuple(len(a) for a in self.axes)

    @property
    def reached(self) -> Bool[np.ndarray, " node"]:
        """Where the mechanism can go."""
        return self.barrier == Barrier.NONE

    def driven(self, nodes: Int[np.ndarray, " n"]) -> Float[np.ndarray, "n i"]:
        """Driven coordinates of nodes."""
        places = np.unravel_index(nodes, self.shape)
        return np.stack([axis[at] for axis, at in zip(self.axes, places, strict=True)], axis=-1)


def node_poses(mechanism: Mechanism, flood: Flood, nodes: Int[np.ndarray, " n"]) -> Float[np.ndarray, "n q"]:
    """Full coordinates of reached nodes."""
    m = mechanism.linkage
    q = np.tile(mechanism.assembled, (len(nodes), 1))
    q[:, m.dof_q[m.driven]] = flood.driven(nodes)
    q[:, _rest(mechanism)] = flood.dependent[nodes]
    return q


def _rest(mechanism: Mechanism) -> Int[np.ndarray, " _"]:
    """Coordinates that are solved, not driven: of a ball all four numbers of its quaternion."""
    m = mechanism.linkage
    return np.setdiff1d(np.arange(len(mechanism.assembled)), m.dof_q[m.driven])


def flood_range(
    mechanism: Mechanism,
    axes: Sequence[Float[np.ndarray, " _"]],
    allowed: Bool[np.ndarray, " node"],
    floor: Float[np.ndarray, " s"],
    *,
    tied: UInt8[np.ndarray, " node"] | None = None,
    progress: Progress | None = None,
) -> Flood:
    """Flood outwards from the assembled pose over allowed nodes, each solved from a solved neighbour.

    An edge on which any stage changes side, or comes nearer to its lock than its floor, halfway or
    at its end, is no edge.

    Args:
        axes: increasing driven values along each driven coordinate.
        allowed: nodes that may be visited.
        floor: least angle of each stage from its lock [rad].
        tied: bit a set where coordinate a cannot be driven; edges along a between such nodes are none.
        progress: called with (nodes settled, nodes allowed); may raise to cancel.
    """
    shape = np.array([len(a) for a in axes], dtype=np.int64)
    values = np.concatenate([np.asarray(a, dtype=np.float64) for a in axes])
    count = int(np.prod(shape))
    tied = np.zeros(count, dtype=np.uint8) if tied is None else tied
    state = np.zeros(count, dtype=np.uint8)
    mark = np.zeros(count, dtype=np.int32)
    rest = _rest(mechanism)
    solved = np.full((count, len(rest)), np.nan)
    margin = np.full(count, np.nan, dtype=np.float32)
    stopped = np.zeros(count, dtype=np.uint8)
    stage = np.full(count, -1, dtype=np.int8)
    origin = np.full(count, -1, dtype=np.int32)
    start = np.array(mechanism.assembled)
    floor = np.asarray(floor, dtype=np.float64)
    frontier = _seed(mechanism, axes, allowed, state, solved, margin, stage, floor)
    whole, wave = int(np.count_nonzero(allowed)), 0
    while len(frontier):
        wave += 1
        ring = kernels.ring_of(frontier, shape, allowed, state, mark, wave)
        got = np.zeros(len(ring), dtype=np.bool_)
        spread(
            kernels.reach_ring, len(ring), kernels.SLICE,
            mechanism.linkage, ring, shape, values, start, rest, mechanism.stage_sign, floor, mechanism.rows,
            tied, state, solved, margin, stopped, stage, origin, got,
        )  # fmt: skip
        frontier = ring[got]
        state[frontier] = kernels.REACHED
        if progress is not None:
            progress(int(np.count_nonzero(state)), whole)
    barrier = np.full(count, int(Barrier.CUT_OFF), dtype=np.uint8)
    barrier[state == kernels.REACHED] = Barrier.NONE
    barrier[~allowed] = Barrier.EXCLUDED
    barred = np.flatnonzero((barrier == Barrier.CUT_OFF) & (origin >= 0))
    fitted = stopped[barred] == kernels.UNDER_FLOOR
    fitted[fitted] = floor[stage[barred[fitted]]] > BARE_FLOOR
    barrier[barred[fitted]] = Barrier.FLOOR
    _name_barriers(mechanism, shape, values, barred[~fitted], origin, floor, solved, barrier, stage)
    behind = _label_cut_off(shape, barrier)
    return Flood(tuple(np.asarray(a) for a in axes), barrier, behind, stage, margin, solved)


def _seed(
    mechanism: Mechanism,
    axes: Sequence[np.ndarray],
    allowed: np.ndarray,
    state: np.ndarray,
    solved: np.ndarray,
    margin: np.ndarray,
    stage: np.ndarray,
    floor: np.ndarray,
) -> np.ndarray:
    """The allowed node nearest to the assembled pose that can be reached from it; empty if none can."""
    home = mechanism.driven_values(mechanism.assembled)
    grids = np.meshgrid(*axes, indexing="ij")
    away = np.sqrt(sum((g - h) ** 2 for g, h in zip(grids, home, strict=True))).ravel()
    away[~allowed] = np.inf
    for node in np.argsort(away, kind="stable")[:64]:
        if not np.isfinite(away[node]):
            break
        drive = np.array([[g.ravel()[node] for g in grids]])
        poses = follow_drive(mechanism, drive)
        if poses.outcome[0] != Outcome.CLOSED:
            continue
        angles = stage_angles(mechanism, poses.q[0])
        if len(angles) and np.any(angles < floor - kernels.FLOOR_SLACK):
            continue
        state[node] = kernels.REACHED
        solved[node] = poses.q[0][_rest(mechanism)]
        margin[node] = angles.min() if len(angles) else np.pi
        stage[node] = int(angles.argmin()) if len(angles) else -1
        return np.array([node], dtype=np.int64)
    return np.zeros(0, dtype=np.int64)


def _name_barriers(
    mechanism: Mechanism,
    shape: np.ndarray,
    values: np.ndarray,
    barred: np.ndarray,
    origin: np.ndarray,
    floor: np.ndarray,
    solved: np.ndarray,
    barrier: np.ndarray,
    stage: np.ndarray,
) -> None:
    """Creep along each barred edge and name what comes first: a fitted stop, or a lock."""
    start = np.array(mechanism.assembled)
    ends, stops = np.empty((len(barred), len(start))), np.empty(len(barred), dtype=np.int64)
    spread(
        kernels.probe_barriers, len(barred), kernels.SLICE,
        mechanism.linkage, barred, origin, shape, values, start, _rest(mechanism), mechanism.stage_sign,
        floor, BARE_FLOOR, mechanism.rows, solved, ends, stops,
    )  # fmt: skip
    for node, end, stop in zip(barred, ends, stops, strict=True):
        if stop >= 0:
            barrier[node], stage[node] = Barrier.FLOOR, stop
        else:
            barrier[node], stage[node] = _lock_at(mechanism, end)


def _lock_at(mechanism: Mechanism, end: np.ndarray) -> tuple[Barrier, int]:
    """The kind of lock that a bisected edge ends at, and its stage (-1 where none stands there)."""
    angles = stage_angles(mechanism, end)
    nearest = int(angles.argmin()) if len(angles) else -1
    jacobian = closure_jacobian(mechanism, end)
    scale = SINGULAR * np.linalg.norm(closure_jacobian(mechanism, mechanism.assembled), 2)
    whole = np.linalg.svd(jacobian, compute_uv=False)
    block = np.linalg.svd(jacobian[:, mechanism.linkage.dependent], compute_uv=False)
    if whole[-1] < scale:
        return Barrier.CHANGE_POINT, nearest
    # a stage in line at its driving end only: the copy turns back there, a change point spoiled the other way
    if block[-1] < scale or (nearest >= 0 and angles[nearest] < IN_LINE):
        return Barrier.DEAD_POINT, nearest
    return Barrier.CANNOT_CLOSE, -1


def nearest_labels(
    shape: tuple[int, ...], labels: Int[np.ndarray, " node"], through: Bool[np.ndarray, " node"]
) -> Int[np.ndarray, " node"]:
    """Give every node of `through` the label of the nearest labelled node, walking through such nodes.

    Args:
        labels: 0 or more where a node has a label, -1 elsewhere.
    """
    spread = labels.astype(np.int16)
    seeds = np.flatnonzero(spread >= 0).astype(np.int64)
    kernels.spread_from(seeds, np.array(shape, dtype=np.int64), through, spread)
    return spread


def _label_cut_off(shape: np.ndarray, barrier: np.ndarray) -> np.ndarray:
    real = (barrier > Barrier.EXCLUDED) & (barrier < Barrier.CUT_OFF)
    labels = np.where(real, barrier.astype(np.int16), np.int16(-1))
    cut_off = barrier == Barrier.CUT_OFF
    spread = nearest_labels(tuple(int(n) for n in shape), labels, cut_off)
    return np.where(cut_off & (spread >= 0), spread, 0).astype(np.uint8)
