"""Named poses that the performer cannot take up, whatever the arm is like."""

import math
from collections.abc import Iterator

import numpy as np

from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.limbs.performer_range import FREE_ELBOW, allowed_by_performer, performer_angles
from limbwright.model.joint_limits import JointLimits
from limbwright.model.suit import Suit


def beyond_performer(suit: Suit, geometry: ArmGeometry, limits: JointLimits) -> Iterator[str]:
    """One sentence for each named pose outside the performer's own limits, with how far."""
    for name, pose in suit.poses.items():
        for excess in pose_excess(geometry, limits, (pose.swing, pose.elevation, pose.elbow)):
            yield f"pose '{name}' {excess}"


def pose_excess(
    geometry: ArmGeometry, limits: JointLimits, drive: tuple[float, float, float]
) -> Iterator[str]:
    """What of a pose (swing, elevation, elbow [rad]) is past the performer's limits, and how far."""
    swing, elevation, elbow = (np.array([value]) for value in drive)
    allowed = allowed_by_performer(geometry, limits, swing, elevation, elbow)
    angles = performer_angles(geometry, swing, elevation)
    plane, raised, turn = (float(angle[0]) for angle in angles)
    if not allowed.joints[0]:
        highest, most = float(limits.elevation(plane)), limits.elbow[1]
        if raised > highest:
            yield _past("raises the arm", raised, highest, f"in that plane ({_basis(limits, 'flexion')})")
        if drive[2] > most:
            yield _past("bends the elbow", drive[2], most, f"({limits.elbow_flexion.basis})")
    if not allowed.rotation[0]:
        medial, lateral = limits.rotation(raised)
        outward = turn < 0.0
        limit, known = (-lateral, limits.lateral_raised) if outward else (medial, limits.medial_raised)
        does = f"turns the upper arm {'outward' if outward else 'inward'}, as a one-axis elbow dictates,"
        mend = "swing it further forward" if outward else "swing it less far forward"
        told = _past(does, abs(turn), float(limit), f"({known.basis})")
        yield f"{told}: {mend}, or bend the elbow less than {math.degrees(FREE_ELBOW):.0f} deg"


def _past(does: str, value: float, limit: float, which: str) -> str:
    a, b = math.degrees(value), math.degrees(limit)
    return f"{does} to {a:.0f} deg, {a - b:.0f} deg past the performer's {b:.0f} deg {which}"


def _basis(limits: JointLimits, name: str) -> str:
    return f"flexion {getattr(limits, name).basis}, abduction {limits.abduction.basis}"
