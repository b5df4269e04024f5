"""The same mechanism written for Pinocchio (BSD-2, https://github.com/stack-of-tasks/pinocchio).

Its joints must be numbered depth first, each subtree in one piece; ours are as they were added. A
universal is two revolute joints in series with nothing between them; a ball's velocity is in the body's
own frame in both. Quaternions are x y z w there, w x y z here.
"""

from typing import NamedTuple

import numpy as np
import pinocchio as pin

from limbwright.engine.mechanism import BALL, BALL_CLOSURE, PIN, SLIDER, UNIVERSAL, Masses
from limbwright.engine.mechanism_builder import MechanismBuilder

COORDINATES = {PIN: 1, SLIDER: 1, UNIVERSAL: 2, BALL: 4}


class PinModel(NamedTuple):
    model: pin.Model
    data: pin.Data
    joint_of: list[int]  # joint that carries each body; 0 for the ground
    order: list[int]  # where our velocities stand there


def pin_model(builder: MechanismBuilder, masses: Masses, gravity: np.ndarray) -> PinModel:
    model = pin.Model()
    model.gravity.linear = gravity
    joint_of = [0] * len(builder.names)
    waiting = [b for b in range(len(builder.names) - 1, 0, -1) if builder.parents[b] == 0]
    while waiting:
        b = waiting.pop()
        joint_of[b] = _add(model, builder, b, joint_of[builder.parents[b]])
        # a point mass needs a touch of rotary inertia to be moved; at rest it has no effect
        inertia = pin.Inertia(float(masses.mass[b]), masses.centre[b], 1e-3 * np.eye(3))
        model.appendBodyToJoint(joint_of[b], inertia, pin.SE3.Identity())
        waiting += [c for c in range(len(builder.names) - 1, b, -1) if builder.parents[c] == b]
    order: list[int] = []
    for b in range(1, len(builder.names)):
        if builder.joints[b] == UNIVERSAL:
            order.append(int(model.idx_vs[joint_of[b] - 1]))
        first = int(model.idx_vs[joint_of[b]])
        order += range(first, first + int(model.nvs[joint_of[b]]))
    return PinModel(model, model.createData(), joint_of, order)


def _add(model: pin.Model, builder: MechanismBuilder, b: int, parent: int) -> int:
    placement = pin.SE3(builder.orientations[b], builder.origins[b])
    axis, name, kind = builder.axes[b], builder.names[b], builder.joints[b]
    if kind == SLIDER:
        return model.addJoint(parent, pin.JointModelPrismaticUnaligned(axis), placement, name)
    if kind == BALL:
        return model.addJoint(parent, pin.JointModelSpherical(), placement, name)
    assert kind in (PIN, UNIVERSAL)
    joint = model.addJoint(parent, pin.JointModelRevoluteUnaligned(axis), placement, name)
    if kind == PIN:
        return joint
    second = pin.JointModelRevoluteUnaligned(builder.seconds[b])
    return model.addJoint(joint, second, pin.SE3.Identity(), name + " second")


def pin_pose(found: PinModel, builder: MechanismBuilder, q: np.ndarray) -> np.ndarray:
    """Our coordinates in the library's order."""
    out, at = np.empty_like(q), 0
    for b in range(1, len(builder.names)):
        size = COORDINATES[builder.joints[b]]
        first = int(found.model.idx_qs[found.joint_of[b]]) - (builder.joints[b] == UNIVERSAL)
        part = q[at : at + size]
        out[first : first + size] = np.roll(part, -1) if builder.joints[b] == BALL else part
        at += size
    return out


def pin_closures(builder: MechanismBuilder, found: PinModel) -> pin.StdVec_RigidConstraintModel:
    """Every ball closure as a three-row rigid constraint."""
    out = pin.StdVec_RigidConstraintModel()
    for c in builder.closures:
        assert c.kind == BALL_CLOSURE
        at_a, at_b = pin.SE3(np.eye(3), c.point_a), pin.SE3(np.eye(3), c.point_b)
        one, other = found.joint_of[c.a], found.joint_of[c.b]
        kind, frame = pin.ContactType.CONTACT_3D, pin.ReferenceFrame.LOCAL
        out.append(pin.RigidConstraintModel(kind, found.model, one, at_a, other, at_b, frame))
    return out
