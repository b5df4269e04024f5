"""Which of the suit's named poses an arm can take up, and what stands in the way of the others."""

import math
from dataclasses import dataclass, replace

import numpy as np
from jaxtyping import Bool, Float

from limbwright.engine.closure import follow_drive, stage_angles
from limbwright.engine.flood import Flood, node_poses
from limbwright.engine.outcome import Outcome
from limbwright.limbs.performer_range import allowed_by_performer, swivel_lever
from limbwright.limbs.worn_arm import WornArm
from limbwright.model.suit import Suit

STOP_SLACK = 1e-9  # [rad]


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
    """Every named pose, reached from the nearest usable node of the flood."""
    return tuple(
        _take_up(arm, flood, usable, name, (pose.swing, pose.elevation, pose.elbow))
        for name, pose in suit.poses.items()
    )


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
        return refused("cut off from the assembled pose")
    poses = follow_drive(replace(arm.mechanism, assembled=start), np.array([drive]))
    if poses.outcome[0] != Outcome.CLOSED:
        return refused("the linkage locks before it")
    angles = stage_angles(arm.mechanism, poses.q[0])
    stage = arm.mechanism.stage_names[int(angles.argmin())]
    floor = np.repeat(np.array(arm.geometry.stops), 2)
    if np.any(angles < floor - STOP_SLACK):
        which = arm.mechanism.stage_names[int((angles - floor).argmin())].partition(",")[0]
        return refused(f"the {which} stage's stop touches before it")
    return NamedPose(name, drive, poses.q[0], float(angles.min()), stage.partition(",")[0], lever, "")


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
