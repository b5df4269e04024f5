"""Where the character's hand goes, by hand trigonometry over every usable node, and its speed ratio."""

import math

import numpy as np
import pytest

from limbs.by_trig import exact_points
from limbs.trial import arms_of
from limbwright.analyses.reach import Reach, sweep_reach
from limbwright.analyses.travel import LEAST_LEADER, Travel, hand_travel
from limbwright.limbs.parallel_arm import Drive

ARMS = {arm.side: arm for arm in arms_of({"limbs.arm.swivel.lean_out": "7 deg"})}
STEPS = tuple(math.radians(v) for v in (40.0, 20.0, 20.0))


@pytest.fixture(scope="module", params=["right", "left"])
def swept(request) -> tuple[Reach, Travel, np.ndarray, np.ndarray]:
    """Also the tips by hand (node, 3), and the rates (node, tip and grip, 3, driven) by differences of
    them."""
    arm = ARMS[request.param]
    found = sweep_reach(arm, STEPS)
    travel = hand_travel(arm, found.poses(found.usable))
    assert travel is not None
    tips, rates, step = [], [], 1e-5
    for swing, elevation, elbow in found.flood.driven(found.usable):
        drive = np.array([swing, elevation, elbow])
        tips.append(exact_points(arm.geometry, Drive(*drive))["T'"])
        columns = []
        for i in range(3):
            ends = [exact_points(arm.geometry, Drive(*(drive + s * step * np.eye(3)[i]))) for s in (1, -1)]
            columns.append([(ends[0][p] - ends[1][p]) / (2 * step) for p in ("T'", "G")])
        rates.append(np.moveaxis(np.array(columns), 0, -1))
    return found, travel, np.array(tips), np.array(rates)


def test_extremes_are_those_of_every_pose(swept):
    found, travel, tips, _ = swept
    shoulder = found.arm.geometry.shoulder
    level = np.linalg.norm((tips - shoulder)[:, :2], axis=1)
    assert travel.highest == pytest.approx(tips[:, 2].max(), abs=1e-8)
    assert travel.lowest == pytest.approx(tips[:, 2].min(), abs=1e-8)
    assert travel.widest == pytest.approx(level.max(), abs=1e-8)
    # and they are told at poses that have them
    assert tips[travel.highest_at, 2] == pytest.approx(travel.highest, abs=1e-8)
    assert tips[travel.lowest_at, 2] == pytest.approx(travel.lowest, abs=1e-8)
    assert level[travel.widest_at] == pytest.approx(travel.widest, abs=1e-8)


def test_reach_is_bounded_by_the_links(swept):
    """Triangle inequality: never farther from the mast's head than carrier, forearm and hand laid end to
    end."""
    found, travel, _, _ = swept
    g = found.arm.geometry
    arm = g.carrier + g.character_forearm + g.character_hand
    assert travel.widest <= arm + g.mast * math.sin(abs(g.mast_lean) + abs(g.lean_out)) + 1e-9
    assert travel.highest <= g.shoulder[2] + g.mast + arm


def test_speed_ratio_over_every_pose(swept):
    """Generalised eigenvalues of F^T F against L^T L are the squared ratios (Rayleigh quotient); only where
    the performer's hand moves every way by 50 mm/rad at least."""
    found, travel, _, rates = swept
    greatest, least = [], []
    for follower, leader in rates:
        if np.linalg.svd(leader, compute_uv=False)[-1] <= LEAST_LEADER:
            continue
        squares = np.linalg.eigvals(np.linalg.solve(leader.T @ leader, follower.T @ follower)).real
        greatest.append(math.sqrt(squares.max()))
        least.append(math.sqrt(max(squares.min(), 0.0)))
    assert travel.ratio_greatest == pytest.approx(max(greatest), rel=1e-5)
    assert travel.ratio_least == pytest.approx(min(least), rel=1e-5)
    assert travel.ratio_share == pytest.approx(len(greatest) / len(found.usable), abs=1e-12)
    assert travel.ratio_greatest >= travel.ratio_least > 0.0


def test_nothing_usable_no_travel():
    assert hand_travel(ARMS["right"], np.zeros((0, 6))) is None


def test_no_ratio_where_none_is_bounded():
    """The elbow straight in every pose: the performer's hand cannot move along the arm."""
    arm = ARMS["right"]
    q = np.array([[1.0, e, 0.0, e, 0.0, 0.0] for e in (0.6, 0.9, 1.2)])
    travel = hand_travel(arm, q)
    assert travel is not None
    assert math.isnan(travel.ratio_greatest)
    assert math.isnan(travel.ratio_least)
    assert travel.ratio_share == 0.0
