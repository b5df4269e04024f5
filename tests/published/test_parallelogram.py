"""The parallelogram platform: a load may stand anywhere on it, and the crank feels no difference.

Source: the enigma of G. P. de Roberval's static balance (1669), textbook statics; the derivation is
short enough to stand here. Two equal cranks of length L on a wall, h apart, carry an upright coupler.
The coupler only translates, so a weight W on it does work W L cos(theta) d(theta) wherever it stands:
the crank moment is W L cos(theta). The lever e of the load about the lower pin is taken by the upper
crank, a two-force member whose line passes h cos(theta) from the lower pin: N = W e / (h cos(theta)).
Both are exact, so the tolerance is rounding: 1e-9 of the largest term.
"""

import numpy as np
import pytest

from limbwright.engine.closure import assemble, follow_drive
from limbwright.engine.mechanism import GROUND, PIN, Mechanism
from limbwright.engine.mechanism_builder import MechanismBuilder
from limbwright.engine.statics import DOWN, PointLoad, holding_moments, joint_reactions, no_masses

L, H = 0.4, 0.15  # crank and spacing [m]
RAISE = (0.0, -1.0, 0.0)  # in the x-z plane, from horizontal upwards
WEIGHT = 30.0  # N
ANGLES = np.radians([-50.0, -20.0, 0.0, 15.0, 40.0, 65.0])
OFFSETS = [-1.0, -0.2, 0.0, 0.3, 1.2]


def platform(joining: str) -> Mechanism:
    b = MechanismBuilder()
    out = np.array([L, 0.0, 0.0])
    top = np.array([0.0, 0.0, H])
    lower = b.body("lower crank", GROUND, PIN, axis=RAISE)
    upper = b.body("upper crank", GROUND, PIN, axis=RAISE, origin=top)
    coupler = b.body("coupler", lower, PIN, axis=RAISE, origin=out)
    if joining == "ball":
        b.ball("upper pin", coupler, top, upper, out)
    else:
        b.pin("upper pin", coupler, top, RAISE, upper, out, RAISE)
    b.stage("upright", (lower, np.zeros(3)), (lower, out), (coupler, top), (lower, RAISE))
    return assemble(b, [(lower, 0)], np.array([0.1, 0.1, -0.1]))


@pytest.mark.parametrize("offset", OFFSETS)
@pytest.mark.parametrize("joining", ["ball", "pin"])
def test_crank_moment_does_not_depend_on_the_offset(joining, offset):
    mechanism = platform(joining)
    poses = follow_drive(mechanism, ANGLES[:, None])
    load = PointLoad(mechanism.body("coupler"), np.array([offset, 0.0, 0.1]), np.array([0.0, 0.0, -WEIGHT]))
    held = holding_moments(mechanism, no_masses(mechanism), poses.q, loads=[load])
    np.testing.assert_allclose(held.moments[:, 0], WEIGHT * L * np.cos(ANGLES), atol=1e-9 * WEIGHT * L)


def test_a_mass_weighs_as_its_weight_does():
    """m g L cos(theta) with standard gravity 9.80665 m/s2 (ISO 80000-3)."""
    mechanism = platform("ball")
    poses = follow_drive(mechanism, ANGLES[:, None])
    masses = no_masses(mechanism)
    coupler = mechanism.body("coupler")
    masses.mass[coupler] = 3.0
    masses.centre[coupler] = [0.7, 0.2, -0.3]
    held = holding_moments(mechanism, masses, poses.q, DOWN)
    np.testing.assert_allclose(held.moments[:, 0], 3.0 * 9.80665 * L * np.cos(ANGLES), rtol=1e-12)


@pytest.mark.parametrize("offset", OFFSETS)
@pytest.mark.parametrize("joining", ["ball", "pin"])
def test_only_the_pin_forces_feel_the_offset(joining, offset):
    """A load outboard pulls the upper crank, N = W e / (h cos); the lower pin takes -N, and the weight."""
    mechanism = platform(joining)
    lower, coupler, upper = (mechanism.body(n) for n in ("lower crank", "coupler", "upper crank"))
    load = PointLoad(coupler, np.array([offset, 0.0, 0.1]), np.array([0.0, 0.0, -WEIGHT]))
    for angle, q in zip(ANGLES, follow_drive(mechanism, ANGLES[:, None]).q, strict=True):
        found = joint_reactions(mechanism, no_masses(mechanism), q, loads=[load])
        assert found.free
        along = np.array([np.cos(angle), 0.0, np.sin(angle)])
        pull = WEIGHT * offset / (H * np.cos(angle))
        scale = WEIGHT * (1.0 + abs(offset) / H / np.cos(angle))
        # what the wall does to the upper crank: pulls it inwards
        np.testing.assert_allclose(found.force[upper], -pull * along, atol=1e-9 * scale)
        on_coupler = pull * along + np.array([0.0, 0.0, WEIGHT])
        np.testing.assert_allclose(found.force[coupler], on_coupler, atol=1e-9 * scale)
        np.testing.assert_allclose(found.force[lower] + found.force[upper], [0, 0, WEIGHT], atol=1e-9 * scale)


def test_reactions_do_change_with_the_offset():
    """So that the check above is known to see the offset: 0.3 m on 0.15 m spacing is twice the weight."""
    mechanism = platform("ball")
    q = follow_drive(mechanism, np.array([[0.0]])).q[0]
    coupler, upper = mechanism.body("coupler"), mechanism.body("upper crank")
    load = PointLoad(coupler, np.array([0.3, 0.0, 0.0]), np.array([0.0, 0.0, -WEIGHT]))
    found = joint_reactions(mechanism, no_masses(mechanism), q, loads=[load])
    np.testing.assert_allclose(found.force[upper], [-2.0 * WEIGHT, 0.0, 0.0], atol=1e-9)
