# pyright: basic
"""Kernels that flood a grid of driven coordinates from one solved node, each pose from a neighbour."""

import math

import numpy as np

from limbwright.engine.compiled import kernel, room_kernel
from limbwright.engine.kernel_closure import close_pose, copy_into, least_stage, make_room, place_pose
from limbwright.engine.kernel_follow import step_along
from limbwright.engine.kernel_pose import stage_sine
from limbwright.engine.outcome import CLOSED

REACHED = 1
OPEN, MISSED, UNDER_FLOOR = 0, 1, 2
SLICE = 64  # least number of edges that are worth a call of their own
FLOOR_SLACK = 1e-9  # [rad] so that a pose standing exactly on its stop counts as allowed


@kernel
def _stage_under_floor(m, sign, floor, w):
    """First stage whose signed angle is under its floor, or -1."""
    for s in range(sign.shape[0]):
        angle = math.asin(sign[s] * stage_sine(m, s, w.rot, w.pos, w.points, w.axis))
        if angle < floor[s] - FLOOR_SLACK:
            return s
    return -1


@kernel
def try_edge(m, q, axis, change, sign, floor, w):
    """Move one driven coordinate by `change` in two halves, in place; returns (what stopped it, stage).

    The signs are looked at halfway too: two stages may cross their locks within one edge, and a
    parallelogram that crosses twice looks sound at both ends.
    """
    place_pose(m, q, w)
    for i in range(w.move.shape[0]):
        w.move[i] = 0.5 * change if i == axis else 0.0
    for _ in range(2):
        outcome, _miss = step_along(m, q, w)
        if outcome != CLOSED:
            return MISSED, -1
        under = _stage_under_floor(m, sign, floor, w)
        if under >= 0:
            return UNDER_FLOOR, under
    return OPEN, -1


@kernel
def coordinates(node, shape, out):
    """Grid coordinates of a flat node number, last axis fastest."""
    for a in range(shape.shape[0] - 1, -1, -1):
        out[a] = node % shape[a]
        node //= shape[a]


@kernel
def neighbours(node, shape, at, found, along):
    """Neighbouring nodes in a fixed order; returns how many."""
    coordinates(node, shape, at)
    count = 0
    stride = 1
    for a in range(shape.shape[0] - 1, -1, -1):
        if at[a] > 0:
            found[count] = node - stride
            along[count] = a
            count += 1
        if at[a] < shape[a] - 1:
            found[count] = node + stride
            along[count] = a
            count += 1
        stride *= shape[a]
    return count


@kernel
def load_node(m, node, shape, values, start, solved, at, q):
    """q of a reached node: driven coordinates from the grid, dependent ones as solved."""
    copy_into(start, q)
    coordinates(node, shape, at)
    first = 0
    for a in range(shape.shape[0]):
        q[m.dof_q[m.driven[a]]] = values[first + at[a]]
        first += shape[a]
    for i in range(m.dependent.shape[0]):
        q[m.dof_q[m.dependent[i]]] = solved[node, i]


@room_kernel
def ring_of(frontier, shape, allowed, state, mark, wave):
    """Allowed nodes beside the frontier that are not reached yet, each once, in a fixed order."""
    axes = shape.shape[0]
    at = np.zeros(axes, np.int64)
    found = np.zeros(2 * axes, np.int64)
    along = np.zeros(2 * axes, np.int64)
    ring = np.zeros(frontier.shape[0] * 2 * axes, np.int64)
    count = 0
    for f in range(frontier.shape[0]):
        for n in range(neighbours(frontier[f], shape, at, found, along)):
            node = found[n]
            if allowed[node] and state[node] != REACHED and mark[node] != wave:
                mark[node] = wave
                ring[count] = node
                count += 1
    return ring[:count]


@room_kernel
def reach_ring(
    begin, end,
    m, ring, shape, values, start, sign, floor, rows, tied, state, solved, margin, barrier, stage, origin, got
):  # fmt: skip
    """Try to reach nodes begin..end of the ring from a reached neighbour; got marks the ones that were.

    `tied[node]` has bit a set where coordinate a cannot be driven; an edge along a between two such
    nodes is no edge. A node that is not reached keeps what stopped the first edge tried, and from where.
    """
    axes = shape.shape[0]
    w = make_room(m, start.shape[0], rows)
    q = np.zeros(start.shape[0])
    at = np.zeros(axes, np.int64)
    found = np.zeros(2 * axes, np.int64)
    along = np.zeros(2 * axes, np.int64)
    room = np.zeros(axes, np.int64)
    for i in range(begin, end):
        node = ring[i]
        got[i] = False
        first_try = True
        for n in range(neighbours(node, shape, at, found, along)):
            beside = found[n]
            axis = along[n]
            if state[beside] != REACHED or (tied[node] & tied[beside] & (1 << axis)):
                continue
            load_node(m, beside, shape, values, start, solved, room, q)
            first = 0
            for a in range(axis):
                first += shape[a]
            target = values[first + at[axis]]
            change = target - q[m.dof_q[m.driven[axis]]]
            stopped, which = try_edge(m, q, axis, change, sign, floor, w)
            if stopped == OPEN:
                for d in range(m.dependent.shape[0]):
                    solved[node, d] = q[m.dof_q[m.dependent[d]]]
                margin[node], stage[node] = least_stage(m, sign, w)
                barrier[node] = OPEN
                got[i] = True
                break
            if first_try:
                barrier[node] = stopped
                stage[node] = which
                origin[node] = beside
                first_try = False


@room_kernel
def probe_barriers(begin, end, m, nodes, origin, shape, values, start, sign, rows, solved, q_out, least_out):
    """How far a barred edge can be followed: the last pose on the right side of every lock.

    Bisects up to two steps along the edge, so a lock just beyond a floor is found too.
    """
    axes = shape.shape[0]
    w = make_room(m, start.shape[0], rows)
    q = np.zeros(start.shape[0])
    good = np.zeros(start.shape[0])
    to = np.zeros(axes, np.int64)
    frm = np.zeros(axes, np.int64)
    for i in range(begin, end):
        load_node(m, origin[nodes[i]], shape, values, start, solved, frm, good)
        coordinates(nodes[i], shape, to)
        axis = 0
        first = 0
        total = 0
        for a in range(axes):
            if to[a] != frm[a]:
                axis = a
                first = total
            total += shape[a]
        at = m.dof_q[m.driven[axis]]
        span = 2.0 * (values[first + to[axis]] - good[at])
        least_out[i] = least_stage_of(m, good, sign, w)
        while abs(span) > 1e-12:
            copy_into(good, q)
            q[at] += span
            outcome, _miss = close_pose(m, q, w)
            sound = outcome == CLOSED
            if sound:
                least, _which = least_stage(m, sign, w)
                sound = least > 0.0
            if sound:
                copy_into(q, good)
                least_out[i] = least
            span *= 0.5
        copy_into(good, q_out[i])


@kernel
def least_stage_of(m, q, sign, w):
    """Least stage angle of a pose that is closed already."""
    close_pose(m, q, w)
    return least_stage(m, sign, w)[0]


@room_kernel
def spread_from(seeds, shape, through, label):
    """Give every node of `through` the label of the nearest seed, walking through such nodes only."""
    axes = shape.shape[0]
    at = np.zeros(axes, np.int64)
    found = np.zeros(2 * axes, np.int64)
    along = np.zeros(2 * axes, np.int64)
    queue = np.zeros(label.shape[0], np.int64)
    tail = 0
    for s in range(seeds.shape[0]):
        queue[tail] = seeds[s]
        tail += 1
    head = 0
    while head < tail:
        node = queue[head]
        head += 1
        for n in range(neighbours(node, shape, at, found, along)):
            if through[found[n]] and label[found[n]] < 0:
                label[found[n]] = label[node]
                queue[tail] = found[n]
                tail += 1
