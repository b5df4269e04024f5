# pyright: basic
"""Kernels for where the bodies are in one pose: world frames, points, joint axes, stages.

Scalar loops over arrays passed in, no allocation, no Python objects: one compiled function serves
every linkage, on a CPU thread or a GPU thread alike. Shapes are those of `mechanism.Linkage`;
`rot` (b, 3, 3) and `pos` (b, 3) are world frames, `ax` and `ax2` (b, 3) the joints' world axes.

Fields of the linkage are taken into local names before a loop: read inside it, each would be counted
as a reference at every turn, which costs several times the arithmetic.
"""

import math

from limbwright.engine.compiled import inlined_kernel, kernel
from limbwright.engine.mechanism import BALL, PIN, SLIDE, SLIDER, TURN, TURN_SECOND, UNIVERSAL


@inlined_kernel
def place_bodies(m, q, followers_only, rot, pos, ax, ax2):
    """World frame of every body; with `followers_only`, just those that dependent joints move."""
    parents, joints, q_at, follows = m.parent, m.joint, m.q_at, m.follows
    origin, axis, turn = m.origin, m.axis, m.turn
    if not followers_only:
        for i in range(3):
            pos[0, i] = 0.0
            for j in range(3):
                rot[0, i, j] = 1.0 if i == j else 0.0
    for b in range(1, parents.shape[0]):
        if followers_only and not follows[b]:
            continue
        up, joint, at = parents[b], joints[b], q_at[b]
        r00, r01, r02 = rot[up, 0, 0], rot[up, 0, 1], rot[up, 0, 2]
        r10, r11, r12 = rot[up, 1, 0], rot[up, 1, 1], rot[up, 1, 2]
        r20, r21, r22 = rot[up, 2, 0], rot[up, 2, 1], rot[up, 2, 2]
        x, y, z = axis[b, 0], axis[b, 1], axis[b, 2]
        ux = r00 * x + r01 * y + r02 * z
        uy = r10 * x + r11 * y + r12 * z
        uz = r20 * x + r21 * y + r22 * z
        ax[b, 0], ax[b, 1], ax[b, 2] = ux, uy, uz
        c = s = slide = 0.0
        if joint == PIN or joint == UNIVERSAL:
            c, s = math.cos(q[at]), math.sin(q[at])
        elif joint == SLIDER:
            slide = q[at]
        x, y, z = origin[b, 0], origin[b, 1], origin[b, 2]
        pos[b, 0] = pos[up, 0] + r00 * x + r01 * y + r02 * z + slide * ux
        pos[b, 1] = pos[up, 1] + r10 * x + r11 * y + r12 * z + slide * uy
        pos[b, 2] = pos[up, 2] + r20 * x + r21 * y + r22 * z + slide * uz
        for j in range(3):
            x = turn[b, 0, 0, j] + c * turn[b, 1, 0, j] + s * turn[b, 2, 0, j]
            y = turn[b, 0, 1, j] + c * turn[b, 1, 1, j] + s * turn[b, 2, 1, j]
            z = turn[b, 0, 2, j] + c * turn[b, 1, 2, j] + s * turn[b, 2, 2, j]
            rot[b, 0, j] = r00 * x + r01 * y + r02 * z
            rot[b, 1, j] = r10 * x + r11 * y + r12 * z
            rot[b, 2, j] = r20 * x + r21 * y + r22 * z
        if joint == UNIVERSAL:
            _turn_second(m.turn_second, m.axis_second, b, math.cos(q[at + 1]), math.sin(q[at + 1]), rot, ax2)
        elif joint == BALL:
            _turn_by_quaternion(q, at, b, rot)


@kernel
def _turn_second(terms, axis, b, c, s, rot, ax2):
    """rot[b] = rot[b] (terms0 + c terms1 + s terms2), row by row, and the second axis in the world."""
    for i in range(3):
        x, y, z = rot[b, i, 0], rot[b, i, 1], rot[b, i, 2]
        for j in range(3):
            rot[b, i, j] = (
                x * (terms[b, 0, 0, j] + c * terms[b, 1, 0, j] + s * terms[b, 2, 0, j])
                + y * (terms[b, 0, 1, j] + c * terms[b, 1, 1, j] + s * terms[b, 2, 1, j])
                + z * (terms[b, 0, 2, j] + c * terms[b, 1, 2, j] + s * terms[b, 2, 2, j])
            )
        ax2[b, i] = rot[b, i, 0] * axis[b, 0] + rot[b, i, 1] * axis[b, 1] + rot[b, i, 2] * axis[b, 2]


@kernel
def _turn_by_quaternion(q, at, b, rot):
    """rot[b] = rot[b] R(w, x, y, z), row by row."""
    w, x, y, z = q[at], q[at + 1], q[at + 2], q[at + 3]
    for i in range(3):
        e, f, g = rot[b, i, 0], rot[b, i, 1], rot[b, i, 2]
        rot[b, i, 0] = e * (1 - 2 * (y * y + z * z)) + f * 2 * (x * y + w * z) + g * 2 * (x * z - w * y)
        rot[b, i, 1] = e * 2 * (x * y - w * z) + f * (1 - 2 * (x * x + z * z)) + g * 2 * (y * z + w * x)
        rot[b, i, 2] = e * 2 * (x * z + w * y) + f * 2 * (y * z - w * x) + g * (1 - 2 * (x * x + y * y))


@kernel
def world_point(rot, pos, body, p, out):
    """Point `p` of a body, in the world."""
    x, y, z = p[0], p[1], p[2]
    for i in range(3):
        out[i] = pos[body, i] + rot[body, i, 0] * x + rot[body, i, 1] * y + rot[body, i, 2] * z


@kernel
def dof_axis(m, d, rot, ax, ax2, out):
    """World direction of velocity coordinate `d`."""
    b = m.dof_body[d]
    kind = m.dof_kind[d]
    if kind == TURN or kind == SLIDE:
        for i in range(3):
            out[i] = ax[b, i]
    elif kind == TURN_SECOND:
        for i in range(3):
            out[i] = ax2[b, i]
    else:
        for i in range(3):
            out[i] = rot[b, i, kind - 3]


@inlined_kernel
def stage_sine(m, s, rot, pos, points, axis):
    """Sine of the angle from a stage's crank to its rod about the stage's axis; points (3, 3), axis (3)."""
    bodies, local, along = m.stage_body, m.stage_point, m.stage_axis
    for p in range(3):
        b = bodies[s, p]
        x, y, z = local[s, p, 0], local[s, p, 1], local[s, p, 2]
        for i in range(3):
            points[p, i] = pos[b, i] + rot[b, i, 0] * x + rot[b, i, 1] * y + rot[b, i, 2] * z
    b = bodies[s, 3]
    x, y, z = along[s, 0], along[s, 1], along[s, 2]
    for i in range(3):
        axis[i] = rot[b, i, 0] * x + rot[b, i, 1] * y + rot[b, i, 2] * z
    cx, cy, cz = points[1, 0] - points[0, 0], points[1, 1] - points[0, 1], points[1, 2] - points[0, 2]
    hx, hy, hz = points[2, 0] - points[1, 0], points[2, 1] - points[1, 1], points[2, 2] - points[1, 2]
    size = math.sqrt((cx * cx + cy * cy + cz * cz) * (hx * hx + hy * hy + hz * hz))
    if size == 0.0:
        return 0.0
    triple = axis[0] * (cy * hz - cz * hy) + axis[1] * (cz * hx - cx * hz) + axis[2] * (cx * hy - cy * hx)
    return max(-1.0, min(1.0, triple / size))
