"""Position analysis of planar four-bars against worked examples, and against the closed form.

Sources of the examples:
  W1  R. L. Norton, Design of Machinery, the position example of the four-bar with d = 100, a = 40,
      b = 120, c = 80 mm, crank at 40 deg (data from memory; edition and page not checked).
  W2  an example (5.2) of the kind in P. E. Nikravesh, Computer-Aided Analysis of Mechanical Systems:
      0.2, 0.1, 0.3, 0.22 m at 45 deg, printed 0.27212 and 0.75863 rad (found in a public course code).
  W3  a teaching script: 1.5, 1.25, 1.75, 1.8 at 80 deg (found in a public course code).
The printed digits end at 0.001 deg, hence that tolerance. The closed form below (law of cosines on
the diagonal) is exact to rounding, hence 1e-9 deg.
"""

import numpy as np
import pytest

from engine.rigs import Joining, four_bar
from limbwright.engine.closure import follow_drive, frames

PRINTED = 1e-3  # deg
EXAMPLES = [
    # ground, crank, coupler, rocker, crank angle; coupler and rocker as printed; a rough look at the drawing
    pytest.param((0.1, 0.04, 0.12, 0.08), 40, (20.298, 57.325), (30, 70), id="W1 open"),
    pytest.param((0.1, 0.04, 0.12, 0.08), 40, (-60.978, -98.005), (-50, -85), id="W1 crossed"),
    pytest.param((0.2, 0.1, 0.3, 0.22), 45, (15.592, 43.466), (25, 55), id="W2 open"),
    pytest.param((0.2, 0.1, 0.3, 0.22), 45, (-72.942, -100.816), (-60, -90), id="W2 crossed"),
    pytest.param((1.5, 1.25, 1.75, 1.8), 80, (17.532, 77.625), (25, 90), id="W3 open"),
    pytest.param((1.5, 1.25, 1.75, 1.8), 80, (-105.165, -165.258), (-95, -150), id="W3 crossed"),
]


def closed_form(lengths: tuple[float, ...], crank_deg: float, branch: int) -> np.ndarray:
    """Coupler and rocker angles [deg] by the law of cosines on the diagonal from crank pin to far pivot."""
    ground, crank, coupler, rocker = lengths
    pin = crank * np.exp(1j * np.radians(crank_deg))
    diagonal = ground - pin
    cosine = (abs(diagonal) ** 2 + coupler**2 - rocker**2) / (2 * abs(diagonal) * coupler)
    coupler_angle = np.angle(diagonal) + branch * np.arccos(cosine)
    end = pin + coupler * np.exp(1j * coupler_angle)
    return np.degrees([coupler_angle, np.angle(end - ground)])


def solved(
    lengths: tuple[float, ...], crank_deg: float, guess: tuple[float, float], joining: Joining
) -> np.ndarray:
    """Coupler and rocker angles [deg] read off the solved bodies' frames."""
    rig = four_bar(*lengths, guess=tuple(np.radians([crank_deg, *guess])), joining=joining)
    mechanism = rig.assemble()
    placed = frames(mechanism, mechanism.assembled)
    tip = placed.point(mechanism.body("crank"), np.array([lengths[1], 0.0, 0.0]))
    end = placed.point(mechanism.body("rocker"), np.array([lengths[3], 0.0, 0.0]))
    coupler, rocker = end - tip, end - np.array([lengths[0], 0.0, 0.0])
    return np.degrees(np.arctan2([coupler[1], rocker[1]], [coupler[0], rocker[0]]))


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
@pytest.mark.parametrize(("lengths", "crank", "printed", "guess"), EXAMPLES)
def test_worked_example(lengths, crank, printed, guess, joining):
    got = solved(lengths, crank, guess, joining)
    np.testing.assert_allclose(got, printed, atol=PRINTED)
    branch = 1 if guess[0] > 0 else -1
    np.testing.assert_allclose(got, closed_form(lengths, crank, branch), atol=1e-9)


def test_radians_of_the_second_example():
    """Printed in radians too: 0.27212 and 0.75863, to half of the last digit and rounding."""
    got = np.radians(solved((0.2, 0.1, 0.3, 0.22), 45, (25, 55), "pin"))
    np.testing.assert_allclose(got, [0.27212, 0.75863], atol=1e-5)


@pytest.mark.parametrize("branch", [1, -1])
def test_branch_holds_through_a_whole_turn(branch):
    """A crank-rocker (Grashof: shortest + longest <= the rest) turns fully on either assembly."""
    lengths = (0.1, 0.04, 0.12, 0.08)
    start = np.radians([40, *((20, 57) if branch == 1 else (-61, -98))])
    mechanism = four_bar(*lengths, guess=tuple(start), joining="ball").assemble()
    crank = np.radians(np.linspace(40, 400, 361))
    poses = follow_drive(mechanism, crank[:, None])
    want = np.array([closed_form(lengths, np.degrees(c), branch) for c in crank])
    coupler = np.degrees(poses.q[:, 0] + poses.q[:, 1])
    got = np.column_stack([coupler, np.degrees(poses.q[:, 2])])
    assert np.max(np.abs((got - want + 180) % 360 - 180)) < 1e-9
