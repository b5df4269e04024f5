# pyright: basic
"""Kernels for what moves how fast: points of bodies against the driven coordinates."""

import numpy as np

from limbwright.engine.compiled import kernel, room_kernel
from limbwright.engine.kernel_closure import back_substitute, factorise, fill_normal, make_room, place_pose
from limbwright.engine.kernel_pose import dof_axis, world_point
from limbwright.engine.kernel_rows import fill_columns, misfit
from limbwright.engine.kernel_statics import is_locked
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
    place_pose(m, q, w)
    fill_normal(m, w)
    fill_columns(m, m.driven, w.rot, w.pos, w.ax, w.ax2, w.ends, w.driven_columns)
    free = factorise(w.normal, 0.0, w.factor) and not is_locked(w)
    for p in range(bodies.shape[0]):
        world_point(w.rot, w.pos, bodies[p], points[p], place[p])
    for i in range(m.driven.shape[0]):
        for d in range(m.dependent.shape[0]):
            w.step[d] = 0.0
            for r in range(rows):
                w.step[d] -= w.columns[d, r] * w.driven_columns[i, r]
        back_substitute(w.factor, w.step)
        for p in range(bodies.shape[0]):
            for k in range(3):
                rate[p, k, i] = 0.0 if free else np.nan
            _add_rate(m, m.driven[i], 1.0, bodies[p], place[p], w, rate[p, :, i])
            for d in range(m.dependent.shape[0]):
                _add_rate(m, m.dependent[d], w.step[d], bodies[p], place[p], w, rate[p, :, i])


@room_kernel
def rates_each(first, last, m, q, rows, bodies, points, place_out, rate_out):
    """`rates_at` for poses first..last: places (n, p, 3), rates (n, p, 3, i)."""
    w = make_room(m, q.shape[1], rows)
    for n in range(first, last):
        rates_at(m, q[n], rows, bodies, points, w, place_out[n], rate_out[n])


@room_kernel
def rows_each(first, last, m, q, rows, c_out, jacobian_out):
    """Closure rows (n, r) and Jacobian of the dependent coordinates (n, r, d) at poses first..last."""
    w = make_room(m, q.shape[1], rows)
    for n in range(first, last):
        place_pose(m, q[n], w)
        misfit(m, w.rot, w.ends, w.c)
        for r in range(rows):
            c_out[n, r] = w.c[r]
        fill_normal(m, w)
        for d in range(m.dependent.shape[0]):
            for r in range(rows):
                jacobian_out[n, r, d] = w.columns[d, r]
