"""What length errors do to the forearm, and the cranks that keep it small."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limbwright.analyses.matching import matching_at
from limbwright.engine.closure import follow_drive
from limbwright.limbs.arm_geometry import LENGTHS, ArmGeometry
from limbwright.limbs.worn_arm import WornArm, wear_arms
from limbwright.model.body import complete_body
from limbwright.model.suit_file import load_suit
from limbwright.search.crank_lengths import (
    LONGEST_CRANK,
    MATCHING,
    crank_lengths,
    forearm_sensitivity,
    likely_turn,
    with_cranks,
)

MM = 0.001


@pytest.fixture(scope="module")
def worn(demo_suit_path: Path) -> WornArm:
    suit = load_suit(demo_suit_path)
    return wear_arms(suit, complete_body(suit.active))[0]


def square(geometry: ArmGeometry) -> ArmGeometry:
    """Cranks of 80 mm; at elevation 60 and elbow 45 deg every one of them is square to its rod."""
    return replace(
        with_cranks(geometry, (0.08, 0.08, 0.08)),
        mast_lean=0.0,
        angle_shoulder=math.radians(30.0),
        angle_forearm=math.radians(-15.0),
        angle_relay=math.radians(45.0),
    )


def at(elevation: float, elbow: float) -> tuple[np.ndarray, np.ndarray]:
    return np.radians(np.array([elevation])), np.radians(np.array([elbow]))


@settings(max_examples=20)
@given(elevation=st.floats(0.15, 2.6), elbow=st.floats(0.0, 2.3))
def test_the_formula_is_the_jacobian_s_own_answer(worn: WornArm, elevation: float, elbow: float) -> None:
    """Against the first-order solution of the mechanism's closure equations."""
    geometry = worn.geometry
    places = (
        elevation + geometry.angle_shoulder - geometry.mast_angle,
        elevation + elbow + geometry.angle_forearm - geometry.mast_angle,
        elbow + geometry.angle_relay,
    )
    if min(abs(math.sin(place)) for place in places) < math.sin(0.15):
        return  # next to a lock both grow without bound
    pose = follow_drive(worn.mechanism, np.array([[0.3, elevation, elbow]]))
    if pose.outcome[0] != 0:
        return
    expected = matching_at(worn, pose.q).sensitivity
    found = forearm_sensitivity(geometry, np.array([elevation]), np.array([elbow]))
    np.testing.assert_allclose(found, expected, atol=1e-5 * np.abs(expected).max())


def test_every_length_was_reached_by_that_comparison(worn: WornArm) -> None:
    found = forearm_sensitivity(worn.geometry, *at(70.0, 50.0))
    assert set(np.array(LENGTHS)[np.abs(found[0]) > 1e-3]) == set(LENGTHS)


@pytest.mark.parametrize(("angle", "turn"), [(90.0, 0.36), (20.0, 1.05), (10.0, 2.06)])
def test_one_stage_turns_by_d_over_b_sin(worn: WornArm, angle: float, turn: float) -> None:
    """b = 80 mm, d = 0.5 mm: d / (b sin theta); the exact angles are 0.36, 1.07 and 2.27 deg."""
    geometry = square(worn.geometry)
    found = forearm_sensitivity(geometry, *at(60.0, 45.0 - (90.0 - angle)))
    relay = float(np.degrees(found[0, LENGTHS.index("rod_relay")]) * 0.5 * MM)
    assert abs(relay) == pytest.approx(turn, abs=0.006)


def test_the_shoulder_s_error_reaches_the_forearm_by_way_of_the_relay(worn: WornArm) -> None:
    # t0 = d/b0 moves the relay's pin by relay_at t0 across the carrier; sin(mu - th) of it is along the
    # forearm rod, which turns by that much over b1
    geometry = square(worn.geometry)
    found = forearm_sensitivity(geometry, *at(60.0, 45.0))[0, LENGTHS.index("rod_shoulder")]
    by_hand = (1.0 / 0.08) * geometry.relay_at * math.sin(math.radians(120.0)) / 0.08
    assert abs(found) == pytest.approx(by_hand, rel=1e-12)


@pytest.mark.parametrize("step", [MM, 0.0254 / 16.0])
def test_cranks_are_the_shortest_that_keep_the_forearms_parallel(worn: WornArm, step: float) -> None:
    geometry = replace(square(worn.geometry), trimmed=())
    poses = np.radians(np.array([[40.0, 50.0], [60.0, 45.0], [80.0, 60.0]]))
    found = crank_lengths(geometry, (None, None, None), poses[:, 0], poses[:, 1], 0.02, step)
    np.testing.assert_allclose(np.array(found) / step, np.round(np.array(found) / step), atol=1e-9)
    assert found[1] == found[2]

    def worst(lengths: tuple[float, float, float]) -> float:
        return float(likely_turn(with_cranks(geometry, lengths), poses[:, 0], poses[:, 1]).max())

    assert worst(found) <= MATCHING
    a, b, c = found
    assert worst((a - step, b, c)) > MATCHING or worst((a, b - step, c - step)) > MATCHING
    # no other pair that is good enough is shorter altogether by more than a few steps
    least = min(
        x + y
        for x in np.arange(0.02, LONGEST_CRANK, 2.0 * MM)
        for y in np.arange(0.02, LONGEST_CRANK, 2.0 * MM)
        if worst((float(x), float(y), float(y))) <= MATCHING
    )
    assert a + b <= least + 0.008


def test_a_crank_that_stands_is_worked_around(worn: WornArm) -> None:
    geometry = replace(square(worn.geometry), trimmed=())
    th, fl = at(60.0, 45.0)
    free = crank_lengths(geometry, (None, None, None), th, fl, 0.02, MM)
    bound = crank_lengths(geometry, (None, 0.03, 0.03), th, fl, 0.02, MM)
    assert bound[1:] == (0.03, 0.03)
    assert bound[0] > free[0]


def test_cranks_stop_at_what_a_shell_hides(worn: WornArm) -> None:
    rough = replace(square(worn.geometry), trimmed=(), tolerance=dict.fromkeys(LENGTHS, 0.02))
    found = crank_lengths(rough, (None, None, None), *at(60.0, 45.0), 0.02, MM)
    np.testing.assert_allclose(found, LONGEST_CRANK)


def test_rods_with_trim_are_judged_as_the_check_judges_them(worn: WornArm) -> None:
    assert worn.geometry.trimmed
    pose = follow_drive(worn.mechanism, np.array([[0.3, 0.9, 0.8]]))
    found = likely_turn(worn.geometry, np.array([0.9]), np.array([0.8]))
    np.testing.assert_allclose(found, matching_at(worn, pose.q).trimmed_likely, rtol=1e-5)
    plain = likely_turn(replace(worn.geometry, trimmed=()), np.array([0.9]), np.array([0.8]))
    np.testing.assert_allclose(plain, matching_at(worn, pose.q).likely, rtol=1e-5)
