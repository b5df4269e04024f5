"""The same mechanism seen otherwise: mirrored, scaled. Moving it as a whole is a welded base (`rigs`)."""

import copy

import numpy as np

from engine.rigs import Rig
from limbwright.engine.mechanism import BALL, PIN, SLIDER, UNIVERSAL, Masses
from limbwright.engine.mechanism_builder import MechanismBuilder

MIRROR = np.diag([1.0, -1.0, 1.0])  # in the plane y = 0, left for right


def mirrored(rig: Rig) -> Rig:
    """Points are reflected; axes of turning are pseudovectors, so that angles keep their sign."""
    b = copy.deepcopy(rig.builder)
    b.origins = [MIRROR @ p for p in b.origins]
    b.orientations = [MIRROR @ r @ MIRROR for r in b.orientations]
    b.axes = [MIRROR @ a if j == SLIDER else -MIRROR @ a for a, j in zip(b.axes, b.joints, strict=True)]
    b.seconds = [-MIRROR @ a for a in b.seconds]
    for c in b.closures:
        c.point_a, c.point_b = MIRROR @ c.point_a, MIRROR @ c.point_b
        c.axis_a, c.axis_b = -MIRROR @ c.axis_a, -MIRROR @ c.axis_b
    for s in b.stages:
        s.points, s.axis = s.points @ MIRROR, -MIRROR @ s.axis
    return Rig(b, rig.driven, mirrored_pose(b, rig.guess))


def mirrored_pose(builder: MechanismBuilder, q: np.ndarray) -> np.ndarray:
    """Angles and slides stay; of a quaternion the vector part is a pseudovector."""
    q, at = q.copy(), 0
    for joint in builder.joints:
        if joint == BALL:
            q[..., at + 1 : at + 4] = q[..., at + 1 : at + 4] @ -MIRROR
        at += {PIN: 1, SLIDER: 1, UNIVERSAL: 2, BALL: 4}.get(joint, 0)
    return q


def mirrored_masses(masses: Masses) -> Masses:
    return masses._replace(centre=masses.centre @ MIRROR)


def scaled(rig: Rig, scale: float) -> Rig:
    """Every length times `scale`, slides too."""
    b = copy.deepcopy(rig.builder)
    b.origins = [scale * p for p in b.origins]
    for c in b.closures:
        c.point_a, c.point_b, c.length = scale * c.point_a, scale * c.point_b, scale * c.length
    for s in b.stages:
        s.points = scale * s.points
    guess, at = rig.guess.copy(), 0
    for joint in b.joints:
        if joint == SLIDER:
            guess[at] *= scale
        at += {PIN: 1, SLIDER: 1, UNIVERSAL: 2, BALL: 4}.get(joint, 0)
    return Rig(b, rig.driven, guess)
