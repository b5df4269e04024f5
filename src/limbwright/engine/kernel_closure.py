# pyright: basic
"""Kernels that close the loops of one pose: damped Gauss-Newton in the tangent space."""

import math
from typing import NamedTuple

import numpy as np

from limbwright.engine.compiled import inlined_kernel, kernel, room_kernel
from limbwright.engine.kernel_pose import place_bodies, stage_sine
from limbwright.engine.kernel_rows import closure_ends, fill_columns, misfit
from limbwright.engine.mechanism import TURN_X
from limbwright.engine.outcome import CANNOT_CLOSE, CLOSED

TOLERANCE = 1e-12  # [m, rad]; a hundred times under the bar for anything shown
LOOKS = 80  # times the rows are looked at before a pose is given up
STIFFEST = 1e6  # damping against the normal matrix's largest entry at which no step is left to try
STALLED = 1e-12  # share of the squared misfit; a step that promises less has found the least
LONGEST_STEP = 0.5  # [rad, m] in one iteration, so that a solve stays on its own assembly


class Room(NamedTuple):
    """Work arrays of one thread: `b` bodies, `k` closures, `r` rows, `d` dependent and `i` driven."""

    rot: np.ndarray  # b 3 3
    pos: np.ndarray  # b 3
    ax: np.ndarray  # b 3
    ax2: np.ndarray  # b 3
    ends: np.ndarray  # k 2 3
    c: np.ndarray  # r
    columns: np.ndarray  # d r : transposed Jacobian of the dependent coordinates
    driven_columns: np.ndarray  # i r
    normal: np.ndarray  # d d
    factor: np.ndarray  # d d
    step: np.ndarray  # d
    pull: np.ndarray  # d
    trial: np.ndarray  # q
    kept: np.ndarray  # q
    move: np.ndarray  # i
    points: np.ndarray  # 3 3
    axis: np.ndarray  # 3


@room_kernel
def make_room(m, q_size, rows):
    bodies = m.parent.shape[0]
    d = m.dependent.shape[0]
    i = m.driven.shape[0]
    return Room(
        np.zeros((bodies, 3, 3)),
        np.zeros((bodies, 3)),
        np.zeros((bodies, 3)),
        np.zeros((bodies, 3)),
        np.zeros((m.kind.shape[0], 2, 3)),
        np.zeros(rows),
        np.zeros((d, rows)),
        np.zeros((i, rows)),
        np.zeros((d, d)),
        np.zeros((d, d)),
        np.zeros(d),
        np.zeros(d),
        np.zeros(q_size),
        np.zeros(q_size),
        np.zeros(i),
        np.zeros((3, 3)),
        np.zeros(3),
    )


@inlined_kernel
def copy_into(values, out):
    """out = values, without the slice assignment that would allocate."""
    for i in range(values.shape[0]):
        out[i] = values[i]


@kernel
def place_pose(m, q, w):
    """Make the room describe pose q: frames, axes and the closures' ends."""
    place_bodies(m, q, False, w.rot, w.pos, w.ax, w.ax2)
    closure_ends(m, w.rot, w.pos, w.ends)


@inlined_kernel
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


@inlined_kernel
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


@inlined_kernel
def advance(m, q, step, scale, out):
    """out = q moved along the dependent tangent by scale * step."""
    dependent, dof_kind, dof_q = m.dependent, m.dof_kind, m.dof_q
    copy_into(q, out)
    n = step.shape[0]
    i = 0
    while i < n:
        d = dependent[i]
        if dof_kind[d] < TURN_X:
            out[dof_q[d]] += scale * step[i]
            i += 1
            continue
        _turn_quaternion(q, m.q_at[m.dof_body[d]], 0.5 * scale, step, i, out)
        i += 3


@kernel
def _turn_quaternion(q, at, half, step, i, out):
    """out's unit quaternion at `at` = q's times exp(half * step[i : i + 3])."""
    hx, hy, hz = half * step[i], half * step[i + 1], half * step[i + 2]
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


@inlined_kernel
def fill_normal(m, w):
    """Jacobian columns of the dependent coordinates, and their normal matrix."""
    columns, normal = w.columns, w.normal
    fill_columns(m, m.dependent, w.rot, w.pos, w.ax, w.ax2, w.ends, columns)
    for i in range(columns.shape[0]):
        for j in range(i + 1):
            total = 0.0
            for r in range(columns.shape[1]):
                total += columns[i, r] * columns[j, r]
            normal[i, j] = total
            normal[j, i] = total


@inlined_kernel
def fill_pull(w):
    """pull = -columns c; returns the largest entry on the normal matrix's diagonal."""
    columns, c, pull, normal = w.columns, w.c, w.pull, w.normal
    scale = 0.0
    for i in range(pull.shape[0]):
        total = 0.0
        for r in range(c.shape[0]):
            total -= columns[i, r] * c[r]
        pull[i] = total
        scale = max(scale, normal[i, i])
    return scale


@inlined_kernel
def solve_step(w, damping):
    """step = (normal + damping I)^-1 pull; returns its longest entry, or NaN where there is none."""
    if not factorise(w.normal, damping, w.factor):
        return math.nan
    step, pull = w.step, w.pull
    for i in range(step.shape[0]):
        step[i] = pull[i]
    back_substitute(w.factor, step)
    longest = 0.0
    for i in range(step.shape[0]):
        longest = max(longest, abs(step[i]))
    return longest


@inlined_kernel
def _cost(c):
    total = 0.0
    for i in range(c.shape[0]):
        total += c[i] * c[i]
    return total


@inlined_kernel
def _promise(w, part, damping):
    """How much of the squared misfit `part` of the step should win if the rows were linear."""
    step, pull = w.step, w.pull
    total = 0.0
    for i in range(step.shape[0]):
        total += part * step[i] * ((2.0 - part) * pull[i] + part * damping * step[i])
    return total


@kernel
def close_pose(m, q, w):
    """Solve c(q) = 0 for the dependent coordinates in place; returns (outcome, miss).

    Levenberg-Marquardt on the rows; redundant rows are welcome. On failure q is the least-misfit
    pose. Either way the room describes q afterwards. Rows are looked at in one spot of the code only,
    which keeps the compiled function small.
    """
    trial = w.trial
    copy_into(q, trial)
    cost = math.inf  # squared misfit of q
    damping = promise = scale = miss = 0.0
    last_look = False
    for turn in range(LOOKS):
        place_bodies(m, trial, turn > 0, w.rot, w.pos, w.ax, w.ax2)
        closure_ends(m, w.rot, w.pos, w.ends)
        miss = misfit(m, w.rot, w.ends, w.c)
        trial_cost = _cost(w.c)
        if trial_cost < cost:
            gain = (cost - trial_cost) / promise  # won, against what the rows' slope promised
            cost = trial_cost
            copy_into(trial, q)
            if miss < TOLERANCE or (turn > 0 and promise < STALLED * cost):
                break
            if gain < 0.25:
                damping = max(10.0 * damping, 1e-6 * scale)
            elif gain > 0.75:
                damping = damping * 0.1 if damping > 1e-12 * scale else 0.0
            fill_normal(m, w)
            scale = fill_pull(w)
        elif turn == 0:
            return CANNOT_CLOSE, math.inf  # not a number somewhere
        elif last_look:
            break
        else:
            damping = max(10.0 * damping, 1e-6 * scale)
        longest = solve_step(w, damping + 1e-14 * scale)
        if longest >= 0.0 and damping < STIFFEST * scale and turn < LOOKS - 2:
            part = min(1.0, LONGEST_STEP / longest) if longest > 0.0 else 1.0
            promise = _promise(w, part, damping)
            advance(m, q, w.step, part, trial)
        else:
            copy_into(q, trial)
            last_look = True
    return (CLOSED if miss < 100.0 * TOLERANCE else CANNOT_CLOSE), miss


@kernel
def least_stage(m, sign, w):
    """Least signed angle of any stage from its lock [rad], and which stage; negative past the lock."""
    least = 2.0
    which = -1
    for s in range(sign.shape[0]):
        sine = sign[s] * stage_sine(m, s, w.rot, w.pos, w.points, w.axis)
        if sine < least:
            least = sine
            which = s
    return (math.asin(least) if which >= 0 else math.pi), which


@inlined_kernel
def on_its_side(m, sign, w):
    """Whether every stage is on the side of its lock that it was assembled on."""
    for s in range(sign.shape[0]):
        if sign[s] * stage_sine(m, s, w.rot, w.pos, w.points, w.axis) < 0.0:
            return False
    return True
