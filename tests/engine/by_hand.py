"""Where bodies are and how far loops miss, worked out from the builder's own entries with SciPy's
rotations: a second way that shares no code with the engine's kernels. Many poses at once.
"""

from typing import NamedTuple

import numpy as np
from scipy.spatial.transform import Rotation

from limbwright.engine.mechanism import BALL, PIN, PIN_CLOSURE, ROD, SLIDER, UNIVERSAL, Masses
from limbwright.engine.mechanism_builder import MechanismBuilder


class Placed(NamedTuple):
    rotation: list[Rotation]  # one stack for each body
    position: np.ndarray  # body pose 3

    def point(self, body: int, local: np.ndarray) -> np.ndarray:
        return self.position[body] + self.rotation[body].apply(local)


def place(builder: MechanismBuilder, q: np.ndarray) -> Placed:
    """World frames of every body in poses q (pose, q)."""
    count = len(q)
    rotation = [Rotation.from_matrix(np.tile(np.eye(3), (count, 1, 1)))]
    position = [np.zeros((count, 3))]
    at = 0
    for b in range(1, len(builder.names)):
        up, joint = builder.parents[b], builder.joints[b]
        turn = rotation[up] * Rotation.from_matrix(builder.orientations[b])
        here = position[up] + rotation[up].apply(builder.origins[b])
        if joint in (PIN, UNIVERSAL):
            turn = turn * Rotation.from_rotvec(q[:, at, None] * builder.axes[b])
            at += 1
        if joint == UNIVERSAL:
            turn = turn * Rotation.from_rotvec(q[:, at, None] * builder.seconds[b])
            at += 1
        if joint == SLIDER:
            here = here + q[:, at, None] * turn.apply(builder.axes[b])
            at += 1
        if joint == BALL:
            turn = turn * Rotation.from_quat(np.roll(q[:, at : at + 4], -1, axis=1))  # w x y z -> x y z w
            at += 4
        rotation.append(turn)
        position.append(here)
    return Placed(rotation, np.array(position))


def gaps(builder: MechanismBuilder, q: np.ndarray) -> np.ndarray:
    """Largest miss of any closure (pose,): a rod's length error, distance of points, sine of pins' tilt."""
    placed = place(builder, q)
    misses = [np.zeros(len(q))]
    for c in builder.closures:
        apart = np.linalg.norm(placed.point(c.a, c.point_a) - placed.point(c.b, c.point_b), axis=1)
        misses.append(np.abs(apart - c.length) if c.kind == ROD else apart)
        if c.kind == PIN_CLOSURE:
            ua, ub = placed.rotation[c.a].apply(c.axis_a), placed.rotation[c.b].apply(c.axis_b)
            misses.append(np.linalg.norm(np.cross(ua, ub), axis=1))
    return np.max(misses, axis=0)


def moved(builder: MechanismBuilder, q: np.ndarray, dof: int, amount: float) -> np.ndarray:
    """Poses q moved along one velocity coordinate (a ball's turn about its own x, y, z)."""
    out = q.copy()
    at = velocity = 0
    for joint in builder.joints:
        freedoms = {PIN: 1, SLIDER: 1, UNIVERSAL: 2, BALL: 3}.get(joint, 0)
        if velocity <= dof < velocity + freedoms:
            if joint == BALL:
                here = Rotation.from_quat(np.roll(q[:, at : at + 4], -1, axis=1))
                turned = here * Rotation.from_rotvec(amount * np.eye(3)[dof - velocity])
                out[:, at : at + 4] = np.roll(turned.as_quat(), 1, axis=1)
            else:
                out[:, at + dof - velocity] += amount
            return out
        velocity += freedoms
        at += 4 if joint == BALL else freedoms
    raise IndexError(dof)


def rows(builder: MechanismBuilder, across: np.ndarray, placed: Placed) -> np.ndarray:
    """Closure rows (pose, row) as defined: |a-b| - length; a - b; and the pin's two alignments.

    `across` (closure, 2, 3) are the two directions across each pin in body a; any pair serves.
    """
    found: list[np.ndarray] = []
    for k, c in enumerate(builder.closures):
        apart = placed.point(c.a, c.point_a) - placed.point(c.b, c.point_b)
        if c.kind == ROD:
            found.append(np.linalg.norm(apart, axis=1) - c.length)
            continue
        found.extend(apart.T)
        if c.kind == PIN_CLOSURE:
            along = placed.rotation[c.b].apply(c.axis_b)
            for side in range(2):
                found.append(np.sum(placed.rotation[c.a].apply(across[k, side]) * along, axis=1))
    return np.array(found).T


def shifted(placed: Placed, body: int, direction: int, amount: float) -> Placed:
    """One body alone moved along (0, 1, 2) or turned about (3, 4, 5, through its origin) a world axis."""
    position, rotation = placed.position.copy(), list(placed.rotation)
    axis = np.eye(3)[direction % 3]
    if direction < 3:
        position[body] = position[body] + amount * axis
    else:
        rotation[body] = Rotation.from_rotvec(amount * axis) * rotation[body]
    return Placed(rotation, position)


def potential(builder: MechanismBuilder, masses: Masses, gravity: np.ndarray, q: np.ndarray) -> np.ndarray:
    """Potential energy (pose,) [J]; a rod is a point mass at its centre on the line between its ends."""
    placed = place(builder, q)
    energy = np.zeros(len(q))
    for b in range(len(builder.names)):
        energy -= masses.mass[b] * placed.point(b, masses.centre[b]) @ gravity
    for k, c in enumerate(builder.closures):
        a, e = placed.point(c.a, c.point_a), placed.point(c.b, c.point_b)
        energy -= masses.rod_mass[k] * (a + masses.rod_centre[k] * (e - a)) @ gravity
    return energy


STENCIL = ((1.0, 8.0 / 12.0), (-1.0, -8.0 / 12.0), (2.0, -1.0 / 12.0), (-2.0, 1.0 / 12.0))
"""Fourth-order central difference: f' = sum(weight * f(x + step * h)) / h, error h^4 f''''' / 30."""
STEP = 1e-3  # balances h^4 / 30 against 1e-16 / h: both near 1e-13
