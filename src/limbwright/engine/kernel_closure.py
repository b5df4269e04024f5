# pyright: basic
"""Kernels that close the loops: damped Gauss-Newton in the tangent space, from a solved neighbour."""

import math
from typing import NamedTuple

import numpy as np

from limbwright.engine.compiled import kernel, parallel_kernel, prange
from limbwright.engine.kernel_pose import closure_ends, fill_column, misfit, place_bodies, stage_sine
from limbwright.engine.mechanism import TURN_X
from limbwright.engine.outcome import BRANCH_LOST, CANNOT_CLOSE, CLOSED

TOLERANCE = 1e-12  # [m, rad]; a hundred times under the bar for anything shown
ITERATIONS = 40
STALLED = 1e-12  # share of the squared misfit; a step that promises less has found the least
LONGEST_STEP = 0.5  # [rad, m] in one iteration, so that a solve stays on its own assembly
STRIDE = math.radians(5.0)  # a driven coordinate moves at most this far between two solves
FARTHEST = 1e6  # [rad, m] of a driven coordinate; beyond this, and for what is no number, there is no pose
CHUNK = 2048  # poses that one thread follows in a row; fixed, so results do not depend on threads


class Room(NamedTuple):
    """Work arrays of one thread: `b` bodies, `k` closures, `r` rows, `d` dependent coordinates."""

    rot: np.ndarray  # b 3 3
    pos: np.ndarray  # b 3
    ax: np.ndarray  # b 3
    ax2: np.ndarray  # b 3
    ends: np.ndarray  # k 2 3
    c: np.ndarray  # r
    columns: np.ndarray  # d r : transposed Jacobian of the dependent coordinates
    column: np.ndarray  # r
    normal: np.ndarray  # d d
    factor: np.ndarray  # d d
    step: np.ndarray  # d
    pull: np.ndarray  # d
    trial: np.ndarray  # q
    points: np.ndarray  # 3 3
    axis: np.ndarray  # 3


@kernel
def make_room(m, q_size, rows):
    bodies = m.parent.shape[0]
    d = m.dependent.shape[0]
    return Room(
        np.zeros((bodies, 3, 3)),
        np.zeros((bodies, 3)),
        np.zeros((bodies, 3)),
        np.zeros((bodies, 3)),
        np.zeros((m.kind.shape[0], 2, 3)),
        np.zeros(rows),
        np.zeros((d, rows)),
        np.zeros(rows),
        np.zeros((d, d)),
        np.zeros((d, d)),
        np.zeros(d),
        np.zeros(d),
        np.zeros(q_size),
        np.zeros((3, 3)),
        np.zeros(3),
    )


@kernel
def factorise(normal, damping, factor):
    """Cholesky of normal + damping I; False where it is not positive."""
    n = normal.shape[0]
    for i in range(n):
        for j in range(i + 1):
            total = normal[i, j]
            if i == j:
                total += damping
            for k in range(j):
                total -= factor[i, k] * factor[j, k]
            if i == j:
                if not total > 0.0:
                    return False
                factor[i, i] = math.sqrt(total)
            else:
                factor[i, j] = total / factor[j, j]
    return True


@kernel
def back_substitute(factor, x):
    """x = (factor factor^T)^-1 x."""
    n = factor.shape[0]
    for i in range(n):
        for k in range(i):
            x[i] -= factor[i, k] * x[k]
        x[i] /= factor[i, i]
    for i in range(n - 1, -1, -1):
        for k in range(i + 1, n):
            x[i] -= factor[k, i] * x[k]
        x[i] /= factor[i, i]


@kernel
def advance(m, q, step, scale, out):
    """out = q moved along the dependent tangent by scale * step."""
    for i in range(q.shape[0]):
        out[i] = q[i]
    n = step.shape[0]
    i = 0
    while i < n:
        d = m.dependent[i]
        if m.dof_kind[d] < TURN_X:
            out[m.dof_q[d]] += scale * step[i]
            i += 1
            continue
        at = m.q_at[m.dof_body[d]]
        hx, hy, hz = 0.5 * scale * step[i], 0.5 * scale * step[i + 1], 0.5 * scale * step[i + 2]
        size = math.sqrt(hx * hx + hy * hy + hz * hz)
        s = math.sin(size) / size if size > 1e-12 else 1.0
        cw, cx, cy, cz = math.cos(size), s * hx, s * hy, s * hz
        w, x, y, z = q[at], q[at + 1], q[at + 2], q[at + 3]
        nw = w * cw - x * cx - y * cy - z * cz
        nx = w * cx + x * cw + y * cz - z * cy
        ny = w * cy - x * cz + y * cw + z * cx
        nz = w * cz + x * cy - y * cx + z * cw
        norm = math.sqrt(nw * nw + nx * nx + ny * ny + nz * nz)
        out[at], out[at + 1], out[at + 2], out[at + 3] = nw / norm, nx / norm, ny / norm, nz / norm
        i += 3


@kernel
def fill_normal(m, w):
    """Jacobian columns of the dependent coordinates, and their normal matrix."""
    n = m.dependent.shape[0]
    rows = w.c.shape[0]
    for i in range(n):
        fill_column(m, m.dependent[i], w.rot, w.pos, w.ax, w.ax2, w.ends, w.axis, w.columns[i])
        for j in range(i + 1):
            total = 0.0
            for r in range(rows):
                total += w.columns[i, r] * w.columns[j, r]
            w.normal[i, j] = total
            w.normal[j, i] = total


@kernel
def _cost(c):
    total = 0.0
    for i in range(c.shape[0]):
        total += c[i] * c[i]
    return total


@kernel
def close_pose(m, q, w):
    """Solve c(q) = 0 for the dependent coordinates in place; returns (outcome, miss).

    Levenberg-Marquardt on the rows; redundant rows are welcome. On failure q is the least-misfit pose.
    """
    place_bodies(m, q, False, w.rot, w.pos, w.ax, w.ax2)
    closure_ends(m, w.rot, w.pos, w.ends)
    miss = misfit(m, w.rot, w.ends, w.c)
    if not _cost(w.c) < math.inf:
        return CANNOT_CLOSE, math.inf
    n = m.dependent.shape[0]
    rows = w.c.shape[0]
    damping = 0.0
    for _ in range(ITERATIONS):
        if miss < TOLERANCE:
            return CLOSED, miss
        cost = _cost(w.c)
        fill_normal(m, w)
        scale = 0.0
        for i in range(n):
            total = 0.0
            for r in range(rows):
                total -= w.columns[i, r] * w.c[r]
            w.pull[i] = total
            scale = max(scale, w.normal[i, i])
        gain = -1.0  # what the step wins of the squared misfit, against what the rows' slope promised
        promise = 0.0
        for _attempt in range(12):
            if factorise(w.normal, damping + 1e-14 * scale, w.factor):
                longest = 0.0
                for i in range(n):
                    w.step[i] = w.pull[i]
                back_substitute(w.factor, w.step)
                for i in range(n):
                    longest = max(longest, abs(w.step[i]))
                part = min(1.0, LONGEST_STEP / longest) if longest > 0.0 else 1.0
                promise = 0.0
                for i in range(n):
                    promise += part * w.step[i] * ((2.0 - part) * w.pull[i] + part * damping * w.step[i])
                advance(m, q, w.step, part, w.trial)
                place_bodies(m, w.trial, True, w.rot, w.pos, w.ax, w.ax2)
                closure_ends(m, w.rot, w.pos, w.ends)
                trial_miss = misfit(m, w.rot, w.ends, w.c)
                won = cost - _cost(w.c)
                if won > 0.0:
                    gain = won / promise
                    break
            damping = max(10.0 * damping, 1e-6 * scale)
        if gain < 0.0:
            break
        for i in range(q.shape[0]):
            q[i] = w.trial[i]
        miss = trial_miss
        if gain < 0.25:
            damping = max(10.0 * damping, 1e-6 * scale)
        elif gain > 0.75:
            damping = damping * 0.1 if damping > 1e-12 * scale else 0.0
        if promise < STALLED * cost:
            break
    if miss < 100.0 * TOLERANCE:
        return CLOSED, miss
    # leave the room describing q, not the last trial
    place_bodies(m, q, True, w.rot, w.pos, w.ax, w.ax2)
    closure_ends(m, w.rot, w.pos, w.ends)
    return CANNOT_CLOSE, misfit(m, w.rot, w.ends, w.c)


@kernel
def least_stage(m, sign, w):
    """Least signed angle of any stage from its lock [rad], and which stage; negative past the lock."""
    least = math.pi
    which = -1
    for s in range(m.stage_body.shape[0]):
        angle = math.asin(sign[s] * stage_sine(m, s, w.rot, w.pos, w.points, w.axis))
        if angle < least:
            least = angle
            which = s
    return least, which


@kernel
def follow(m, q, target, sign, w):
    """Take the driven coordinates to `target` in strides, closing at each; returns (outcome, miss)."""
    n = m.driven.shape[0]
    far = 0.0
    for i in range(n):
        if not abs(target[i]) < FARTHEST:
            return CANNOT_CLOSE, math.inf
        far = max(far, abs(target[i] - q[m.dof_q[m.driven[i]]]))
    strides = max(1, int(math.ceil(far / STRIDE - 1e-9)))
    outcome, miss = CLOSED, 0.0
    for step in range(strides):
        left = strides - step
        for i in range(n):
            at = m.dof_q[m.driven[i]]
            q[at] += (target[i] - q[at]) / left
        outcome, miss = close_pose(m, q, w)
        if outcome != CLOSED:
            return outcome, miss
        least, _ = least_stage(m, sign, w)
        if least < 0.0:
            return BRANCH_LOST, miss
    return outcome, miss


@parallel_kernel
def follow_path(m, start, drive, sign, rows, q_out, outcome_out, miss_out):
    """Poses along a path of driven values; each chunk starts from `start` and goes on by continuity."""
    count = drive.shape[0]
    chunks = (count + CHUNK - 1) // CHUNK
    for chunk in prange(chunks):
        w = make_room(m, start.shape[0], rows)
        q = start.copy()
        for i in range(chunk * CHUNK, min(count, (chunk + 1) * CHUNK)):
            outcome, miss = follow(m, q, drive[i], sign, w)
            for j in range(q.shape[0]):
                q_out[i, j] = q[j]
            outcome_out[i] = outcome
            miss_out[i] = miss
            if outcome != CLOSED:
                q[:] = start


@parallel_kernel
def close_each(m, starts, sign, rows, outcome_out, miss_out):
    """Close many poses in place, each from its own start."""
    count = starts.shape[0]
    chunks = (count + CHUNK - 1) // CHUNK
    for chunk in prange(chunks):
        w = make_room(m, starts.shape[1], rows)
        for i in range(chunk * CHUNK, min(count, (chunk + 1) * CHUNK)):
            outcome, miss = close_pose(m, starts[i], w)
            if outcome == CLOSED and least_stage(m, sign, w)[0] < 0.0:
                outcome = BRANCH_LOST
            outcome_out[i] = outcome
            miss_out[i] = miss
