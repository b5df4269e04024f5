"""Mechanisms that the engine's tests build: four-bars, the parallel arm, and random ones.

Every rig can stand on a base body other than the ground, so that a test can move it as a whole.
"""

from typing import Literal, NamedTuple

import numpy as np

from limbwright.engine.closure import assemble
from limbwright.engine.mechanism import (
    BALL,
    BALL_CLOSURE,
    GROUND,
    PIN,
    PIN_CLOSURE,
    ROD,
    SLIDER,
    UNIVERSAL,
    WELD,
    Mechanism,
)
from limbwright.engine.mechanism_builder import MechanismBuilder

Joining = Literal["rod", "ball", "pin"]
HANGING = np.array([0.0, 0.0, -1.0])
RAISE = (0.0, -1.0, 0.0)  # turns a hanging limb outward and up
HERE = np.zeros(3)


class Rig(NamedTuple):
    builder: MechanismBuilder
    driven: list[tuple[int, int]]
    guess: np.ndarray

    def assemble(self) -> Mechanism:
        return assemble(self.builder, self.driven, self.guess)


def direction(angle: float) -> np.ndarray:
    """Unit vector in the arm's plane (y = 0): 0 hangs, 90 deg points outward (+x), 180 deg up."""
    return np.array([np.sin(angle), 0.0, -np.cos(angle)])


def four_bar(
    ground: float, crank: float, coupler: float, rocker: float, guess: tuple[float, float, float],
    joining: Joining = "ball", axis: tuple[float, float, float] = (0.0, 0.0, 1.0), both_ends: bool = False,
) -> Rig:  # fmt: skip
    """Planar four-bar in the x-y plane: ground along x, angles about z from x [rad].

    The guess is (crank, coupler, rocker), all from the ground line. The coupler is a body, or with
    `rod` a length row. Its coordinate is measured from the crank. The rocker's end of the coupler is
    watched, where the driver cannot pass; `both_ends` is for parallelograms, which can divide there.
    """
    b = MechanismBuilder()
    one = b.body("crank", GROUND, PIN, axis=axis)
    stretch = np.array([1.0, 0.0, 0.0])
    if joining == "rod":
        two = b.body("rocker", GROUND, PIN, axis=axis, origin=ground * stretch)
        b.rod("coupler", one, crank * stretch, two, rocker * stretch, coupler)
        angles = [guess[0], guess[2]]
    else:
        rod = b.body("coupler", one, PIN, axis=axis, origin=crank * stretch)
        two = b.body("rocker", GROUND, PIN, axis=axis, origin=ground * stretch)
        if joining == "ball":
            b.ball("end", rod, coupler * stretch, two, rocker * stretch)
        else:
            b.pin("end", rod, coupler * stretch, axis, two, rocker * stretch, axis)
        angles = [guess[0], guess[1] - guess[0], guess[2]]
    if both_ends:
        b.stage("crank", (one, HERE), (one, crank * stretch), (two, rocker * stretch), (one, axis))
    b.stage("rocker", (two, HERE), (two, rocker * stretch), (one, crank * stretch), (two, axis))
    return Rig(b, [(one, 0)], np.array(angles))


class ArmSizes(NamedTuple):
    """Lengths [m] and angles [rad] of a parallel arm; all in the arm's plane."""

    mast: float = 0.62
    mast_angle: float = np.pi
    drive: float = 0.29  # shoulder to elbow, and mast head to relay
    carrier: float = 0.70
    character_forearm: float = 0.76
    cranks: tuple[float, float, float] = (0.08, 0.07, 0.07)
    crank_angles: tuple[float, float, float] = (1.0, 1.6, 0.9)
    rod_errors: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def window(self, elevation: float, elbow: float) -> np.ndarray:
        """The three angles of the closure's determinant: th + c0 - mu, ph + c1 - mu, ph + c2 - th."""
        c0, c1, c2 = self.crank_angles
        fore = elevation + elbow
        return np.array(
            [elevation + c0 - self.mast_angle, fore + c1 - self.mast_angle, fore + c2 - elevation]
        )

    @property
    def rod_lengths(self) -> np.ndarray:
        """As long as the sides they copy, plus their errors."""
        exact = (self.mast, self.mast, self.carrier - self.drive)
        return np.array(exact) + np.array(self.rod_errors)


def arm_angles(sizes: ArmSizes, swing: float, elevation: float, elbow: float, joining: Joining) -> np.ndarray:
    """Coordinates of the exact arm: every copy turns as much as what it copies."""
    q = [swing, elevation, elbow, elevation, elbow, elbow]
    if joining != "rod":
        q += [sizes.mast_angle - elevation, sizes.mast_angle - elevation - elbow, -elbow]
    return np.array(q)


USUAL = ArmSizes()


def arm(
    sizes: ArmSizes = USUAL,
    joining: Joining = "rod",
    pose: tuple[float, float, float] = (0.0, 1.05, 1.05),
    placed: tuple[np.ndarray, np.ndarray] | None = None,
) -> Rig:
    """Swivel, driver, performer's forearm, carrier, relay, character's forearm; three rods.

    `ball` and `pin` give every rod a body on a pin at its lower end, closed at its upper end:
    nine pins and three closures. `placed` (rotation, shift) welds the whole to a moved base.
    """
    b = MechanismBuilder()
    base = GROUND if placed is None else b.body("base", GROUND, WELD, origin=placed[1], orientation=placed[0])
    swivel = b.body("swivel", base, PIN, origin=(0.0, 0.0, 1.4))
    driver = b.body("driver", swivel, PIN, axis=RAISE)
    forearm = b.body("forearm", driver, PIN, axis=RAISE, origin=sizes.drive * HANGING)
    carrier = b.body("carrier", swivel, PIN, axis=RAISE, origin=sizes.mast * direction(sizes.mast_angle))
    relay = b.body("relay", carrier, PIN, axis=RAISE, origin=sizes.drive * HANGING)
    character = b.body("character forearm", carrier, PIN, axis=RAISE, origin=sizes.carrier * HANGING)
    pairs = ((driver, carrier), (forearm, relay), (relay, character))
    guess = arm_angles(sizes, *pose, joining)
    for i, ((lower, upper), length) in enumerate(zip(pairs, sizes.rod_lengths, strict=True)):
        pin = sizes.cranks[i] * direction(sizes.crank_angles[i])
        if joining == "rod":
            b.rod(f"rod {i}", lower, pin, upper, pin, length)
        else:
            rod = b.body(f"rod {i}", lower, PIN, axis=RAISE, origin=pin)
            if joining == "ball":
                b.ball(f"end {i}", rod, length * HANGING, upper, pin)
            else:
                b.pin(f"end {i}", rod, length * HANGING, RAISE, upper, pin, RAISE)
        b.stage(f"stage {i} lower", (lower, HERE), (lower, pin), (upper, pin), (lower, RAISE))
        b.stage(f"stage {i} upper", (upper, HERE), (upper, pin), (lower, pin), (upper, RAISE))
    return Rig(b, [(swivel, 0), (driver, 0), (forearm, 0)], guess)


def random_sizes(
    rng: np.random.Generator, errors: float = 0.0
) -> tuple[ArmSizes, tuple[float, float, float]]:
    """An arm of any proportions, and a pose in which its three windows stand about their middles."""
    drive = rng.uniform(0.22, 0.34)
    elevation, elbow = rng.uniform(0.6, 1.6), rng.uniform(0.3, 1.6)
    mast_angle = np.pi - rng.uniform(-0.4, 0.4)
    middle = rng.uniform(1.2, 1.9, 3) * rng.choice([-1.0, 1.0], 3)
    sizes = ArmSizes(
        mast=rng.uniform(0.3, 0.9),
        mast_angle=mast_angle,
        drive=drive,
        carrier=drive + rng.uniform(0.2, 0.6),
        character_forearm=rng.uniform(0.4, 1.0),
        cranks=tuple(rng.uniform(0.04, 0.15, 3)),
        crank_angles=(
            middle[0] + mast_angle - elevation,
            middle[1] + mast_angle - elevation - elbow,
            middle[2] - elbow,
        ),
        rod_errors=tuple(rng.uniform(-errors, errors, 3)),
    )
    return sizes, (float(rng.uniform(-0.5, 1.5)), elevation, elbow)


def random_rotation(rng: np.random.Generator) -> np.ndarray:
    matrix, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return matrix * np.sign(np.linalg.det(matrix))


def random_tree(
    rng: np.random.Generator, bodies: int, joints: tuple[int, ...] = (PIN, SLIDER, UNIVERSAL, BALL)
) -> MechanismBuilder:
    """A tree with every kind of joint about as often, at random places, turned at random."""
    b = MechanismBuilder()
    for i in range(bodies):
        second = rng.normal(size=3)
        b.body(
            f"body {i + 1}", int(rng.integers(0, i + 1)), joints[int(rng.integers(len(joints)))],
            origin=rng.uniform(-0.5, 0.5, 3), axis=rng.normal(size=3), second_axis=second,
            orientation=random_rotation(rng),
        )  # fmt: skip
    return b


def random_pose(rng: np.random.Generator, builder: MechanismBuilder) -> np.ndarray:
    """Coordinates anywhere: angles over a full turn, slides of 0.3 m, any quaternion."""
    q: list[float] = []
    for joint in builder.joints:
        if joint in (PIN, UNIVERSAL):
            q += list(rng.uniform(-np.pi, np.pi, 1 if joint == PIN else 2))
        elif joint == SLIDER:
            q.append(rng.uniform(-0.3, 0.3))
        elif joint == BALL:
            quaternion = rng.normal(size=4)
            q += list(quaternion / np.linalg.norm(quaternion))
    return np.array(q)


def add_random_closures(rng: np.random.Generator, builder: MechanismBuilder, count: int) -> None:
    """Rods, balls and pins between random bodies at random points; they need not meet anywhere."""
    bodies = len(builder.names)
    for i in range(count):
        a, b = (int(x) for x in rng.choice(bodies, 2, replace=False))
        pa, pb = rng.uniform(-0.4, 0.4, (2, 3))
        kind = (ROD, BALL_CLOSURE, PIN_CLOSURE)[int(rng.integers(3))]
        if kind == ROD:
            builder.rod(f"closure {i}", a, pa, b, pb, rng.uniform(0.2, 1.0))
        elif kind == BALL_CLOSURE:
            builder.ball(f"closure {i}", a, pa, b, pb)
        else:
            builder.pin(f"closure {i}", a, pa, rng.normal(size=3), b, pb, rng.normal(size=3))
