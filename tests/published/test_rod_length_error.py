"""A rod of the wrong length in a parallelogram: the copy's angle error, and the lock-up it causes.

Source: the four-bar with ground and rod a, cranks b and rod a + d, by the law of cosines. The pins'
distance is |P1 - O2| at most b more or less, so the exact locks are
    long rod:  |P1 - O2| = a - b + d   (near 0 deg),   short rod:  |P1 - O2| = a + b - d   (near 180 deg)
and to first order the angle error is -d / (b sin theta). For a = 400, b = 80, d = 0.5 mm these give
0.36, 1.07 and 2.27 deg at 90, 20 and 10 deg, and locks 5.734 and 7.020 deg from the change points.
"""

import numpy as np
import pytest

from engine.rigs import four_bar
from limbwright.engine.closure import closure_jacobian, follow_drive
from limbwright.engine.mechanism import Mechanism
from limbwright.engine.mobility import drops_rank
from limbwright.engine.outcome import Outcome

A, B = 0.400, 0.080  # m
LIMIT = 1e-8  # m, small enough that the next order of the error is under a thousandth of it


def parallelogram(d: float, joining: str = "rod", start_deg: float = 90.0) -> Mechanism:
    start = np.radians(start_deg)
    return four_bar(A, B, A + d, B, guess=(start, 0.0, start), joining=joining).assemble()


def error_deg(d: float, theta_deg: float, joining: str) -> float:
    """How far the copied crank stands from the copying one [deg]."""
    mechanism = parallelogram(d, joining)
    poses = follow_drive(mechanism, np.radians([[theta_deg]]))
    assert poses.outcome[0] == Outcome.CLOSED
    return float(np.degrees(poses.q[0, -1])) - theta_deg


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
@pytest.mark.parametrize("theta", [10.0, 20.0, 45.0, 90.0, 135.0, 170.0])
def test_error_tends_to_d_over_b_sin_theta(theta, joining):
    got = error_deg(LIMIT, theta, joining)
    want = -np.degrees(LIMIT / (B * np.sin(np.radians(theta))))
    assert got == pytest.approx(want, rel=1e-3 / 2)  # three digits


@pytest.mark.parametrize(("theta", "printed"), [(90.0, 0.36), (20.0, 1.07), (10.0, 2.27)])
def test_exact_error_of_half_a_millimetre(theta, printed):
    """Half a unit of the last printed digit; the long rod pushes the copy back towards the far side."""
    assert -error_deg(0.0005, theta, "rod") == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize("theta", [10.0, 20.0, 90.0, 160.0])
def test_exact_error_by_the_law_of_cosines(theta):
    pin = B * np.exp(1j * np.radians(theta))
    back = pin - A  # from the far pivot to the near pin
    cosine = (abs(back) ** 2 + B**2 - (A + 0.0005) ** 2) / (2 * abs(back) * B)
    want = np.degrees(np.angle(back) - np.arccos(cosine)) - theta
    assert error_deg(0.0005, theta, "ball") == pytest.approx(want, abs=1e-8)


def lock_deg(d: float, towards_deg: float, joining: str) -> float:
    """Crank angle at which the solve first fails on the way from 90 deg [deg], by bisection."""
    mechanism = parallelogram(d, joining)
    good, bad = 90.0, towards_deg
    while abs(good - bad) > 1e-9:
        middle = 0.5 * (good + bad)
        outcome = follow_drive(mechanism, np.radians([[middle]])).outcome[0]
        good, bad = (middle, bad) if outcome == Outcome.CLOSED else (good, middle)
    return 0.5 * (good + bad)


def exact_lock_deg(distance: float) -> float:
    """Crank angle at which the near pin is `distance` from the far pivot [deg]."""
    return float(np.degrees(np.arccos((A**2 + B**2 - distance**2) / (2 * A * B))))


@pytest.mark.parametrize("joining", ["rod", "ball"])
def test_a_rod_half_a_millimetre_long_locks_before_the_change_point(joining):
    found = lock_deg(0.0005, 0.0, joining)
    assert found == pytest.approx(5.734, abs=0.0005)
    assert found == pytest.approx(exact_lock_deg(A - B + 0.0005), abs=1e-5)
    rule = np.degrees(np.sqrt(2 * 0.0005 * (A - B) / (A * B)))  # first order; prints 5.73 as well
    assert found == pytest.approx(rule, abs=0.005)


@pytest.mark.parametrize("joining", ["rod", "ball"])
def test_a_rod_half_a_millimetre_short_locks_at_the_far_one(joining):
    found = 180.0 - lock_deg(-0.0005, 180.0, joining)
    assert found == pytest.approx(7.020, abs=0.0005)
    assert found == pytest.approx(180.0 - exact_lock_deg(A + B - 0.0005), abs=1e-5)


def test_build_error_turns_the_change_point_into_a_dead_point():
    """Exact: rank of the whole Jacobian drops at 0 deg, the motion may divide. Long: only the copy's column
    vanishes, at the lock, so the driver cannot pass (design: change point against dead point)."""
    exact = parallelogram(0.0)
    straight = np.zeros(2)
    jacobian = closure_jacobian(exact, straight)
    assert drops_rank(jacobian, jacobian[:, exact.linkage.dependent]) == (True, True)

    long = parallelogram(0.0005)
    crank = np.arccos((A**2 + B**2 - (A - B + 0.0005) ** 2) / (2 * A * B))
    pin = B * np.exp(1j * crank)
    locked = np.array([crank, np.angle(A - pin)])  # rod and copying crank in one line
    jacobian = closure_jacobian(long, locked)
    assert drops_rank(jacobian, jacobian[:, long.linkage.dependent]) == (False, True)


def test_a_failed_pose_says_so_with_the_length_it_misses():
    """At 3 deg the long rod cannot go in: it is too long by (a + d) - (|P1 - O2| + b)."""
    mechanism = parallelogram(0.0005)
    poses = follow_drive(mechanism, np.radians([[6.5], [3.0]]))
    reach = abs(B * np.exp(1j * np.radians(3.0)) - A) + B
    assert poses.outcome[0] == Outcome.CLOSED
    # the solve stops at the first stride that fails, on the way to 3 deg: never more than the miss there
    assert poses.outcome[1] == Outcome.CANNOT_CLOSE
    assert 0.0 < poses.miss[1] <= (A + 0.0005 - reach) * (1 + 1e-6)
