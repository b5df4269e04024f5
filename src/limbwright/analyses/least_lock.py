"""How near an arm comes to a lock anywhere in its usable range, between the nodes of the sweep too.

Where a stop bars the way the arm goes right up to it, so the least angle there is the stop's own,
whatever the step of the sweep; where a bare lock bars it, the least is zero. Only where the range
ends at the performer's own limits does the sweep's step leave something open.
"""

from dataclasses import dataclass, replace

import numpy as np
from jaxtyping import Float, Int

from limbwright.analyses.matching import margin_spread
from limbwright.analyses.reach import CAUSE_WORDS, Cause, Reach
from limbwright.engine.closure import follow_drive, stage_angles
from limbwright.engine.outcome import Outcome

BARE = (Cause.CHANGE_POINT, Cause.DEAD_POINT, Cause.CANNOT_CLOSE)
TIE = 1e-6  # [rad] a node that stands on its stop is beside it
HALVINGS = 40  # of a step, to a stop's edge
MOST_POSES = 400  # distinct poses beside a stop whose length errors are followed


@dataclass(frozen=True)
class LeastLock:
    """The least angle of any stage from its lock, and where [rad]."""

    value: float
    band: tuple[float, float]  # from the lengths' +/-, and the sweep's step where that leaves room
    stage: str
    drive: tuple[float, float, float]
    q: Float[np.ndarray, " q"]  # coordinates of that pose
    why: str  # what ends the range there; empty where the performer's limits do


def least_lock(reach: Reach) -> LeastLock | None:
    """The least lock margin of a reach; None where nothing is usable."""
    usable = reach.usable
    if not len(usable):
        return None
    barred, beside = _barred(reach)
    bare = np.isin(reach.cause[barred], BARE)
    if np.any(bare):
        return _at_bare_lock(reach, int(beside[bare][0]), Cause(int(reach.cause[barred[bare][0]])))
    inside = _inside(reach)
    if not len(barred):
        return inside
    stages = reach.flood.stage[barred].astype(np.int64)
    floors = np.repeat(np.array(reach.arm.geometry.stops), 2)[stages]
    lowest = floors <= floors.min() + 1e-12
    stop = _at_stop(reach, barred[lowest], beside[lowest], stages[lowest], float(floors.min()))
    nearest = stop if stop.value <= inside.value + TIE else inside
    return replace(nearest, band=(min(stop.band[0], inside.band[0]), nearest.band[1]))


def _at_bare_lock(reach: Reach, node: int, cause: Cause) -> LeastLock:
    stage = _stage_name(reach, int(reach.flood.stage[node]))
    q = reach.poses(np.array([node]))[0]
    return _least(reach, 0.0, (0.0, 0.0), stage, q, f"{CAUSE_WORDS[cause]}, no stop holds it off")


def _at_stop(
    reach: Reach,
    barred: Int[np.ndarray, " n"],
    nodes: Int[np.ndarray, " n"],
    stages: Int[np.ndarray, " n"],
    floor: float,
) -> LeastLock:
    """The stop's own angle, with the worst length errors among the poses beside it."""
    drive = reach.flood.driven(nodes)
    keys = np.column_stack([drive[:, 1:], stages])
    _, first = np.unique(np.round(keys, 9), axis=0, return_index=True)
    some = np.sort(first)[:: max(1, len(first) // MOST_POSES)]
    spread = margin_spread(reach.arm, reach.poses(nodes[some]))
    pairs = stages[some] // 2  # both ends of a rod: the stop sets one, errors move the other
    mine = np.maximum(spread[np.arange(len(some)), 2 * pairs], spread[np.arange(len(some)), 2 * pairs + 1])
    at = int(np.argmax(np.round(mine, 9)))
    q = _up_to_stop(reach, int(nodes[some[at]]), int(barred[some[at]]))
    ends = [2 * int(pairs[at]), 2 * int(pairs[at]) + 1]
    worst = max(float(mine[at]), float(margin_spread(reach.arm, q[None, :])[0, ends].max()))
    stage = _stage_name(reach, int(stages[some[at]]))
    return _least(reach, floor, (floor - worst, floor + worst), stage, q, "a stop touches")


def _up_to_stop(reach: Reach, node: int, barred: int) -> Float[np.ndarray, " q"]:
    """The pose on the way from a usable node to a barred one where the stop just touches."""
    mechanism = reach.arm.mechanism
    start, end = reach.flood.driven(np.array([node, barred]))
    q = reach.poses(np.array([node]))[0]
    floors = np.repeat(np.array(reach.arm.geometry.stops), 2)
    part, step = 0.0, 1.0
    for _ in range(HALVINGS):
        step *= 0.5
        drive = (start + (part + step) * (end - start))[None, :]
        poses = follow_drive(replace(mechanism, assembled=q), drive)
        if poses.outcome[0] == Outcome.CLOSED and np.all(stage_angles(mechanism, poses.q[0]) >= floors):
            part, q = part + step, poses.q[0]
    return q


def _inside(reach: Reach) -> LeastLock:
    """The least among the nodes; the next step beyond the last node may come nearer by its own size."""
    usable = reach.usable
    node = usable[[int(np.argmin(np.round(reach.flood.margin[usable].astype(float), 6)))]]
    q = reach.poses(node)
    angles = stage_angles(reach.arm.mechanism, q[0])
    spread = margin_spread(reach.arm, q)[0]
    _, elevation, elbow = reach.steps
    step = np.repeat([elevation, elevation + elbow, elbow], 2)
    floors = np.repeat(np.array(reach.arm.geometry.stops), 2)
    low = float((np.maximum(angles - step, np.minimum(floors, angles)) - spread).min())
    which = int(angles.argmin())
    value = float(angles[which])
    return _least(reach, value, (low, value + float(spread[which])), _stage_name(reach, which), q[0], "")


def _barred(reach: Reach) -> tuple[Int[np.ndarray, " n"], Int[np.ndarray, " n"]]:
    """Nodes that a stop or a lock itself bars, each with a usable node beside it."""
    shape = reach.flood.shape
    cause = reach.cause.reshape(shape)
    bars = np.isin(cause, (Cause.STOP, *BARE)) & ~reach.cut_off.reshape(shape)
    usable = cause == Cause.USABLE
    numbers = np.arange(cause.size).reshape(shape)
    beside = np.full(shape, -1)
    for axis in range(len(shape)):
        for to, frm in ((slice(1, None), slice(None, -1)), (slice(None, -1), slice(1, None))):
            here = tuple(to if a == axis else slice(None) for a in range(len(shape)))
            there = tuple(frm if a == axis else slice(None) for a in range(len(shape)))
            found = bars[here] & usable[there] & (beside[here] < 0)
            beside[here] = np.where(found, numbers[there], beside[here])
    barred = np.flatnonzero(beside.ravel() >= 0)
    return barred, beside.ravel()[barred]


def _stage_name(reach: Reach, stage: int) -> str:
    return reach.arm.mechanism.stage_names[stage].partition(",")[0] if stage >= 0 else "some"


def _least(
    reach: Reach, value: float, band: tuple[float, float], stage: str, q: np.ndarray, why: str
) -> LeastLock:
    a, b, c = (float(v) for v in reach.arm.mechanism.driven_values(q))
    return LeastLock(value, band, stage, (a, b, c), q, why)
