# pyright: basic
"""Kernels for what moves how fast: points of bodies against the driven coordinates."""

import numpy as np

from limbwright.engine.compiled import kernel, parallel_kernel, prange
from limbwright.engine.kernel_closure import CHUNK, back_substitute, factorise, fill_normal, make_room
from limbwright.engine.kernel_pose import (
    closure_ends,
    dof_axis,
    fill_column,
    misfit,
    place_bodies,
    world_point,
)
from limbwright.engine.mechanism import SLIDE


@kernel
def _add_rate(m, d, rate, body, x, w, out):
    """out += velocity of world point x of `body` when coordinate d runs at `rate`."""
    owner = m.dof_body[d]
    if not m.carries[owner, body]:
        return
    dof_axis(m, d, w.rot, w.ax, w.ax2, w.axis)
    a = w.axis
    if m.dof_kind[d] == SLIDE:
        for i in range(3):
            out[i] += rate * a[i]
        return
    rx, ry, rz = x[0] - w.pos[owner, 0], x[1] - w.pos[owner, 1], x[2] - w.pos[owner, 2]
    out[0] += rate * (a[1] * rz - a[2] * ry)
    out[1] += rate * (a[2] * rx - a[0] * rz)
    out[2] += rate * (a[0] * ry - a[1] * rx)


@kernel
def rates_at(m, q, rows, bodies, points, w, place, rate):
    """World places (p, 3) and rates (p, 3, i) of points in one closed pose; NaN rates where it is locked."""
    place_bodies(m, q, False, w.rot, w.pos, w.ax, w.ax2)
    closure_ends(m, w.rot, w.pos, w.ends)
    fill_normal(m, w)
    free = factorise(w.normal, 0.0, w.factor)
    for p in range(bodies.shape[0]):
        world_point(w.rot, w.pos, bodies[p], points[p], place[p])
    for i in range(m.driven.shape[0]):
        fill_column(m, m.driven[i], w.rot, w.pos, w.ax, w.ax2, w.ends, w.axis, w.column)
        for d in range(m.dependent.shape[0]):
            w.step[d] = 0.0
            for r in range(rows):
                w.step[d] -= w.columns[d, r] * w.column[r]
        back_substitute(w.factor, w.step)
        for p in range(bodies.shape[0]):
            for k in range(3):
                rate[p, k, i] = 0.0 if free else np.nan
            _add_rate(m, m.driven[i], 1.0, bodies[p], place[p], w, rate[p, :, i])
            for d in range(m.dependent.shape[0]):
                _add_rate(m, m.dependent[d], w.step[d], bodies[p], place[p], w, rate[p, :, i])


@parallel_kernel
def rates_each(m, q, rows, bodies, points, place_out, rate_out):
    """`rates_at` for many poses: places (n, p, 3), rates (n, p, 3, i)."""
    count = q.shape[0]
    chunks = (count + CHUNK - 1) // CHUNK
    for chunk in prange(chunks):
        w = make_room(m, q.shape[1], rows)
        for n in range(chunk * CHUNK, min(count, (chunk + 1) * CHUNK)):
            rates_at(m, q[n], rows, bodies, points, w, place_out[n], rate_out[n])


@parallel_kernel
def rows_each(m, q, rows, c_out, jacobian_out):
    """Closure rows (n, r) and Jacobian of the dependent coordinates (n, r, d) at given poses."""
    count = q.shape[0]
    chunks = (count + CHUNK - 1) // CHUNK
    for chunk in prange(chunks):
        w = make_room(m, q.shape[1], rows)
        for n in range(chunk * CHUNK, min(count, (chunk + 1) * CHUNK)):
            place_bodies(m, q[n], False, w.rot, w.pos, w.ax, w.ax2)
            closure_ends(m, w.rot, w.pos, w.ends)
            misfit(m, w.rot, w.ends, w.c)
            for r in range(rows):
                c_out[n, r] = w.c[r]
            fill_normal(m, w)
            for d in range(m.dependent.shape[0]):
                for r in range(rows):
                    jacobian_out[n, r, d] = w.columns[d, r]
