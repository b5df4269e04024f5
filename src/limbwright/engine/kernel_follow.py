# pyright: basic
"""Kernels that follow the driver: each pose from a solved neighbour, along the tangent, then closed."""

import math

import numpy as np

from limbwright.engine.compiled import inlined_kernel, room_kernel
from limbwright.engine.kernel_closure import (
    LONGEST_STEP,
    advance,
    close_pose,
    copy_into,
    fill_normal,
    fill_pull,
    make_room,
    on_its_side,
    place_pose,
    solve_step,
)
from limbwright.engine.kernel_rows import fill_columns
from limbwright.engine.outcome import BRANCH_LOST, CANNOT_CLOSE, CLOSED

STRIDE = math.radians(5.0)  # a driven coordinate moves at most this far between two solves
FINEST = math.radians(0.3)  # shorter strides are tried, down to this one, before a pose is given up
FARTHEST = 1e6  # [rad, m] of a driven coordinate; beyond this, and for what is no number, there is no pose
CHUNK = 2048  # poses that one thread follows in a row; fixed, so results do not depend on threads


@inlined_kernel
def step_along(m, q, w):
    """Move the driven coordinates of a closed pose by `w.move` and close it again; returns (outcome, miss).

    The room must describe q. The dependent coordinates first go along the tangent of the closed
    motion, dq_d = -(dc/dq_d)^+ dc/dq_i dq_i, unless that is far, as it is near a lock.
    """
    move, c, columns, driven, dof_q = w.move, w.c, w.driven_columns, m.driven, m.dof_q
    fill_normal(m, w)
    fill_columns(m, driven, w.rot, w.pos, w.ax, w.ax2, w.ends, columns)
    for r in range(c.shape[0]):
        c[r] = 0.0
        for i in range(move.shape[0]):
            c[r] += columns[i, r] * move[i]
    scale = fill_pull(w)
    if solve_step(w, 1e-14 * scale) < LONGEST_STEP:
        advance(m, q, w.step, 1.0, w.trial)
        copy_into(w.trial, q)
    for i in range(move.shape[0]):
        q[dof_q[driven[i]]] += move[i]
    return close_pose(m, q, w)


@inlined_kernel
def _aim(m, q, target, w):
    """w.move = the way left to the target; returns its longest entry."""
    move, driven, dof_q = w.move, m.driven, m.dof_q
    far = 0.0
    for i in range(move.shape[0]):
        move[i] = target[i] - q[dof_q[driven[i]]]
        far = max(far, abs(move[i]))
    return far


@inlined_kernel
def follow(m, q, target, sign, w):
    """Take the driven coordinates to `target` in strides, closing at each; returns (outcome, miss).

    The room must describe q, a closed pose, and describes q afterwards. A stride that fails is tried
    again in quarters. What then fails is given up: q becomes the least-misfit pose at the target.
    """
    driven, dof_q = m.driven, m.dof_q
    for i in range(target.shape[0]):
        if not abs(target[i]) < FARTHEST:
            return CANNOT_CLOSE, math.inf
    stride = STRIDE
    miss = 0.0
    while True:
        far = _aim(m, q, target, w)
        arrives = far <= stride * (1.0 + 1e-9)
        if not arrives:
            for i in range(target.shape[0]):
                w.move[i] *= stride / far
        copy_into(q, w.kept)
        outcome, miss = step_along(m, q, w)
        if outcome == CLOSED and on_its_side(m, sign, w):
            if arrives:
                for i in range(target.shape[0]):
                    q[dof_q[driven[i]]] = target[i]
                return CLOSED, miss
            continue
        if stride <= FINEST or far <= FINEST:
            break
        stride = 0.25 * min(stride, far)
        copy_into(w.kept, q)
        place_pose(m, q, w)
    copy_into(w.kept, q)
    for i in range(target.shape[0]):
        q[dof_q[driven[i]]] = target[i]
    at_target, miss = close_pose(m, q, w)
    # where a stride met the other assembly, or the target closes though the way to it does not
    return (BRANCH_LOST if CLOSED in (outcome, at_target) else CANNOT_CLOSE), miss


@room_kernel
def follow_path(first, last, m, start, drive, sign, rows, q_out, outcome_out, miss_out):
    """Poses first..last along a path of driven values; each chunk starts anew and goes on by continuity."""
    w = make_room(m, start.shape[0], rows)
    q = np.empty(start.shape[0])
    for i in range(first, last):
        if i % CHUNK == 0 or outcome_out[i - 1] != CLOSED:
            copy_into(start, q)
            place_pose(m, q, w)
        outcome_out[i], miss_out[i] = follow(m, q, drive[i], sign, w)
        copy_into(q, q_out[i])


@room_kernel
def close_each(first, last, m, starts, sign, rows, outcome_out, miss_out):
    """Close poses first..last in place, each from its own start."""
    w = make_room(m, starts.shape[1], rows)
    for i in range(first, last):
        outcome, miss = close_pose(m, starts[i], w)
        if outcome == CLOSED and not on_its_side(m, sign, w):
            outcome = BRANCH_LOST
        outcome_out[i] = outcome
        miss_out[i] = miss
