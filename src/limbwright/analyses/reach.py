"""How much of the performer's range the arm keeps, where it ends, and how near it comes to a lock.

The rig's driven coordinates (swing, elevation, elbow) are a grid; a flood from the assembled pose
finds what is reached. Share = weight of usable nodes / weight of nodes within the performer's own
limits, weight sin(elevation), over the swivel's travel.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple

import numpy as np
from jaxtyping import Bool, Float, UInt8

from limbwright.engine.flood import Barrier, Flood, flood_range, nearest_labels, node_poses
from limbwright.limbs.parallel_arm import swivel_frame
from limbwright.limbs.performer_range import UNDRIVEN, Allowed, allowed_by_performer, swivel_lever
from limbwright.limbs.worn_arm import WornArm

GUARD = math.radians(0.5)  # without stops the flood turns back this near to a lock
Progress = Callable[[int, int], None]


class Cause(IntEnum):
    """Why a pose of the rig is not usable."""

    USABLE = 0
    JOINT_RANGE = 1  # outside the performer's own limits; not counted as lost
    ROTATION = 2  # the one-axis elbow dictates a rotation the performer has not got
    STOP = 3
    CHANGE_POINT = 4
    DEAD_POINT = 5
    CANNOT_CLOSE = 6
    UNDRIVEN = 7  # no cuff has a lever about the swivel


CAUSE_WORDS: dict[Cause, str] = {
    Cause.USABLE: "usable",
    Cause.JOINT_RANGE: "outside the performer's own joint range",
    Cause.ROTATION: "rotation dictated by the one-axis elbow",
    Cause.STOP: "a stop touches",
    Cause.CHANGE_POINT: "change point",
    Cause.DEAD_POINT: "dead point",
    Cause.CANNOT_CLOSE: "cannot close",
    Cause.UNDRIVEN: "swivel undriven",
}
_FROM_BARRIER = {
    Barrier.FLOOR: Cause.STOP,
    Barrier.CHANGE_POINT: Cause.CHANGE_POINT,
    Barrier.DEAD_POINT: Cause.DEAD_POINT,
    Barrier.CANNOT_CLOSE: Cause.CANNOT_CLOSE,
}


class Loss(NamedTuple):
    """Share of the performer's range lost to one cause."""

    cause: Cause
    at_barrier: float  # poses that the cause itself takes
    behind: float  # poses never visited because it stands in the way


@dataclass(frozen=True)
class Reach:
    """What the arm keeps of the performer's range. Nodes are flat, the last axis fastest."""

    arm: WornArm
    flood: Flood
    cause: UInt8[np.ndarray, " node"]
    cut_off: Bool[np.ndarray, " node"]  # never visited: `cause` is the nearest barrier's
    weight: Float[np.ndarray, " node"]
    usable_share: float
    share_without_rotation: float  # were the forearm free of the arm's plane
    losses: tuple[Loss, ...]
    undriven_share: float

    @property
    def steps(self) -> tuple[float, float, float]:
        """Step of swing, elevation and elbow [rad]."""
        a, b, c = (float(axis[1] - axis[0]) if len(axis) > 1 else 0.0 for axis in self.flood.axes)
        return (a, b, c)

    @property
    def usable(self) -> np.ndarray:
        """Numbers of the usable nodes."""
        return np.flatnonzero(self.cause == Cause.USABLE)

    @property
    def share_band(self) -> tuple[float, float]:
        """Least and greatest usable share that a finer sweep may find.

        The border runs somewhere between a usable node and the lost one beside it: half of the
        weight on either side of it is open.
        """
        shape = self.flood.shape
        usable = (self.cause == Cause.USABLE).reshape(shape)
        inside = (self.cause != Cause.JOINT_RANGE).reshape(shape)
        weight = self.weight.reshape(shape)
        whole = float(weight[inside].sum())
        lost = inside & ~usable
        gives = float(weight[usable & _beside(lost)].sum())
        takes = float(weight[lost & _beside(usable)].sum())
        return (
            self.usable_share - _ratio(0.5 * gives, whole),
            self.usable_share + _ratio(0.5 * takes, whole),
        )

    def poses(self, nodes: np.ndarray) -> np.ndarray:
        """Full coordinates of usable nodes (n, q)."""
        return node_poses(self.arm.mechanism, self.flood, nodes)

    def share_with_margin(self, margin: float) -> float:
        """Share of the performer's range that also keeps a lock margin [rad]."""
        kept = (self.cause == Cause.USABLE) & (self.flood.margin >= margin - 1e-6)
        inside = self.cause != Cause.JOINT_RANGE
        return _ratio(self.weight[kept].sum(), self.weight[inside].sum())


def sweep_reach(arm: WornArm, steps: tuple[float, float, float], progress: Progress | None = None) -> Reach:
    """Flood one arm's range and name the cause wherever it ends.

    Args:
        steps: of swing, elevation, elbow [rad].
        progress: called with (poses settled, poses asked for); may raise to cancel.
    """
    axes = _axes(arm, steps)
    swing, elevation, elbow = (g.ravel() for g in np.meshgrid(*axes, indexing="ij"))
    allowed = allowed_by_performer(arm.geometry, arm.body.limits, swing, elevation, elbow)
    undriven = swivel_lever(arm.geometry, elevation, elbow) < UNDRIVEN
    weight = np.sin(elevation)
    floor = np.repeat(np.maximum(arm.geometry.stops, GUARD), 2)
    tied = undriven.astype(np.uint8)

    def flood(mask: np.ndarray, told: Progress | None) -> Flood:
        return flood_range(arm.mechanism, axes, mask, floor, tied=tied, progress=told)

    kept = flood(allowed.joints & allowed.rotation, progress)
    free = flood(allowed.joints, None)
    cause, cut_off = _causes(kept, allowed, undriven)
    inside = float(weight[allowed.joints].sum())
    return Reach(
        arm=arm,
        flood=kept,
        cause=cause,
        cut_off=cut_off,
        weight=weight,
        usable_share=_ratio(weight[cause == Cause.USABLE].sum(), inside),
        share_without_rotation=_ratio(weight[free.reached & ~undriven].sum(), inside),
        losses=_losses(cause, cut_off, weight, inside),
        undriven_share=_ratio(weight[cause == Cause.UNDRIVEN].sum(), inside),
    )


def _axes(arm: WornArm, steps: tuple[float, float, float]) -> tuple[np.ndarray, ...]:
    low, high = arm.geometry.swing_range
    limits = arm.body.limits
    highest = max(limits.flexion.value, limits.abduction.value, limits.extension.value)
    # a leaning swivel counts elevation from its own axis, so the performer's limit may lie that much higher
    lean = math.acos(min(1.0, float(swivel_frame(arm.geometry)[2, 2])))
    return (
        _span(low, high, steps[0]),
        _span(0.0, min(math.pi, highest + lean), steps[1]),
        _span(limits.elbow[0], limits.elbow[1], steps[2]),
    )


def _span(low: float, high: float, step: float) -> np.ndarray:
    """Whole steps from low, none past high."""
    return low + step * np.arange(math.floor((high - low) / step + 1e-9) + 1)


def _causes(flood: Flood, allowed: Allowed, undriven: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    cause = np.full(len(flood.barrier), int(Cause.JOINT_RANGE), dtype=np.uint8)
    cause[allowed.joints & ~allowed.rotation] = Cause.ROTATION
    cause[flood.reached] = Cause.USABLE
    cause[flood.reached & undriven] = Cause.UNDRIVEN
    for barrier, name in _FROM_BARRIER.items():
        cause[(flood.barrier == barrier) | (flood.behind == barrier)] = name
    cut_off = flood.barrier == Barrier.CUT_OFF
    # what no lock stands before is cut off behind the performer's own limits
    lone = cut_off & (flood.behind == 0)
    if np.any(lone):
        edge = (cause == Cause.ROTATION) | ~allowed.joints
        edges = np.where(edge, cause.astype(np.int16), np.int16(-1))
        edges[lone] = -1
        spread = nearest_labels(flood.shape, edges, lone)
        cause[lone] = np.where(spread[lone] >= 0, spread[lone], int(Cause.ROTATION))
        cause[lone & (cause == Cause.JOINT_RANGE)] = Cause.ROTATION
    return cause, cut_off


def _losses(cause: np.ndarray, cut_off: np.ndarray, weight: np.ndarray, inside: float) -> tuple[Loss, ...]:
    losses: list[Loss] = []
    for name in Cause:
        if name in (Cause.USABLE, Cause.JOINT_RANGE):
            continue
        mine = cause == name
        loss = Loss(
            name,
            _ratio(weight[mine & ~cut_off].sum(), inside),
            _ratio(weight[mine & cut_off].sum(), inside),
        )
        if loss.at_barrier + loss.behind > 0.0:
            losses.append(loss)
    return tuple(sorted(losses, key=lambda one: -(one.at_barrier + one.behind)))


def _ratio(part: float, whole: float) -> float:
    return float(part / whole) if whole > 0.0 else math.nan


def _beside(mask: np.ndarray) -> np.ndarray:
    """Nodes with a neighbour in the mask along any axis."""
    found = np.zeros_like(mask)
    for axis in range(mask.ndim):
        ahead, behind = np.moveaxis(found, axis, 0), np.moveaxis(mask, axis, 0)
        ahead[1:] |= behind[:-1]
        ahead[:-1] |= behind[1:]
    return found
