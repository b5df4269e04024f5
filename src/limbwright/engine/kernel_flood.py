# pyright: basic
"""Kernels that flood a grid of driven coordinates from one solved node, each pose from a neighbour."""

import math

import numpy as np

from limbwright.engine.compiled import kernel, room_kernel
from limbwright.engine.kernel_closure import copy_into, least_stage, make_room, place_pose
from limbwright.engine.kernel_follow import step_along
from limbwright.engine.kernel_pose import stage_sine
from limbwright.engine.outcome import CLOSED

REACHED = 1
OPEN, UNCLEAR, UNDER_FLOOR = 0, 1, 2
HALVES, SMALL_PARTS = 2, 16  # an edge is tried in two parts; if a solve fails or jumps, in small ones
SLICE = 64  # least number of edges that are worth a call of their own
FLOOR_SLACK = 1e-9  # [rad] so that a pose standing exactly on its stop counts as allowed
AT_FLOOR = 1e-6  # [rad] a bisected stage this near to its floor stands on it
BESIDE_LOCK = 1e-4  # [rad] nearer than this, rounding may take a stage to the far side of its lock
FINE = 1e-12  # [rad, m] to which the end of a barred edge is bisected


@kernel
def _judge_stages(m, sign, floor, w):
    """What the stages say of a placed pose: `OPEN`, `UNDER_FLOOR` or `UNCLEAR`; and the first that is under.

    Unclear is a stage past its lock, or two at different floors: then it takes a closer look to tell
    what comes first.
    """
    first = -1
    clear = True
    for s in range(sign.shape[0]):
        angle = math.asin(sign[s] * stage_sine(m, s, w.rot, w.pos, w.points, w.axis))
        if angle < floor[s] - FLOOR_SLACK:
            if first < 0:
                first = s
            clear = clear and angle > 0.0 and floor[s] == floor[first]
    if first < 0:
        return OPEN, -1
    return (UNDER_FLOOR if clear else UNCLEAR), first


@kernel
def _move(m, q, axis, change, parts, sign, floor, w):
    """Move one driven coordinate by `change` in equal parts, in place; returns (what stopped it, stage)."""
    place_pose(m, q, w)
    for i in range(w.move.shape[0]):
        w.move[i] = change / parts if i == axis else 0.0
    for _ in range(parts):
        outcome, _miss = step_along(m, q, w)
        if outcome != CLOSED:
            return UNCLEAR, -1
        stopped, stage = _judge_stages(m, sign, floor, w)
        if stopped != OPEN:
            return stopped, stage
    return OPEN, -1


@kernel
def try_edge(m, start, axis, change, sign, floor, q, w):
    """Move one driven coordinate by `change` from `start` to q; returns (what stopped it, stage).

    The signs are looked at halfway too: two stages may cross their locks within one edge, and a
    parallelogram that crosses twice looks sound at both ends. Small parts keep a long stride that
    failed, or that came out on another assembly, from being taken for a lock.
    """
    parts = HALVES
    while True:
        copy_into(start, q)
        stopped, stage = _move(m, q, axis, change, parts, sign, floor, w)
        if stopped != UNCLEAR or parts == SMALL_PARTS:
            return stopped, stage
        parts = SMALL_PARTS


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
def load_node(m, node, shape, values, start, rest, solved, at, q):
    """q of a reached node: driven coordinates from the grid, the rest as solved."""
    copy_into(start, q)
    coordinates(node, shape, at)
    first = 0
    for a in range(shape.shape[0]):
        q[m.dof_q[m.driven[a]]] = values[first + at[a]]
        first += shape[a]
    for i in range(rest.shape[0]):
        q[rest[i]] = solved[node, i]


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
    m, ring, shape, values, start, rest, sign, floor, rows, tied,
    state, solved, margin, barrier, stage, origin, got
):  # fmt: skip
    """Try to reach nodes begin..end of the ring from a reached neighbour; got marks the ones that were.

    `tied[node]` has bit a set where coordinate a cannot be driven; an edge along a between two such
    nodes is no edge. A node that is not reached keeps what stopped the first edge tried, and from where.
    """
    axes = shape.shape[0]
    w = make_room(m, start.shape[0], rows)
    q = np.zeros(start.shape[0])
    here = np.zeros(start.shape[0])
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
            load_node(m, beside, shape, values, start, rest, solved, room, here)
            first = 0
            for a in range(axis):
                first += shape[a]
            target = values[first + at[axis]]
            change = target - here[m.dof_q[m.driven[axis]]]
            stopped, which = try_edge(m, here, axis, change, sign, floor, q, w)
            if stopped == OPEN:
                for d in range(rest.shape[0]):
                    solved[node, d] = q[rest[d]]
                margin[node], stage[node] = least_stage(m, sign, w)
                barrier[node] = OPEN
                got[i] = True
                break
            if first_try:
                barrier[node] = stopped
                stage[node] = which
                origin[node] = beside
                first_try = False


@kernel
def _creep(m, good, axis, way, sign, floor, q, w):
    """Take `good` along a driven coordinate by `way` at most, as far as every stage keeps its floor.

    Returns the way left. A stride that fails is halved, down to `FINE`; one that succeeds is kept.
    """
    stride = way
    while abs(stride) > FINE and abs(way) > FINE:
        if abs(stride) > abs(way):
            stride = way
        copy_into(good, q)
        place_pose(m, q, w)
        for i in range(w.move.shape[0]):
            w.move[i] = stride if i == axis else 0.0
        outcome, _miss = step_along(m, q, w)
        if outcome == CLOSED and _judge_stages(m, sign, floor, w)[0] == OPEN:
            copy_into(q, good)
            way -= stride
        else:
            stride *= 0.5
    return way


@room_kernel
def probe_barriers(
    begin, end,
    m, nodes, origin, shape, values, start, rest, sign, floor, bare, rows, solved, q_out, stage_out
):  # fmt: skip
    """What comes first along each barred edge: the stop of stage `stage_out`, or a lock near `q_out`.

    A floor above `bare` is a stop that somebody fitted. Where none is met, stage_out is -1 and the edge
    is followed on, up to two steps, to just before the first lock.
    """
    axes = shape.shape[0]
    w = make_room(m, start.shape[0], rows)
    q = np.zeros(start.shape[0])
    good = np.zeros(start.shape[0])
    lock = np.full(floor.shape[0], BESIDE_LOCK)
    to = np.zeros(axes, np.int64)
    frm = np.zeros(axes, np.int64)
    for i in range(begin, end):
        load_node(m, origin[nodes[i]], shape, values, start, rest, solved, frm, good)
        coordinates(nodes[i], shape, to)
        axis = 0
        first = 0
        total = 0
        for a in range(axes):
            if to[a] != frm[a]:
                axis = a
                first = total
            total += shape[a]
        step = values[first + to[axis]] - good[m.dof_q[m.driven[axis]]]
        left = _creep(m, good, axis, step, sign, floor, q, w)
        stage_out[i] = -1
        place_pose(m, good, w)
        for s in range(sign.shape[0]):
            angle = math.asin(sign[s] * stage_sine(m, s, w.rot, w.pos, w.points, w.axis))
            if floor[s] > bare and angle < floor[s] + AT_FLOOR:
                stage_out[i] = s
        if stage_out[i] < 0:
            _creep(m, good, axis, left + step, sign, lock, q, w)
        copy_into(good, q_out[i])


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
