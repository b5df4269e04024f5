"""Which of the suit's named poses an arm can take up, and what stands in the way of the others."""

import math
from dataclasses import dataclass, replace

import numpy as np
from jaxtyping import Bool, Float

from limbwright.engine.closure import follow_drive, stage_angles
from limbwright.engine.flood import Barrier, Flood, node_poses
from limbwright.engine.outcome import Outcome
from limbwright.limbs.performer_range import allowed_by_performer, swivel_lever
from limbwright.limbs.worn_arm import WornArm
from limbwright.model.suit import Suit

PARK = "park pin"
STOP_SLACK = 1e-9  # [rad]
STRIDE = math.radians(0.5)  # between looks at the stops on the way to a pose


@dataclass(frozen=True)
class NamedPose:
    """One named pose on one arm."""

    name: str
    drive: tuple[float, float, float]  # swing, elevation, elbow [rad]
    q: Float[np.ndarray, " q"] | None  # coordinates; None where it cannot be taken up
    margin: float  # least angle of any stage from its lock [rad]; NaN where not taken up
    stage: str  # which stage that is
    lever: float  # greatest distance of a cuff from the swivel's axis [m]
    obstacle: str  # why not; empty where it can


def take_up_poses(
    suit: Suit, arm: WornArm, flood: Flood, usable: Bool[np.ndarray, " node"]
) -> tuple[NamedPose, ...]:
    """Every named pose and the park pin's, reached from the nearest usable node of the flood.

    The park pin holds elevation and elbow; it is tried at the assembled pose's swing.
    """
    drives = {name: (pose.swing, pose.elevation, pose.elbow) for name, pose in suit.poses.items()}
    park = suit.limbs[arm.limb].park_pin
    if park is not None:
        drives.setdefault(PARK, (arm.assembled.swing, park.elevation, park.elbow))
    return tuple(_take_up(arm, flood, usable, name, drive) for name, drive in drives.items())


def _take_up(
    arm: WornArm, flood: Flood, usable: np.ndarray, name: str, drive: tuple[float, float, float]
) -> NamedPose:
    swing, elevation, elbow = (np.array([v]) for v in drive)
    allowed = allowed_by_performer(arm.geometry, arm.body.limits, swing, elevation, elbow)
    lever = float(swivel_lever(arm.geometry, elevation, elbow)[0])

    def refused(why: str) -> NamedPose:
        return NamedPose(name, drive, None, math.nan, "", lever, why)

    if not allowed.joints[0]:
        return refused("outside the performer's own joint range")
    if not allowed.rotation[0]:
        return refused("the one-axis elbow dictates a rotation the performer has not got")
    start = _nearest(arm, flood, usable, drive)
    if start is None:
        return refused(_barrier_about(flood, drive))
    way = _way_to(arm, start, drive)
    poses = follow_drive(replace(arm.mechanism, assembled=start), way)
    floor = np.repeat(np.array(arm.geometry.stops), 2)
    for outcome, q in zip(poses.outcome, poses.q, strict=True):
        if outcome != Outcome.CLOSED:
            return refused("the linkage locks before it")
        angles = stage_angles(arm.mechanism, q)
        if np.any(angles < floor - STOP_SLACK):
            return refused(f"the {_stage(arm, angles - floor)} stage's stop touches before it")
    q = poses.q[-1]
    angles = stage_angles(arm.mechanism, q)
    return NamedPose(name, drive, q, float(angles.min()), _stage(arm, angles), lever, "")


def _stage(arm: WornArm, angles: np.ndarray) -> str:
    """The stage with the least of these angles."""
    return arm.mechanism.stage_names[int(angles.argmin())].partition(",")[0]


def _way_to(arm: WornArm, start: np.ndarray, drive: tuple[float, float, float]) -> np.ndarray:
    """Short strides from a solved pose to a wanted one, so that the first obstacle is met first (n, 3)."""
    here, there = arm.mechanism.driven_values(start), np.array(drive)
    strides = max(1, math.ceil(float(np.abs(there - here).max()) / STRIDE))
    return here + np.linspace(0.0, 1.0, strides + 1)[1:, None] * (there - here)


def _barrier_about(flood: Flood, drive: tuple[float, float, float]) -> str:
    """What the flood met about a pose that it did not come near."""
    at = [int(np.abs(axis - value).argmin()) for axis, value in zip(flood.axes, drive, strict=True)]
    node = int(np.ravel_multi_index(at, flood.shape))
    kind = flood.barrier[node] if flood.barrier[node] != Barrier.CUT_OFF else flood.behind[node]
    if kind == Barrier.FLOOR:
        return "a stop stands between it and the assembled pose"
    if kind in (Barrier.CHANGE_POINT, Barrier.DEAD_POINT, Barrier.CANNOT_CLOSE):
        return "a lock stands between it and the assembled pose"
    return "cut off from the assembled pose"


def _nearest(
    arm: WornArm, flood: Flood, usable: np.ndarray, drive: tuple[float, float, float]
) -> np.ndarray | None:
    """The usable node nearest to a pose, if it lies within two steps of it."""
    nodes = np.flatnonzero(usable)
    if not len(nodes):
        return None
    steps = np.array([max(float(a[1] - a[0]), 1e-9) if len(a) > 1 else 1.0 for a in flood.axes])
    away = np.abs(flood.driven(nodes) - np.array(drive)) / steps
    distance = away.max(axis=1)
    best = int(distance.argmin())
    if distance[best] > 2.0:
        return None
    return node_poses(arm.mechanism, flood, nodes[[best]])[0]
