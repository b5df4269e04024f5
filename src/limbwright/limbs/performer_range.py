"""Which poses of the rig the performer's own joints allow.

The rig drives swing, elevation and elbow; the performer's limits are written for the plane of
elevation, the elevation and the rotation of the upper arm (Wu et al. 2005). With a one-axis elbow
the forearm stays in the arm's plane, so the rotation is dictated: it follows from the pose.
"""

import math
from typing import NamedTuple

import numpy as np
from jaxtyping import Bool, Float

from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.limbs.parallel_arm import swivel_frame
from limbwright.model.joint_limits import JointLimits

FREE_ELBOW = math.radians(15.0)  # straighter than this the forearm dictates no rotation; assumed
UNDRIVEN = 0.030  # [m] a cuff nearer than this to the swivel's axis cannot turn it; assumed
LIMIT_SLACK = 1e-9  # [rad] so that a pose exactly on its limit counts as allowed


class PerformerAngles(NamedTuple):
    """The performer's joint angles at poses of the rig [rad]."""

    plane: Float[np.ndarray, "*n"]  # of elevation: 0 out to the side, 90 deg forward
    elevation: Float[np.ndarray, "*n"]
    rotation: Float[np.ndarray, "*n"]  # swing-twist rotation, medial positive, dictated by the rig


class Allowed(NamedTuple):
    """What the performer's own limits say of poses of the rig."""

    joints: Bool[np.ndarray, "*n"]  # elevation and elbow within range
    rotation: Bool[np.ndarray, "*n"]  # dictated rotation within range, or the elbow nearly straight


def performer_angles(
    geometry: ArmGeometry, swing: Float[np.ndarray, "*n"], elevation: Float[np.ndarray, "*n"]
) -> PerformerAngles:
    """Plane, elevation and dictated rotation of the upper arm when the rig is at swing and elevation.

    The trunk is upright; when it leans the suit leans with it and nothing here changes.
    """
    frame = swivel_frame(geometry)
    turned = -geometry.outward * swing  # about the swivel's axis, in the world's sense
    cos, sin = np.cos(turned), np.sin(turned)
    radial = np.stack([cos, sin, np.zeros_like(cos)], axis=-1) @ frame.T
    up = np.broadcast_to(frame[:, 2], radial.shape)
    s, c = np.sin(elevation)[..., None], np.cos(elevation)[..., None]
    arm = s * radial - c * up
    flexing = c * radial + s * up  # the way the forearm turns from the arm's line
    outward = arm[..., 1] * geometry.outward
    plane = np.arctan2(arm[..., 0], outward)
    raised = np.arccos(np.clip(-arm[..., 2], -1.0, 1.0))
    # shortest swing from hanging, applied to straight ahead: where an unrotated forearm would flex
    ahead = _swing_from_hanging(arm)
    about = np.sum(np.cross(ahead, flexing) * arm, axis=-1)
    twist = np.arctan2(about, np.sum(ahead * flexing, axis=-1))
    return PerformerAngles(plane, raised, geometry.outward * twist)


def allowed_by_performer(
    geometry: ArmGeometry,
    limits: JointLimits,
    swing: Float[np.ndarray, "*n"],
    elevation: Float[np.ndarray, "*n"],
    elbow: Float[np.ndarray, "*n"],
) -> Allowed:
    """Which poses of the rig the performer's joints allow; see `performer_angles`."""
    angles = performer_angles(geometry, swing, elevation)
    least, most = limits.elbow
    joints = (
        (angles.elevation <= limits.elevation(angles.plane) + LIMIT_SLACK)
        & (elbow >= least - LIMIT_SLACK)
        & (elbow <= most + LIMIT_SLACK)
    )
    medial, lateral = limits.rotation(angles.elevation)
    within = (angles.rotation <= medial + LIMIT_SLACK) & (angles.rotation >= lateral - LIMIT_SLACK)
    return Allowed(joints, within | (elbow < FREE_ELBOW - LIMIT_SLACK))


def swivel_lever(
    geometry: ArmGeometry, elevation: Float[np.ndarray, "*n"], elbow: Float[np.ndarray, "*n"]
) -> Float[np.ndarray, "*n"]:
    """Greatest distance of a cuff from the swivel's axis [m]; near zero the swivel is undriven."""
    at_elbow = geometry.drive * np.sin(elevation)
    at_wrist = at_elbow + geometry.performer_forearm * np.sin(elevation + elbow)
    return np.maximum(np.abs(at_elbow), np.abs(at_wrist))


def _swing_from_hanging(arm: Float[np.ndarray, "*n 3"]) -> Float[np.ndarray, "*n 3"]:
    """Straight ahead carried along by the shortest rotation from hanging down to `arm`."""
    hanging = np.array([0.0, 0.0, -1.0])
    axis = np.cross(np.broadcast_to(hanging, arm.shape), arm)
    cos = arm @ hanging
    ahead = np.array([1.0, 0.0, 0.0])
    # Rodrigues with the unnormalised axis; straight overhead every swing is as short as another
    shrink = 1.0 / np.maximum(1.0 + cos, 1e-12)
    along = (axis @ ahead) * shrink
    return cos[..., None] * ahead + np.cross(axis, ahead) + along[..., None] * axis
