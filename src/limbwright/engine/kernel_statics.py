# pyright: basic
"""Kernels for forces: moments by virtual work, multipliers of the closures, loads summed up the tree."""

import numpy as np

from limbwright.engine.compiled import kernel, room_kernel
from limbwright.engine.kernel_closure import (
    back_substitute,
    factorise,
    fill_normal,
    make_room,
    place_pose,
)
from limbwright.engine.kernel_pose import dof_axis, world_point
from limbwright.engine.kernel_rows import fill_columns
from limbwright.engine.mechanism import SLIDE

NO_COLUMN = 1e-14  # a column this short (squared, against the longest) moves no loop: locked
NO_PIVOT = 1e-13  # a Cholesky pivot this small against its own column: it moves what the others move already


@kernel
def is_locked(w):
    """Whether a factorised pose is locked. Short cranks are no lock: each column has its own scale."""
    largest = 0.0
    for i in range(w.normal.shape[0]):
        largest = max(largest, w.normal[i, i])
    for i in range(w.normal.shape[0]):
        own = w.normal[i, i]
        if own < NO_COLUMN * largest or w.factor[i, i] * w.factor[i, i] < NO_PIVOT * own:
            return True
    return False


@kernel
def _add_force(force, moment, body, x, f):
    """Force f at world point x onto a body; moments are about the world origin."""
    for i in range(3):
        force[body, i] += f[i]
    moment[body, 0] += x[1] * f[2] - x[2] * f[1]
    moment[body, 1] += x[2] * f[0] - x[0] * f[2]
    moment[body, 2] += x[0] * f[1] - x[1] * f[0]


@kernel
def applied_loads(m, masses, gravity, load_body, load_point, load_force, w, force, moment):
    """Weights and point loads on every body (b, 3), moments about the world origin."""
    f, x = w.axis, w.points[0]
    for b in range(m.parent.shape[0]):
        for i in range(3):
            force[b, i] = moment[b, i] = 0.0
    for b in range(m.parent.shape[0]):
        if masses.mass[b] != 0.0:
            world_point(w.rot, w.pos, b, masses.centre[b], x)
            for i in range(3):
                f[i] = masses.mass[b] * gravity[i]
            _add_force(force, moment, b, x, f)
    for k in range(m.kind.shape[0]):
        if masses.rod_mass[k] == 0.0:
            continue
        for end in range(2):
            share = masses.rod_centre[k] if end == 1 else 1.0 - masses.rod_centre[k]
            for i in range(3):
                f[i] = share * masses.rod_mass[k] * gravity[i]
            _add_force(force, moment, m.body_a[k] if end == 0 else m.body_b[k], w.ends[k, end], f)
    for n in range(load_body.shape[0]):
        world_point(w.rot, w.pos, load_body[n], load_point[n], x)
        _add_force(force, moment, load_body[n], x, load_force[n])


@kernel
def sum_up_tree(m, force, moment):
    """Add every body's load to its parent's, leaves first (parents come before children)."""
    for b in range(m.parent.shape[0] - 1, 0, -1):
        up = m.parent[b]
        for i in range(3):
            force[up, i] += force[b, i]
            moment[up, i] += moment[b, i]


@kernel
def slope(m, d, w, force, moment):
    """dV/dq of coordinate d from the loads summed up the tree."""
    b = m.dof_body[d]
    dof_axis(m, d, w.rot, w.ax, w.ax2, w.axis)
    a = w.axis
    if m.dof_kind[d] == SLIDE:
        return -(a[0] * force[b, 0] + a[1] * force[b, 1] + a[2] * force[b, 2])
    x, y, z = w.pos[b, 0], w.pos[b, 1], w.pos[b, 2]
    mx = moment[b, 0] - (y * force[b, 2] - z * force[b, 1])
    my = moment[b, 1] - (z * force[b, 0] - x * force[b, 2])
    mz = moment[b, 2] - (x * force[b, 1] - y * force[b, 0])
    return -(a[0] * mx + a[1] * my + a[2] * mz)


@kernel
def multipliers(m, w, force, moment, out):
    """Least-norm lambda of J_d^T lambda = dV/dq_d; False where the pose is locked.

    `force` and `moment` are summed up the tree. lambda = J_d (J_d^T J_d)^-1 dV/dq_d.
    """
    n = m.dependent.shape[0]
    fill_normal(m, w)
    for i in range(n):
        w.step[i] = slope(m, m.dependent[i], w, force, moment)
    if not factorise(w.normal, 0.0, w.factor) or is_locked(w):
        return False
    back_substitute(w.factor, w.step)
    for r in range(out.shape[0]):
        out[r] = 0.0
        for i in range(n):
            out[r] += w.columns[i, r] * w.step[i]
    return True


@kernel
def holding(m, masses, gravity, load_body, load_point, load_force, w, force, moment, lam, tau):
    """Moments the driver must supply at a placed and closed pose; False where it is locked."""
    applied_loads(m, masses, gravity, load_body, load_point, load_force, w, force, moment)
    sum_up_tree(m, force, moment)
    free = multipliers(m, w, force, moment, lam)
    columns, driven = w.driven_columns, m.driven
    fill_columns(m, driven, w.rot, w.pos, w.ax, w.ax2, w.ends, columns)
    for i in range(driven.shape[0]):
        total = slope(m, driven[i], w, force, moment)
        for r in range(lam.shape[0]):
            total -= columns[i, r] * lam[r]
        tau[i] = total if free else np.nan
    return free


@room_kernel
def holding_each(
    first, last, m, masses, gravity, load_body, load_point, load_force, q, rows, tau_out, lam_out
):
    """`holding` for closed poses first..last; NaN where a pose is locked."""
    bodies = m.parent.shape[0]
    w = make_room(m, q.shape[1], rows)
    force = np.zeros((bodies, 3))
    moment = np.zeros((bodies, 3))
    loads = (masses, gravity, load_body, load_point, load_force)
    for i in range(first, last):
        place_pose(m, q[i], w)
        if not holding(m, *loads, w, force, moment, lam_out[i], tau_out[i]):
            lam_out[i, :] = np.nan
