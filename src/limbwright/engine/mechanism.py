"""A mechanism as immutable arrays: a tree of bodies, and closures that tie it into loops.

Body 0 is the ground. Every other body sits on its parent by a joint (weld, pin, slider, universal,
ball); closures (rod, ball, pin) add the rows c(q) = 0. Lengths [m], angles [rad], masses [kg].
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from jaxtyping import Bool, Float, Int

GROUND = 0
WELD, PIN, SLIDER, UNIVERSAL, BALL = range(5)
ROD, BALL_CLOSURE, PIN_CLOSURE = range(3)
JOINT_FREEDOMS = {WELD: 0, PIN: 1, SLIDER: 1, UNIVERSAL: 2, BALL: 3}
CLOSURE_ROWS = {ROD: 1, BALL_CLOSURE: 3, PIN_CLOSURE: 5}
# how one velocity coordinate moves its body: turning about the first or second axis, sliding,
# or turning about the body's own x, y, z (ball)
TURN, SLIDE, TURN_SECOND, TURN_X, TURN_Y, TURN_Z = range(6)


class Linkage(NamedTuple):
    """What the kernels see: geometry only. `b` bodies, `k` closures, `v` velocities, `s` stages."""

    parent: Int[np.ndarray, " b"]
    joint: Int[np.ndarray, " b"]
    q_at: Int[np.ndarray, " b"]
    origin: Float[np.ndarray, "b 3"]  # joint origin in the parent's frame
    axis: Float[np.ndarray, "b 3"]  # first axis in the parent's frame
    axis_second: Float[np.ndarray, "b 3"]  # second axis of a universal, in the body's frame
    turn: Float[np.ndarray, "b 3 3 3"]  # local rotation = turn0 + cos q turn1 + sin q turn2
    turn_second: Float[np.ndarray, "b 3 3 3"]
    follows: Bool[np.ndarray, " b"]  # moved by a dependent coordinate
    carries: Bool[np.ndarray, "b b"]  # carries[i, j]: moving i's joint moves j
    dof_body: Int[np.ndarray, " v"]
    dof_kind: Int[np.ndarray, " v"]
    dof_q: Int[np.ndarray, " v"]
    driven: Int[np.ndarray, " i"]
    dependent: Int[np.ndarray, " d"]
    kind: Int[np.ndarray, " k"]
    row_at: Int[np.ndarray, " k"]
    body_a: Int[np.ndarray, " k"]
    body_b: Int[np.ndarray, " k"]
    point_a: Float[np.ndarray, "k 3"]
    point_b: Float[np.ndarray, "k 3"]
    across_a: Float[np.ndarray, "k 2 3"]  # pin closures: two directions across the pin, in body a
    axis_b: Float[np.ndarray, "k 3"]  # pin closures: the pin's direction in body b
    length: Float[np.ndarray, " k"]
    stage_body: Int[np.ndarray, "s 4"]  # pivot, crank pin, far end of the rod, axis
    stage_point: Float[np.ndarray, "s 3 3"]
    stage_axis: Float[np.ndarray, "s 3"]


class Masses(NamedTuple):
    """What weighs: a point mass at a centre for each body, and each rod's mass shared to its ends."""

    mass: Float[np.ndarray, " b"]
    centre: Float[np.ndarray, "b 3"]  # in the body's frame
    rod_mass: Float[np.ndarray, " k"]
    rod_centre: Float[np.ndarray, " k"]  # fraction of the way from end a to end b


@dataclass(frozen=True)
class Mechanism:
    """A linkage with the names of its bodies, closures and stages, and its assembled pose.

    `assembled` [rad, m; shape q] is closed; the branch of every later pose is the one that
    continuity reaches from it. `stage_sign` is each stage's side of its lock in that pose.
    """

    linkage: Linkage
    body_names: tuple[str, ...]
    closure_names: tuple[str, ...]
    stage_names: tuple[str, ...]
    assembled: Float[np.ndarray, " q"]
    stage_sign: Float[np.ndarray, " s"]

    @property
    def rows(self) -> int:
        """Number of closure rows."""
        return sum(CLOSURE_ROWS[int(k)] for k in self.linkage.kind)

    @property
    def freedoms(self) -> int:
        """Number of velocity coordinates of the tree."""
        return len(self.linkage.dof_body)

    def body(self, name: str) -> int:
        """Index of a body by its name; ValueError lists the names there are."""
        if name not in self.body_names:
            raise ValueError(f"no body {name!r}; there are {', '.join(self.body_names)}")
        return self.body_names.index(name)

    def driven_values(self, q: Float[np.ndarray, "*batch q"]) -> Float[np.ndarray, "*batch i"]:
        """The driven coordinates of a pose [rad or m]."""
        return q[..., self.linkage.dof_q[self.linkage.driven]]
