"""Crank lengths from what a shop's +/- does to the forearm.

A rod that misses its side by d turns the limb it drives by -d / (b sin theta), theta the angle
between crank and rod. The shoulder stage's error moves the relay's pin too, which the forearm stage
takes for a rod error, so the shoulder crank counts more than once. To first order, with the
errors of all thirteen lengths,

    t0 = (mast - rod0 + (carrier crank - driver crank) cos A0) / (b0 sin A0)
    t1 = (mast - rod1 + (relay - drive) cos(th - mu) + relay_at t0 sin(mu - th)
          + (relay's lower arm - forearm crank) cos A1) / (b1 sin A1)
    t2 = t1 + (carrier - relay - rod2 + (character crank - relay's outer arm) cos A2) / (b2 sin A2)

with A0 = th + c0 - mu, A1 = ph + c1 - mu, A2 = ph + c2 - th; t2 is the character's forearm against
the performer's. `analyses.matching` has the same from the mechanism's own Jacobian.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from jaxtyping import Float

from limbwright.limbs.arm_geometry import COPIES, LENGTHS, TRIM_LEFT, ArmGeometry

MATCHING = math.radians(3.0)  # likely angle between the forearms allowed in a named pose; assumed
LONGEST_CRANK = 0.120  # [m] longer ones show through a shell; common practice, no source
GROUPS = ((0,), (1, 2))  # stages whose cranks grow together
CRANK_FIELDS = (
    ("crank_driver", "crank_carrier"),
    ("crank_forearm", "crank_relay_lower"),
    ("crank_relay_outer", "crank_character"),
)


def forearm_sensitivity(
    geometry: ArmGeometry, elevation: Float[np.ndarray, " pose"], elbow: Float[np.ndarray, " pose"]
) -> Float[np.ndarray, "pose length"]:
    """Turn of the character's forearm against the performer's for each length of `LENGTHS` [rad/m]."""
    mu = geometry.mast_angle
    a0 = elevation + geometry.angle_shoulder - mu
    a1 = elevation + elbow + geometry.angle_forearm - mu
    a2 = elbow + geometry.angle_relay
    turns = [np.zeros((len(elevation), len(LENGTHS))) for _ in range(3)]

    def add(stage: int, name: str, much: float | Float[np.ndarray, " pose"]) -> None:
        turns[stage][:, LENGTHS.index(name)] += much

    add(0, "mast", 1.0)
    add(0, "rod_shoulder", -1.0)
    add(0, "crank_carrier", np.cos(a0))
    add(0, "crank_driver", -np.cos(a0))
    turns[0] /= (geometry.crank_driver * np.sin(a0))[:, None]
    add(1, "mast", 1.0)
    add(1, "rod_forearm", -1.0)
    add(1, "relay_at", np.cos(elevation - mu))
    add(1, "drive", -np.cos(elevation - mu))
    add(1, "crank_relay_lower", np.cos(a1))
    add(1, "crank_forearm", -np.cos(a1))
    turns[1] += (geometry.relay_at * np.sin(mu - elevation))[:, None] * turns[0]
    turns[1] /= (geometry.crank_forearm * np.sin(a1))[:, None]
    add(2, "carrier", 1.0)
    add(2, "relay_at", -1.0)
    add(2, "rod_relay", -1.0)
    add(2, "crank_character", np.cos(a2))
    add(2, "crank_relay_outer", -np.cos(a2))
    turns[2] /= (geometry.crank_relay_outer * np.sin(a2))[:, None]
    return turns[1] + turns[2]


def likely_turn(
    geometry: ArmGeometry, elevation: Float[np.ndarray, " pose"], elbow: Float[np.ndarray, " pose"]
) -> Float[np.ndarray, " pose"]:
    """Likely angle between the forearms, every length at its own +/-, root sum of squares [rad].

    Rods that have trim are taken as set to match: they take over the error of the side they copy.
    """
    turn = forearm_sensitivity(geometry, elevation, elbow)
    tolerance = np.array([geometry.tolerance[name] for name in LENGTHS])
    for rod in geometry.trimmed:
        at = LENGTHS.index(rod)
        tolerance[at] = min(tolerance[at], TRIM_LEFT)
        for side, sign in COPIES[rod].items():
            turn[:, LENGTHS.index(side)] += sign * turn[:, at]
    return np.sqrt(((turn * tolerance) ** 2).sum(axis=1))


def with_cranks(geometry: ArmGeometry, cranks: Sequence[float]) -> ArmGeometry:
    """The same arm with other crank lengths, shoulder, forearm, relay [m]."""
    fields = {name: length for names, length in zip(CRANK_FIELDS, cranks, strict=True) for name in names}
    return replace(geometry, **fields)


def crank_lengths(
    geometry: ArmGeometry,
    given: Sequence[float | None],
    elevation: Float[np.ndarray, " pose"],
    elbow: Float[np.ndarray, " pose"],
    least: float,
    step: float,
) -> tuple[float, float, float]:
    """The shortest cranks that keep the likely angle between the forearms under `MATCHING`.

    Starting from the shortest, each step goes to the shoulder crank or to the other two together,
    whichever straightens the worst pose more, until that pose is good enough or the cranks are at
    `LONGEST_CRANK`. The forearm's and the relay's rods carry the same moment, hence one length for both.

    Args:
        geometry: with crank angles and tolerances; its own crank lengths are not used.
        given: lengths that stand, by stage; None where one is wanted [m].
        elevation: of the named poses [rad].
        elbow: of the named poses [rad].
        least: shortest crank that can be drilled [m].
        step: what lengths are rounded to [m].
    """
    shortest = math.ceil(least / step - 1e-6)
    longest = max(int(LONGEST_CRANK / step + 1e-6), shortest)
    steps = (shortest, shortest, shortest)

    def lengths(now: tuple[int, ...]) -> list[float]:
        return [n * step if own is None else own for n, own in zip(now, given, strict=True)]

    def worst(now: tuple[int, ...]) -> float:
        return float(likely_turn(with_cranks(geometry, lengths(now)), elevation, elbow).max(initial=0.0))

    while worst(steps) > MATCHING:
        longer = [
            tuple(n + (k in stages) for k, n in enumerate(steps))
            for stages in GROUPS
            if any(given[k] is None for k in stages) and steps[stages[0]] < longest
        ]
        if not longer:
            break
        steps = min(longer, key=lambda now: round(worst(now), 12))
    a, b, c = lengths(steps)
    return (a, b, c)
