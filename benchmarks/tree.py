"""The tree of the design's figure: nine pins, three point closures, six unknowns; and the same with rod rows.

Swivel, driver, performer's forearm, carrier, relay, character's forearm, and three rods, each rod a body
on a pin at its lower end, closed by a ball at its upper end. Lengths in metres.
"""

from typing import Literal, NamedTuple

import numpy as np

from limbwright.engine.closure import assemble
from limbwright.engine.mechanism import GROUND, PIN, Mechanism
from limbwright.engine.mechanism_builder import MechanismBuilder

HANGING = np.array([0.0, 0.0, -1.0])
RAISE = (0.0, -1.0, 0.0)
MAST, DRIVE, CARRIER = 0.62, 0.29, 0.70
CRANKS, CRANK_ANGLES = (0.08, 0.07, 0.07), (1.0, 1.6, 0.9)
AS_BUILT = (0.0003, -0.0004, 0.0002)  # what the rods are long by; zero would be a parallelogram, and easy
HOME = (0.0, 1.05, 1.05)


class Tree(NamedTuple):
    """A mechanism, and the builder it was made from."""

    builder: MechanismBuilder
    mechanism: Mechanism


def direction(angle: float) -> np.ndarray:
    return np.array([np.sin(angle), 0.0, -np.cos(angle)])


def build(rods: Literal["bodies", "rows"], errors: tuple[float, float, float] = AS_BUILT) -> Tree:
    b = MechanismBuilder()
    swivel = b.body("swivel", GROUND, PIN, origin=(0.0, 0.0, 1.4))
    driver = b.body("driver", swivel, PIN, axis=RAISE)
    forearm = b.body("performer's forearm", driver, PIN, axis=RAISE, origin=DRIVE * HANGING)
    carrier = b.body("carrier", swivel, PIN, axis=RAISE, origin=(0.0, 0.0, MAST))
    relay = b.body("relay", carrier, PIN, axis=RAISE, origin=DRIVE * HANGING)
    character = b.body("character's forearm", carrier, PIN, axis=RAISE, origin=CARRIER * HANGING)
    th, fl = HOME[1:]
    guess = [HOME[0], th, fl, th, fl, fl]
    turns = (np.pi - th, np.pi - th - fl, -fl)
    pairs = ((driver, carrier), (forearm, relay), (relay, character))
    for i, (lower, upper) in enumerate(pairs):
        pin = CRANKS[i] * direction(CRANK_ANGLES[i])
        length = (MAST, MAST, CARRIER - DRIVE)[i] + errors[i]
        if rods == "rows":
            b.rod(f"rod {i}", lower, pin, upper, pin, length)
        else:
            rod = b.body(f"rod {i}", lower, PIN, axis=RAISE, origin=pin)
            b.ball(f"end {i}", rod, length * HANGING, upper, pin)
            guess.append(turns[i])
        for name, one, other in (("lower", lower, upper), ("upper", upper, lower)):
            b.stage(f"{i} {name}", (one, np.zeros(3)), (one, pin), (other, pin), (one, RAISE))
    return Tree(b, assemble(b, [(swivel, 0), (driver, 0), (forearm, 0)], np.array(guess)))


def sweep(poses: int) -> np.ndarray:
    """A path to and fro through the range in steps of a degree or two, (pose, 3)."""
    side = round(poses ** (1 / 3))
    swing, elevation, elbow = (
        np.radians(np.linspace(low, high, side)) for low, high in ((-30, 100), (52, 95), (50, 80))
    )
    grid = np.stack(np.meshgrid(swing, elevation, elbow, indexing="ij"), axis=-1)
    grid[1::2] = grid[1::2, ::-1].copy()
    flat = grid.reshape(-1, side, 3)
    flat[1::2] = flat[1::2, ::-1].copy()
    return flat.reshape(-1, 3)
