"""The same mechanism written for MuJoCo (Apache-2.0, https://mujoco.org), through its XML format.

Joints of one body act in the order written; a ball's velocity is in the body's frame; quaternions are
w x y z in both. Numbers are written with all their digits.
"""

from xml.sax.saxutils import quoteattr

import mujoco
import numpy as np
from scipy.spatial.transform import Rotation

from limbwright.engine.mechanism import BALL, BALL_CLOSURE, PIN, SLIDER, UNIVERSAL, Masses
from limbwright.engine.mechanism_builder import MechanismBuilder


def mujoco_model(builder: MechanismBuilder, masses: Masses, gravity: np.ndarray) -> mujoco.MjModel:
    children: list[list[int]] = [[] for _ in builder.names]
    for b in range(1, len(builder.names)):
        children[builder.parents[b]].append(b)
    balls = [k for k, c in enumerate(builder.closures) if c.kind == BALL_CLOSURE]
    ties = "".join(f'<connect site1="a{k}" site2="b{k}"/>' for k in balls)
    bodies = "".join(_body(builder, masses, children, b) for b in children[0])
    return mujoco.MjModel.from_xml_string(
        '<mujoco><compiler angle="radian" boundmass="0" boundinertia="0"/>'
        f'<option gravity="{_row(gravity)}" jacobian="dense"/>'
        f"<worldbody>{_sites(builder, 0)}{bodies}</worldbody><equality>{ties}</equality></mujoco>"
    )


def _body(builder: MechanismBuilder, masses: Masses, children: list[list[int]], b: int) -> str:
    x, y, z, w = Rotation.from_matrix(builder.orientations[b]).as_quat()
    axis, second = _row(builder.axes[b]), _row(builder.seconds[b])
    joints = {
        PIN: f'<joint type="hinge" axis="{axis}"/>',
        SLIDER: f'<joint type="slide" axis="{axis}"/>',
        UNIVERSAL: f'<joint type="hinge" axis="{axis}"/><joint type="hinge" axis="{second}"/>',
        BALL: '<joint type="ball"/>',
    }[builder.joints[b]]
    place = f'pos="{_row(builder.origins[b])}" quat="{_row([w, x, y, z])}"'
    weight = f'pos="{_row(masses.centre[b])}" mass="{float(masses.mass[b])!r}" diaginertia="1e-3 1e-3 1e-3"'
    within = "".join(_body(builder, masses, children, c) for c in children[b])
    return (
        f"<body name={quoteattr(builder.names[b])} {place}><inertial {weight}/>"
        f"{joints}{_sites(builder, b)}{within}</body>"
    )


def _sites(builder: MechanismBuilder, body: int) -> str:
    out = ""
    for k, c in enumerate(builder.closures):
        for end, owner, point in (("a", c.a, c.point_a), ("b", c.b, c.point_b)):
            if owner == body:
                out += f'<site name="{end}{k}" pos="{_row(point)}"/>'
    return out


def _row(values: np.ndarray | list[float]) -> str:
    return " ".join(repr(float(v)) for v in values)


def velocity_order(model: mujoco.MjModel, builder: MechanismBuilder) -> list[int]:
    """Where our velocities stand there: the library numbers bodies depth first, we as they were added."""
    order: list[int] = []
    for name in builder.names[1:]:
        first = int(model.body(name).dofadr[0])
        order += range(first, first + int(model.body(name).dofnum[0]))
    return order


def mujoco_pose(model: mujoco.MjModel, builder: MechanismBuilder, q: np.ndarray) -> np.ndarray:
    """Our coordinates in the library's order."""
    out, at = np.empty_like(q), 0
    for name in builder.names[1:]:
        first = int(model.body(name).jntadr[0])
        for joint in range(first, first + int(model.body(name).jntnum[0])):
            size = 4 if model.jnt_type[joint] == mujoco.mjtJoint.mjJNT_BALL else 1
            start = int(model.jnt_qposadr[joint])
            out[start : start + size] = q[at : at + size]
            at += size
    return out
