# pyright: basic
"""Kernels for one pose: where the bodies are, how far the loops miss, and the exact Jacobian.

Scalar loops over arrays passed in, no allocation, no Python objects: one compiled function serves
every linkage, on a CPU thread or a GPU thread alike. Shapes are those of `mechanism.Linkage`;
`rot` (b, 3, 3) and `pos` (b, 3) are world frames, `ax` and `ax2` (b, 3) the joints' world axes.
"""

import math

from limbwright.engine.compiled import kernel
from limbwright.engine.mechanism import (
    BALL,
    BALL_CLOSURE,
    PIN,
    ROD,
    SLIDE,
    SLIDER,
    TURN,
    TURN_SECOND,
    UNIVERSAL,
)


@kernel
def _apply(rot, v, out):
    for i in range(3):
        out[i] = rot[i, 0] * v[0] + rot[i, 1] * v[1] + rot[i, 2] * v[2]


@kernel
def _turn(parent, terms, c, s, out):
    """out = parent (terms0 + c terms1 + s terms2)."""
    for j in range(3):
        x = terms[0, 0, j] + c * terms[1, 0, j] + s * terms[2, 0, j]
        y = terms[0, 1, j] + c * terms[1, 1, j] + s * terms[2, 1, j]
        z = terms[0, 2, j] + c * terms[1, 2, j] + s * terms[2, 2, j]
        for i in range(3):
            out[i, j] = parent[i, 0] * x + parent[i, 1] * y + parent[i, 2] * z


@kernel
def _turn_in_place(terms, c, s, rot):
    """rot = rot (terms0 + c terms1 + s terms2), row by row."""
    for i in range(3):
        x, y, z = rot[i, 0], rot[i, 1], rot[i, 2]
        for j in range(3):
            rot[i, j] = (
                x * (terms[0, 0, j] + c * terms[1, 0, j] + s * terms[2, 0, j])
                + y * (terms[0, 1, j] + c * terms[1, 1, j] + s * terms[2, 1, j])
                + z * (terms[0, 2, j] + c * terms[1, 2, j] + s * terms[2, 2, j])
            )


@kernel
def _turn_by_quaternion(q, at, rot):
    """rot = rot R(w, x, y, z), row by row."""
    w, x, y, z = q[at], q[at + 1], q[at + 2], q[at + 3]
    for i in range(3):
        a, b, c = rot[i, 0], rot[i, 1], rot[i, 2]
        rot[i, 0] = a * (1 - 2 * (y * y + z * z)) + b * 2 * (x * y + w * z) + c * 2 * (x * z - w * y)
        rot[i, 1] = a * 2 * (x * y - w * z) + b * (1 - 2 * (x * x + z * z)) + c * 2 * (y * z + w * x)
        rot[i, 2] = a * 2 * (x * z + w * y) + b * 2 * (y * z - w * x) + c * (1 - 2 * (x * x + y * y))


@kernel
def place_bodies(m, q, followers_only, rot, pos, ax, ax2):
    """World frame of every body; with `followers_only`, just those that dependent joints move."""
    if not followers_only:
        for i in range(3):
            pos[0, i] = 0.0
            for j in range(3):
                rot[0, i, j] = 1.0 if i == j else 0.0
    for b in range(1, m.parent.shape[0]):
        if followers_only and not m.follows[b]:
            continue
        up = m.parent[b]
        joint = m.joint[b]
        at = m.q_at[b]
        for i in range(3):
            pos[b, i] = (
                pos[up, i]
                + rot[up, i, 0] * m.origin[b, 0]
                + rot[up, i, 1] * m.origin[b, 1]
                + rot[up, i, 2] * m.origin[b, 2]
            )
        _apply(rot[up], m.axis[b], ax[b])
        if joint == PIN or joint == UNIVERSAL:
            _turn(rot[up], m.turn[b], math.cos(q[at]), math.sin(q[at]), rot[b])
        else:
            _turn(rot[up], m.turn[b], 0.0, 0.0, rot[b])
        if joint == SLIDER:
            for i in range(3):
                pos[b, i] += q[at] * ax[b, i]
        elif joint == UNIVERSAL:
            _turn_in_place(m.turn_second[b], math.cos(q[at + 1]), math.sin(q[at + 1]), rot[b])
            _apply(rot[b], m.axis_second[b], ax2[b])
        elif joint == BALL:
            _turn_by_quaternion(q, at, rot[b])


@kernel
def world_point(rot, pos, body, p, out):
    """Point `p` of a body, in the world."""
    for i in range(3):
        out[i] = pos[body, i] + rot[body, i, 0] * p[0] + rot[body, i, 1] * p[1] + rot[body, i, 2] * p[2]


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


@kernel
def closure_ends(m, rot, pos, ends):
    """World points a and b of every closure; ends (k, 2, 3)."""
    for k in range(m.kind.shape[0]):
        world_point(rot, pos, m.body_a[k], m.point_a[k], ends[k, 0])
        world_point(rot, pos, m.body_b[k], m.point_b[k], ends[k, 1])


@kernel
def misfit(m, rot, ends, c):
    """Closure rows c [m, rad]; returns the worst closure's miss.

    A miss is a distance, or for a pin closure the sine of the tilt between the two axes if that is
    more: it does not depend on how the mechanism stands in the world.
    """
    worst = 0.0
    for k in range(m.kind.shape[0]):
        r = m.row_at[k]
        x = ends[k, 0, 0] - ends[k, 1, 0]
        y = ends[k, 0, 1] - ends[k, 1, 1]
        z = ends[k, 0, 2] - ends[k, 1, 2]
        if m.kind[k] == ROD:
            c[r] = math.sqrt(x * x + y * y + z * z) - m.length[k]
            worst = max(worst, abs(c[r]))
            continue
        c[r], c[r + 1], c[r + 2] = x, y, z
        worst = max(worst, math.sqrt(x * x + y * y + z * z))
        if m.kind[k] == BALL_CLOSURE:
            continue
        tilt = 0.0
        for side in range(2):
            total = 0.0
            for i in range(3):
                u = 0.0
                v = 0.0
                for j in range(3):
                    u += rot[m.body_a[k], i, j] * m.across_a[k, side, j]
                    v += rot[m.body_b[k], i, j] * m.axis_b[k, j]
                total += u * v
            c[r + 3 + side] = total
            tilt += total * total
        worst = max(worst, math.sqrt(tilt))
    return worst


@kernel
def _align_row(m, k, side, rot, w):
    """Rate of one alignment row of a pin closure when body a turns with w against body b."""
    ux = uy = uz = vx = vy = vz = 0.0
    a, b = m.body_a[k], m.body_b[k]
    for j in range(3):
        e, f = m.across_a[k, side, j], m.axis_b[k, j]
        ux += rot[a, 0, j] * e
        uy += rot[a, 1, j] * e
        uz += rot[a, 2, j] * e
        vx += rot[b, 0, j] * f
        vy += rot[b, 1, j] * f
        vz += rot[b, 2, j] * f
    return w[0] * (uy * vz - uz * vy) + w[1] * (uz * vx - ux * vz) + w[2] * (ux * vy - uy * vx)


@kernel
def fill_column(m, d, rot, pos, ax, ax2, ends, axis, col):
    """Column dc/dq_d of the exact Jacobian; axis (3) is room to work in, col (rows)."""
    b = m.dof_body[d]
    kind = m.dof_kind[d]
    dof_axis(m, d, rot, ax, ax2, axis)
    for k in range(m.kind.shape[0]):
        r = m.row_at[k]
        moves_a = m.carries[b, m.body_a[k]]
        moves_b = m.carries[b, m.body_b[k]]
        vx = vy = vz = 0.0  # velocity of a against b
        for end in range(2):
            if not (moves_a if end == 0 else moves_b):
                continue
            sign = 1.0 if end == 0 else -1.0
            if kind == SLIDE:
                vx += sign * axis[0]
                vy += sign * axis[1]
                vz += sign * axis[2]
            else:
                x = ends[k, end, 0] - pos[b, 0]
                y = ends[k, end, 1] - pos[b, 1]
                z = ends[k, end, 2] - pos[b, 2]
                vx += sign * (axis[1] * z - axis[2] * y)
                vy += sign * (axis[2] * x - axis[0] * z)
                vz += sign * (axis[0] * y - axis[1] * x)
        if m.kind[k] == ROD:
            x = ends[k, 0, 0] - ends[k, 1, 0]
            y = ends[k, 0, 1] - ends[k, 1, 1]
            z = ends[k, 0, 2] - ends[k, 1, 2]
            size = math.sqrt(x * x + y * y + z * z)
            col[r] = (vx * x + vy * y + vz * z) / size if size > 0.0 else 0.0
            continue
        col[r], col[r + 1], col[r + 2] = vx, vy, vz
        if m.kind[k] == BALL_CLOSURE:
            continue
        for side in range(2):
            rate = 0.0
            if kind != SLIDE and moves_a != moves_b:
                rate = _align_row(m, k, side, rot, axis)
                if moves_b:
                    rate = -rate
            col[r + 3 + side] = rate


@kernel
def stage_sine(m, s, rot, pos, points, axis):
    """Sine of the angle from a stage's crank to its rod about the stage's axis; points (3, 3), axis (3)."""
    for i in range(3):
        world_point(rot, pos, m.stage_body[s, i], m.stage_point[s, i], points[i])
    _apply(rot[m.stage_body[s, 3]], m.stage_axis[s], axis)
    cx, cy, cz = points[1, 0] - points[0, 0], points[1, 1] - points[0, 1], points[1, 2] - points[0, 2]
    hx, hy, hz = points[2, 0] - points[1, 0], points[2, 1] - points[1, 1], points[2, 2] - points[1, 2]
    size = math.sqrt((cx * cx + cy * cy + cz * cz) * (hx * hx + hy * hy + hz * hz))
    if size == 0.0:
        return 0.0
    triple = axis[0] * (cy * hz - cz * hy) + axis[1] * (cz * hx - cx * hz) + axis[2] * (cx * hy - cy * hx)
    return max(-1.0, min(1.0, triple / size))
