# pyright: basic
"""Kernels for the closures of one placed pose: their ends, how far they miss, and the exact Jacobian."""

import math

from limbwright.engine.compiled import inlined_kernel, kernel
from limbwright.engine.mechanism import BALL_CLOSURE, ROD, SLIDE, TURN_SECOND


@inlined_kernel
def closure_ends(m, rot, pos, ends):
    """World points a and b of every closure; ends (k, 2, 3)."""
    body_a, body_b, point_a, point_b = m.body_a, m.body_b, m.point_a, m.point_b
    for k in range(body_a.shape[0]):
        a, b = body_a[k], body_b[k]
        x, y, z = point_a[k, 0], point_a[k, 1], point_a[k, 2]
        for i in range(3):
            ends[k, 0, i] = pos[a, i] + rot[a, i, 0] * x + rot[a, i, 1] * y + rot[a, i, 2] * z
        x, y, z = point_b[k, 0], point_b[k, 1], point_b[k, 2]
        for i in range(3):
            ends[k, 1, i] = pos[b, i] + rot[b, i, 0] * x + rot[b, i, 1] * y + rot[b, i, 2] * z


@inlined_kernel
def misfit(m, rot, ends, c):
    """Closure rows c [m, rad]; returns the worst closure's miss.

    A miss is a distance, or for a pin closure the sine of the tilt between the two axes if that is
    more: it does not depend on how the mechanism stands in the world.
    """
    kinds, row_at, length, body_a, body_b = m.kind, m.row_at, m.length, m.body_a, m.body_b
    worst = 0.0
    for k in range(kinds.shape[0]):
        r = row_at[k]
        x = ends[k, 0, 0] - ends[k, 1, 0]
        y = ends[k, 0, 1] - ends[k, 1, 1]
        z = ends[k, 0, 2] - ends[k, 1, 2]
        size = math.sqrt(x * x + y * y + z * z)
        if kinds[k] == ROD:
            c[r] = size - length[k]
            worst = max(worst, abs(c[r]))
            continue
        c[r], c[r + 1], c[r + 2] = x, y, z
        worst = max(worst, size)
        if kinds[k] != BALL_CLOSURE:
            worst = max(worst, _tilt(m.across_a, m.axis_b, k, rot, body_a[k], body_b[k], c, r + 3))
    return worst


@kernel
def _tilt(across, axis, k, rot, a, b, c, r):
    """Alignment rows of a pin closure into c[r], c[r + 1]; returns the sine of the tilt."""
    total = 0.0
    for side in range(2):
        c[r + side] = 0.0
        for i in range(3):
            u = v = 0.0
            for j in range(3):
                u += rot[a, i, j] * across[k, side, j]
                v += rot[b, i, j] * axis[k, j]
            c[r + side] += u * v
        total += c[r + side] * c[r + side]
    return math.sqrt(total)


@inlined_kernel
def fill_columns(m, dofs, rot, pos, ax, ax2, ends, columns):
    """columns[i] = dc/dv of velocity coordinate dofs[i]: the exact Jacobian, transposed (i, rows)."""
    kinds, row_at, body_a, body_b, carries = m.kind, m.row_at, m.body_a, m.body_b, m.carries
    dof_body, dof_kind = m.dof_body, m.dof_kind
    for i in range(dofs.shape[0]):
        b, moves = dof_body[dofs[i]], dof_kind[dofs[i]]
        if moves < TURN_SECOND:
            ux, uy, uz = ax[b, 0], ax[b, 1], ax[b, 2]
        elif moves == TURN_SECOND:
            ux, uy, uz = ax2[b, 0], ax2[b, 1], ax2[b, 2]
        else:
            ux, uy, uz = rot[b, 0, moves - 3], rot[b, 1, moves - 3], rot[b, 2, moves - 3]
        px, py, pz = pos[b, 0], pos[b, 1], pos[b, 2]
        for k in range(kinds.shape[0]):
            r, kind = row_at[k], kinds[k]
            moves_a, moves_b = carries[b, body_a[k]], carries[b, body_b[k]]
            x = ends[k, 0, 0] - ends[k, 1, 0]
            y = ends[k, 0, 1] - ends[k, 1, 1]
            z = ends[k, 0, 2] - ends[k, 1, 2]
            vx = vy = vz = 0.0  # velocity of end a against end b
            if moves == SLIDE:
                if moves_a != moves_b:
                    sign = 1.0 if moves_a else -1.0
                    vx, vy, vz = sign * ux, sign * uy, sign * uz
            elif moves_a or moves_b:
                hx, hy, hz = x, y, z  # both move: the lever of their difference
                if not moves_b:
                    hx, hy, hz = ends[k, 0, 0] - px, ends[k, 0, 1] - py, ends[k, 0, 2] - pz
                elif not moves_a:
                    hx, hy, hz = px - ends[k, 1, 0], py - ends[k, 1, 1], pz - ends[k, 1, 2]
                vx = uy * hz - uz * hy
                vy = uz * hx - ux * hz
                vz = ux * hy - uy * hx
            if kind == ROD:
                size = math.sqrt(x * x + y * y + z * z)
                columns[i, r] = (vx * x + vy * y + vz * z) / size if size > 0.0 else 0.0
                continue
            columns[i, r], columns[i, r + 1], columns[i, r + 2] = vx, vy, vz
            if kind != BALL_CLOSURE:
                sign = 0.0
                if moves != SLIDE and moves_a != moves_b:
                    sign = 1.0 if moves_a else -1.0
                for side in range(2):
                    rate = _align_rate(m.across_a, m.axis_b, k, side, rot, body_a[k], body_b[k], ux, uy, uz)
                    columns[i, r + 3 + side] = sign * rate


@kernel
def _align_rate(across, axis, k, side, rot, a, b, wx, wy, wz):
    """Rate of one alignment row of a pin closure when body a turns with w against body b."""
    ux = uy = uz = vx = vy = vz = 0.0
    for j in range(3):
        e, f = across[k, side, j], axis[k, j]
        ux += rot[a, 0, j] * e
        uy += rot[a, 1, j] * e
        uz += rot[a, 2, j] * e
        vx += rot[b, 0, j] * f
        vy += rot[b, 1, j] * f
        vz += rot[b, 2, j] * f
    return wx * (uy * vz - uz * vy) + wy * (uz * vx - ux * vz) + wz * (ux * vy - uy * vx)
