"""Puts a mechanism together body by body."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from jaxtyping import Float

from limbwright.engine.mechanism import (
    BALL,
    BALL_CLOSURE,
    CLOSURE_ROWS,
    GROUND,
    JOINT_FREEDOMS,
    PIN,
    PIN_CLOSURE,
    ROD,
    SLIDE,
    SLIDER,
    TURN,
    TURN_SECOND,
    TURN_X,
    UNIVERSAL,
    WELD,
    Linkage,
)

Vector = Sequence[float] | Float[np.ndarray, " 3"]
UP = (0.0, 0.0, 1.0)
HERE = (0.0, 0.0, 0.0)


@dataclass
class _Closure:
    name: str
    kind: int
    a: int
    b: int
    point_a: np.ndarray
    point_b: np.ndarray
    axis_a: np.ndarray
    axis_b: np.ndarray
    length: float


@dataclass
class _Stage:
    name: str
    bodies: tuple[int, int, int, int]
    points: np.ndarray
    axis: np.ndarray


@dataclass
class MechanismBuilder:
    """Collects bodies, closures and stages, then freezes them into a `Linkage`."""

    names: list[str] = field(default_factory=lambda: ["ground"])
    parents: list[int] = field(default_factory=lambda: [-1])
    joints: list[int] = field(default_factory=lambda: [WELD])
    origins: list[np.ndarray] = field(default_factory=lambda: [np.zeros(3)])
    orientations: list[np.ndarray] = field(default_factory=lambda: [np.eye(3)])
    axes: list[np.ndarray] = field(default_factory=lambda: [np.array(UP)])
    seconds: list[np.ndarray] = field(default_factory=lambda: [np.array(UP)])
    closures: list[_Closure] = field(default_factory=list[_Closure])
    stages: list[_Stage] = field(default_factory=list[_Stage])

    def body(
        self,
        name: str,
        parent: int,
        joint: int,
        *,
        origin: Vector = HERE,
        axis: Vector = UP,
        second_axis: Vector = UP,
        orientation: Float[np.ndarray, "3 3"] | None = None,
    ) -> int:
        """Add a body on `parent` and return its index.

        Args:
            origin: joint origin in the parent's frame [m].
            axis: joint axis in the body's frame at zero (a universal turns about it first).
            second_axis: second axis of a universal, in the body's frame.
            orientation: rotation of the body's frame in the parent's at zero.

        Raises:
            ValueError: the parent is not there yet, or an axis has no direction.
        """
        if not 0 <= parent < len(self.names):
            raise ValueError(f"body {name!r}: parent {parent} is not there yet")
        self.names.append(name)
        self.parents.append(parent)
        self.joints.append(joint)
        self.origins.append(np.asarray(origin, dtype=float))
        self.orientations.append(np.eye(3) if orientation is None else np.asarray(orientation, float))
        self.axes.append(_unit(axis, name))
        self.seconds.append(_unit(second_axis, name))
        return len(self.names) - 1

    def rod(self, name: str, a: int, point_a: Vector, b: int, point_b: Vector, length: float) -> int:
        """Hold point a of body a and point b of body b at `length` [m] from each other."""
        return self._close(name, ROD, a, point_a, b, point_b, UP, UP, length)

    def ball(self, name: str, a: int, point_a: Vector, b: int, point_b: Vector) -> int:
        """Hold two points together."""
        return self._close(name, BALL_CLOSURE, a, point_a, b, point_b, UP, UP, 0.0)

    def pin(
        self, name: str, a: int, point_a: Vector, axis_a: Vector, b: int, point_b: Vector, axis_b: Vector
    ) -> int:
        """Hold two points together and two directions parallel."""
        return self._close(name, PIN_CLOSURE, a, point_a, b, point_b, axis_a, axis_b, 0.0)

    def stage(
        self,
        name: str,
        pivot: tuple[int, Vector],
        crank_pin: tuple[int, Vector],
        far_end: tuple[int, Vector],
        axis: tuple[int, Vector],
    ) -> int:
        """Watch the angle between a crank (pivot to crank pin) and its rod (crank pin to far end).

        Each of the three is (body, point in that body); the axis is (body, direction) and gives
        the angle its sign.
        """
        bodies = (pivot[0], crank_pin[0], far_end[0], axis[0])
        points = np.array([np.asarray(p[1], float) for p in (pivot, crank_pin, far_end)])
        self.stages.append(_Stage(name, bodies, points, _unit(axis[1], name)))
        return len(self.stages) - 1

    def linkage(self, driven: Sequence[tuple[int, int]] = ()) -> Linkage:
        """Freeze the arrays. `driven` lists (body, which of its coordinates) that are given, not solved.

        Raises:
            ValueError: a driven coordinate does not exist or belongs to a ball joint.
        """
        q_at, dof_body, dof_kind, dof_q = self._coordinates()
        chosen = [self._dof(b, i, dof_body, dof_kind) for b, i in driven]
        dependent = [d for d in range(len(dof_body)) if d not in chosen]
        carries = self._carries()
        follows = np.zeros(len(self.names), dtype=np.bool_)
        for d in dependent:
            follows |= carries[dof_body[d]]
        rows = [CLOSURE_ROWS[c.kind] for c in self.closures]
        return Linkage(
            parent=_ints(self.parents),
            joint=_ints(self.joints),
            q_at=_ints(q_at),
            origin=np.array(self.origins),
            axis=np.array([o @ a for o, a in zip(self.orientations, self.axes, strict=True)]),
            axis_second=np.array(self.seconds),
            turn=np.array(
                [
                    _turn_terms(j in (PIN, UNIVERSAL), o, a)
                    for j, o, a in zip(self.joints, self.orientations, self.axes, strict=True)
                ]
            ),
            turn_second=np.array(
                [
                    _turn_terms(j == UNIVERSAL, np.eye(3), a)
                    for j, a in zip(self.joints, self.seconds, strict=True)
                ]
            ),
            follows=follows,
            carries=carries,
            dof_body=_ints(dof_body),
            dof_kind=_ints(dof_kind),
            dof_q=_ints(dof_q),
            driven=_ints(chosen),
            dependent=_ints(dependent),
            kind=_ints([c.kind for c in self.closures]),
            row_at=_ints([sum(rows[:i]) for i in range(len(rows))]),
            body_a=_ints([c.a for c in self.closures]),
            body_b=_ints([c.b for c in self.closures]),
            point_a=_stack([c.point_a for c in self.closures]),
            point_b=_stack([c.point_b for c in self.closures]),
            across_a=np.array([_across(c.axis_a) for c in self.closures]).reshape(-1, 2, 3),
            axis_b=_stack([c.axis_b for c in self.closures]),
            length=np.array([c.length for c in self.closures], dtype=float),
            stage_body=np.array([s.bodies for s in self.stages], dtype=np.int64).reshape(-1, 4),
            stage_point=np.array([s.points for s in self.stages], dtype=float).reshape(-1, 3, 3),
            stage_axis=_stack([s.axis for s in self.stages]),
        )

    def _close(
        self,
        name: str,
        kind: int,
        a: int,
        pa: Vector,
        b: int,
        pb: Vector,
        ua: Vector,
        ub: Vector,
        length: float,
    ) -> int:
        if a == b:
            raise ValueError(f"closure {name!r} ties body {self.names[a]!r} to itself")
        for body in (a, b):
            if not 0 <= body < len(self.names):
                raise ValueError(f"closure {name!r}: body {body} is not there")
        points = (np.asarray(pa, float), np.asarray(pb, float))
        self.closures.append(
            _Closure(name, kind, a, b, points[0], points[1], _unit(ua, name), _unit(ub, name), float(length))
        )
        return len(self.closures) - 1

    def _coordinates(self) -> tuple[list[int], list[int], list[int], list[int]]:
        q_at: list[int] = []
        bodies: list[int] = []
        kinds: list[int] = []
        dof_q: list[int] = []
        at = 0
        for body, joint in enumerate(self.joints):
            q_at.append(at)
            moves = {
                WELD: [],
                PIN: [TURN],
                SLIDER: [SLIDE],
                UNIVERSAL: [TURN, TURN_SECOND],
                BALL: [TURN_X, TURN_X + 1, TURN_X + 2],
            }[joint]
            for i, kind in enumerate(moves):
                bodies.append(body)
                kinds.append(kind)
                dof_q.append(at + i)
            at += 4 if joint == BALL else JOINT_FREEDOMS[joint]
        return q_at, bodies, kinds, dof_q

    def _dof(self, body: int, which: int, dof_body: list[int], dof_kind: list[int]) -> int:
        mine = [d for d, owner in enumerate(dof_body) if owner == body]
        if not 0 <= which < len(mine):
            raise ValueError(f"body {self.names[body]!r} has no coordinate {which} to drive")
        if dof_kind[mine[which]] >= TURN_X:
            raise ValueError(f"body {self.names[body]!r} sits on a ball joint, which cannot be driven")
        return mine[which]

    def _carries(self) -> np.ndarray:
        count = len(self.names)
        carries = np.eye(count, dtype=np.bool_)
        for body in range(1, count):
            carries[:, body] |= carries[:, self.parents[body]]
        carries[GROUND, :] = False
        return carries


def _unit(axis: Vector, name: str) -> np.ndarray:
    vector = np.asarray(axis, dtype=float)
    size = float(np.linalg.norm(vector))
    if not np.isfinite(size) or size == 0.0:
        raise ValueError(f"{name!r}: axis {axis} has no direction")
    return vector / size


def _turn_terms(turns: bool, orientation: np.ndarray, axis: np.ndarray) -> np.ndarray:
    """Rodrigues' formula split as constant + cos + sin, so that a pose costs no trigonometry twice."""
    terms = np.zeros((3, 3, 3))
    if not turns:
        terms[0] = orientation
        return terms
    along = np.outer(axis, axis)
    x, y, z = axis
    terms[0] = orientation @ along
    terms[1] = orientation @ (np.eye(3) - along)
    terms[2] = orientation @ np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return terms


def _across(axis: np.ndarray) -> np.ndarray:
    """Two unit directions across `axis`, chosen the same way every time."""
    helper = np.eye(3)[int(np.argmin(np.abs(axis)))]
    first = np.cross(axis, helper)
    first /= np.linalg.norm(first)
    return np.array([first, np.cross(axis, first)])


def _ints(values: Sequence[int]) -> np.ndarray:
    return np.array(values, dtype=np.int64)


def _stack(vectors: Sequence[np.ndarray]) -> np.ndarray:
    return np.array(vectors, dtype=float).reshape(-1, 3)
