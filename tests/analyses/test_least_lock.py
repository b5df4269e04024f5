"""How near an arm comes to a lock between the nodes of a sweep.

The outside word is the closure's determinant (design: b0 b1 b2 sin sin sin): a stage that a stop
bars is left exactly the stop's angle, a stage that nothing bars goes to its zero. The step of the
sweep must not change either.
"""

import math

import numpy as np
import pytest

from limbs.trial import altered, arms_of
from limbwright.analyses.least_lock import least_lock
from limbwright.analyses.matching import margin_spread
from limbwright.analyses.reach import sweep_reach
from limbwright.limbs.arm_geometry import stage_margins

ARM = arms_of()[0]
DEG = math.pi / 180.0
BOTH_STEPS = (10.0, 3.0)


def least(arm, step):
    found = least_lock(sweep_reach(arm, (20.0 * DEG, step * DEG, step * DEG)))
    assert found is not None
    return found


@pytest.mark.parametrize("stop", [6.0, 10.0, 16.0])
@pytest.mark.parametrize("step", BOTH_STEPS)
def test_beside_a_stop_it_is_the_stop_s_own_angle_at_any_step(stop, step):
    arm = altered(ARM, stops=(stop * DEG,) * 3)
    found = least(arm, step)
    assert found.value == pytest.approx(stop * DEG, abs=1e-6)
    assert found.why == "a stop touches"
    assert found.band[0] < found.value < found.band[1]


@pytest.mark.parametrize("step", BOTH_STEPS)
def test_without_stops_the_range_runs_into_the_lock(step):
    """The trial arm's forearm stage locks at elevation + elbow 179 deg, well inside the range."""
    found = least(altered(ARM, stops=(0.0,) * 3), step)
    assert found.value == 0.0
    assert "change point" in found.why
    assert "no stop" in found.why


def test_a_rod_that_is_too_long_makes_it_a_dead_point():
    """A rod 0.5 mm too long locks the driven end first (worked case: 5.73 deg early at a 400, b 80 mm)."""
    arm = altered(ARM, stops=(0.0,) * 3, rod_shoulder=ARM.geometry.rod_shoulder + 5e-4)
    found = least(arm, 5.0)
    assert found.value == 0.0
    assert "no stop" in found.why


def test_where_the_performer_s_limits_end_the_range_a_coarse_band_holds_the_fine_answer():
    """Crank angles that keep every lock far off, so that no stage bars anything. The fine sweep's
    least, checked against the closed form, must lie in the coarse sweep's band."""
    limits = {"shoulder_flexion": "87 deg", "shoulder_abduction": "87 deg", "elbow_flexion": "43 deg"}
    edits: dict[str, object] = {f"performer.cast.Ash.limits.{name}": value for name, value in limits.items()}
    arm = arms_of({**edits, "limbs.arm.cranks.forearm.angle": "28 deg"})[0]
    coarse, fine = least(arm, 10.0), least(arm, 1.0)
    assert coarse.why == fine.why == ""
    assert coarse.band[0] <= fine.value <= coarse.band[1]
    assert coarse.band[0] < coarse.value - 1e-3
    _, elevation, elbow = fine.drive
    exact = np.abs(stage_margins(arm.geometry, np.array(elevation), np.array(elbow))).min()
    assert fine.value == pytest.approx(exact, abs=1e-9)


def test_the_band_is_the_lengths_own_spread_beside_the_stop():
    arm = altered(ARM, stops=(10.0 * DEG,) * 3)
    reach = sweep_reach(arm, (20.0 * DEG, 10.0 * DEG, 10.0 * DEG))
    found = least_lock(reach)
    assert found is not None
    spread = margin_spread(arm, found.q[None])[0]
    assert found.value - found.band[0] >= spread.max() * 0.5
    assert found.band[1] - found.value <= spread.max() + 1e-12


@pytest.mark.parametrize("step", BOTH_STEPS)
def test_the_pose_it_names_stands_on_the_stop(step):
    """By the closed form, not by the solver: the stage's angle there is the stop's."""
    found = least(altered(ARM, stops=(10.0 * DEG,) * 3), step)
    _, elevation, elbow = found.drive
    exact = np.abs(stage_margins(ARM.geometry, np.array(elevation), np.array(elbow)))
    assert exact.min() == pytest.approx(10.0 * DEG, abs=1e-8)
    assert ("shoulder", "forearm", "relay")[int(exact.argmin())] == found.stage
