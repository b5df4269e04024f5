"""The suit's mass and centre: sums by hand, and the centre's band against every corner of a small suit."""

import itertools

import numpy as np
import pytest

from limbs.by_trig import exact_points
from limbs.trial import arms_of, suit_of
from limbwright.analyses.mass_budget import MassBudget, weigh
from limbwright.limbs.arm_masses import arm_items


def budget(edits: dict[str, object]) -> MassBudget:
    return weigh(suit_of(edits), arms_of(edits))


MILLIGRAM = {"value": "0.001 g", "range": ["0.001 g", "0.001 g"], "basis": "weighed"}
LIGHT: dict[str, object] = {  # links that weigh next to nothing, known to the milligram
    f"limbs.arm.{link}.mass": MILLIGRAM
    for link in (
        "mast", "driver", "carrier", "performer_forearm", "character_forearm", "relay", "rods.shoulder",
        "rods.forearm", "rods.relay",
    )
}  # fmt: skip


def test_total_is_the_sum_of_the_things():
    found = budget({})
    suit, arms = suit_of(), arms_of()
    links = [i for arm in arms for i in arm_items(suit, arm)]
    assert len(found.items) == len(links) + 1 + 2 + 1  # harness, stilts, head
    by_hand = sum(i.mass for i in links) + 4.0 + 2 * 1.5 + 1.5
    assert found.total == pytest.approx(by_hand, rel=1e-12)
    assert found.total == pytest.approx(sum(i.mass for i in found.items), rel=1e-12)
    low = sum(i.ends[0] for i in links) + 3.5 + 2 * 1.4 + 1.2
    high = sum(i.ends[1] for i in links) + 5.0 + 2 * 1.6 + 2.0
    assert found.band == pytest.approx((low, high), rel=1e-12)
    assert not any(i.name.startswith("own ") for i in found.items)  # the performer is no part of the suit


def test_centre_is_the_first_moment():
    found = budget({})
    moment = sum(i.mass * i.centre for i in found.items)
    np.testing.assert_allclose(found.centre, moment / found.total, atol=1e-12)


def test_a_mirrored_suit_has_its_centre_in_the_middle():
    found = budget({})
    assert found.centre[1] == pytest.approx(0.0, abs=1e-12)
    sides = {side: [i for i in found.items if f", {side})" in i.name] for side in ("right", "left")}
    for right, left in zip(sides["right"], sides["left"], strict=True):
        np.testing.assert_allclose(right.centre * [1, -1, 1], left.centre, atol=1e-12)


def test_places_by_hand():
    """A known mass at the character's hand and nothing else to speak of: carried where trigonometry puts
    it."""
    parts = [
        {"name": "bell", "on": "arm/character_hand", "side": "left", "mass": "2 kg", "centre": ["0 mm"] * 3}
    ]
    edits = {**LIGHT, "parts": parts, "stilts": None}
    found = budget(edits)
    left = arms_of(edits)[1]
    bell = next(i for i in found.items if i.name.startswith("bell"))
    np.testing.assert_allclose(bell.centre, exact_points(left.geometry, left.assembled)["W'"], atol=1e-12)
    np.testing.assert_allclose(next(i for i in found.items if i.name == "harness").centre, [-0.08, 0, 1.6])
    assert not any("stilt" in i.name for i in found.items)


def test_parts_on_parts_of_the_harness():
    """From that part's centre, in the harness's axes."""
    parts = [
        {"name": "head", "on": "harness", "mass": "1 kg", "centre": ["60 mm", "0 mm", "2700 mm"]},
        {"name": "horn", "on": "head", "mass": "100 g", "centre": ["10 mm", "20 mm", "150 mm"]},
        {"name": "bell", "on": "horn", "mass": "50 g", "centre": ["0 mm", "5 mm", "-30 mm"]},
    ]
    found = {i.name: i for i in budget({"parts": parts}).items}
    np.testing.assert_allclose(found["horn"].centre, [0.07, 0.02, 2.85], atol=1e-12)
    np.testing.assert_allclose(found["bell"].centre, [0.07, 0.025, 2.82], atol=1e-12)


def test_centres_band_is_that_of_every_corner():
    """2^n corners, each mass at either end of its range. The extremes of a ratio of sums lie at corners
    (linear-fractional programming), so brute force over them is the truth."""
    rng = np.random.default_rng(12)
    parts = [
        {
            "name": f"part {k}", "on": "harness",
            "centre": ["0 mm", "0 mm", f"{rng.uniform(300, 3000):.1f} mm"],
            "mass": {"value": f"{m:.3f} kg", "range": [f"{m * 0.5:.4f} kg", f"{m * 1.8:.4f} kg"]},
        }
        for k, m in enumerate(rng.uniform(0.2, 3.0, 8))
    ]  # fmt: skip
    found = budget({**LIGHT, "parts": parts, "limbs.arm.mirrored": "false"})
    ends = np.array([i.range or (i.mass, i.mass) for i in found.items])
    heights = np.array([i.centre[2] for i in found.items])
    loose = np.flatnonzero(ends[:, 1] - ends[:, 0] > 1e-3)
    assert 13 <= len(loose) <= 18
    base, first = ends[:, 0].sum(), ends[:, 0] @ heights
    spans = ends[loose, 1] - ends[loose, 0]
    corners = np.array(list(itertools.product((0.0, 1.0), repeat=len(loose)))) * spans
    centres = (first + corners @ heights[loose]) / (base + corners.sum(axis=1))
    assert found.height_band[0] == pytest.approx(centres.min(), abs=2e-6)
    assert found.height_band[1] == pytest.approx(centres.max(), abs=2e-6)
    assert found.height_band[0] < found.centre[2] < found.height_band[1]


def test_masses_without_a_range_are_named():
    found = budget({"harness.mass": "4 kg", "parts.2.mass": "1.5 kg"})
    assert found.unstated == ("harness", "head")
