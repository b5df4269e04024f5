"""Knowing less must never pass more, and what cannot be built is refused by its own field.

The rules are the project's own (unknown is never a pass); pin spacing of two diameters and the spread
of unstated masses are common practice, no source.
"""

import pytest

from limbs.trial import arms_of, suit_of
from limbwright.analyses.assess import assess
from limbwright.analyses.reach import sweep_reach
from limbwright.core.errors import SuitError

DEG = 0.017453292519943295


def findings(edits: dict[str, object]):
    return {f.key: f for f in assess(suit_of(edits)).findings}


def test_a_mass_without_a_range_has_no_narrower_band_than_one_with():
    stated = findings({})["suit.mass"]
    bare = findings({"harness.mass": "4 kg", "parts.2.mass": "1.5 kg"})["suit.mass"]
    assert bare.value == pytest.approx(stated.value)
    assert bare.band[0] < stated.band[0]
    assert bare.band[1] > stated.band[1]
    assert "harness" in bare.where


def test_without_a_lock_target_no_margin_is_a_pass():
    assert findings({"targets.lock_margin": None})["arm.lock.least"].verdict == "unknown"


def test_without_stops_the_lock_itself_is_reached_and_falls_short():
    found = findings({"limbs.arm.stops": "0 deg"})["arm.lock.least"]
    assert found.value == 0.0
    assert found.verdict == "falls short"


def test_the_park_pin_is_a_pose_like_any_other():
    held = findings({"limbs.arm.park_pin": {"elevation": "45 deg", "elbow": "40 deg"}})
    assert held["arm.poses.taken"].value == held["arm.poses.taken"].limit == 3.0
    beyond = findings({"limbs.arm.park_pin": {"elevation": "0 deg", "elbow": "0 deg"}})["arm.poses.taken"]
    assert beyond.verdict == "falls short"
    assert "park pin: " in beyond.where


def test_a_tape_measure_that_fits_no_body_falls_short():
    found = findings({"performer.cast.Ash.measured.acromion_radiale_length": "222 mm"})
    assert found["performer.measures"].verdict == "falls short"
    assert "performer.measures" not in findings({})


def test_a_swivel_off_the_shoulder_is_told_with_its_slip():
    """Slip 2 e sin(p/2): 20 mm over 90 deg is 28 mm (worked case of the job's own fact base)."""
    off = {"limbs.arm.swivel.out": "20 mm", "limbs.arm.swivel.forward": "0 mm", "limbs.arm.swivel.up": "0 mm"}
    (note,) = (n for n in assess(suit_of(off)).notes if "swivel" in n)
    assert "20 mm off" in note
    assert "about 28 mm" in note


def test_heights_say_that_the_trunk_is_taken_upright():
    assert "trunk upright" in findings({"lean": "20 deg"})["arm.hand.highest"].where
    assert "trunk upright" not in findings({})["arm.hand.highest"].where


@pytest.mark.parametrize(
    ("edits", "field", "words"),
    [
        (
            {"limbs.arm.cranks.relay.length": "12 mm"},
            "limbs.arm.cranks.relay.length",
            "keep them 16.0 mm apart",
        ),
        ({"limbs.arm.stops": "65 deg"}, "limbs.arm.stops", "touches in the assembled pose 'rest'"),
        ({"limbs.arm.relay_at": "200 mm"}, "limbs.arm.relay_at", "as far out as the driver is long"),
    ],
)
def test_what_cannot_be_built_is_refused_by_its_own_field(edits, field, words):
    with pytest.raises(SuitError) as refused:
        arms_of(edits)
    assert refused.value.field == field
    assert words in str(refused.value)


def test_a_stop_that_just_touches_the_assembled_pose_is_allowed():
    """The relay stage of 'rest' stands at elbow 40 + crank angle 20 = 60 deg from its lock."""
    assert arms_of({"limbs.arm.stops": {"shoulder": "10 deg", "forearm": "10 deg", "relay": "60 deg"}})


def test_a_coarse_share_s_band_holds_the_fine_share():
    arm = arms_of()[0]
    coarse = sweep_reach(arm, (20 * DEG, 10 * DEG, 10 * DEG))
    fine = sweep_reach(arm, (20 * DEG, 2 * DEG, 2 * DEG))
    low, high = coarse.share_band
    assert low < fine.usable_share < high
    assert fine.share_band[1] - fine.share_band[0] < high - low
