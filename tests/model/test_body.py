"""limbwright.model.body and .measures: a whole body from a few measures."""

import math

import numpy as np
import pytest

from limbwright.model.body import complete_body
from limbwright.model.performer import Performer
from limbwright.model.quantity import Toleranced
from limbwright.reference import segment_inertia as inertia
from limbwright.reference.body_dimensions import DIMENSION_NAMES, index_of, load_body_table


def performer(sex="female", stature=1.730, mass=68.0, plus_minus=0.005, **measured):
    return Performer(
        sex=sex,
        stature=Toleranced(stature, plus_minus),
        body_mass=Toleranced(mass),
        measured=measured,
    )


def test_stature_and_body_mass_are_enough():
    body = complete_body(performer())
    assert set(body.dimensions) == set(DIMENSION_NAMES)
    assert body.warnings == ()
    assert body.stature.value == 1.730
    assert body.stature.sd == pytest.approx(0.0025)  # +/- is two sd
    assert body.stature.basis == "measured"
    assert body.dimensions["span"].basis == "published"
    assert "stature, body_mass" in body.dimensions["span"].source


@pytest.mark.parametrize("sex", ["female", "male"])
def test_the_mean_performer_gets_the_mean_body(sex):
    """ANSUR II means; e.g. mean women's acromion-radiale 311.2 mm, men's 335.2 mm."""
    mean = load_body_table(sex).mean
    body = complete_body(performer(sex, mean[index_of("stature")], mean[index_of("body_mass")], 0.001))
    found = [body.dimensions[name].value for name in DIMENSION_NAMES]
    np.testing.assert_allclose(found, mean, rtol=1e-6)
    published = {"female": 0.3112, "male": 0.3352}[sex]
    assert body.dimensions["acromion_radiale_length"].value == pytest.approx(published, abs=6e-5)


def test_measuring_an_arm_narrows_what_hangs_on_it():
    plain = complete_body(performer())
    taped = complete_body(performer(acromion_radiale_length=Toleranced(0.322, 0.005)))
    assert taped.dimensions["acromion_radiale_length"].value == 0.322
    assert taped.dimensions["acromion_radiale_length"].sd == pytest.approx(0.0025)
    for name in ("shoulder_elbow_length", "radiale_stylion_length", "span"):
        assert taped.dimensions[name].sd < plain.dimensions[name].sd
        assert taped.dimensions[name].value < plain.dimensions[name].value  # a short arm
    assert taped.upper_arm.sd < plain.upper_arm.sd


def test_a_measure_without_plus_minus_says_what_was_assumed():
    body = complete_body(performer(biacromial_breadth=Toleranced(0.372)))
    assert body.dimensions["biacromial_breadth"].sd == pytest.approx(0.005)
    assert "10 mm assumed" in body.dimensions["biacromial_breadth"].source
    assert "1 kg assumed" in body.body_mass.source


def test_upper_arm_worked_by_hand():
    """322 mm x .8297 = 267.2 mm; sd: .8297 x 2.5 mm and 322 mm x .025, root sum square 8.3 mm."""
    body = complete_body(performer(acromion_radiale_length=Toleranced(0.322, 0.005)))
    assert body.upper_arm.value == pytest.approx(0.2672, abs=1e-4)
    assert body.upper_arm.sd == pytest.approx(math.hypot(0.8297 * 0.0025, 0.322 * 0.025), rel=1e-3)
    assert body.upper_arm.basis == "assumed"
    assert "de Leva" in body.upper_arm.source


def test_shoulder_centre_lies_below_and_inside_the_acromion():
    body = complete_body(
        performer(
            acromion_radiale_length=Toleranced(0.322, 0.005),
            biacromial_breadth=Toleranced(0.372, 0.006),
            acromial_height=Toleranced(1.420, 0.008),
        )
    )
    assert body.shoulder_out.value == pytest.approx(0.186 - 0.010)
    assert body.shoulder_out.sd == pytest.approx(math.hypot(0.0015, 0.008))
    assert body.shoulder_up.value == pytest.approx(1.420 - 0.104 * 0.322)
    assert body.shoulder_up.sd == pytest.approx(math.hypot(0.004, 0.010))
    assert body.shoulder_forward.sd is not None


def test_hand_to_grip_of_a_median_man():
    """Printed medians: 348.5 - (480 - 193) = 61.5 mm from the radius's tip, less the wrist's 2."""
    body = complete_body(performer("male", 1.7562, 85.52))
    assert 1e3 * body.hand_to_grip.value == pytest.approx(59.5, abs=1.5)
    assert body.hand_to_grip.sd > 0.005


@pytest.mark.parametrize(("sex", "total"), [("female", 0.9999), ("male", 1.0), ("pooled", 0.99995)])
def test_segment_masses_add_up_to_the_body(sex, total):
    body = complete_body(performer(sex))
    mass = sum(segment.mass * (2 if name in inertia.PAIRED else 1) for name, segment in body.segments.items())
    assert mass == pytest.approx(total * 68.0)


def test_segments_scale_the_published_shares():
    body = complete_body(performer())
    arm = body.segments["upper_arm"]
    assert arm.mass == pytest.approx(0.0255 * 68.0)
    assert arm.length == body.upper_arm.value
    assert arm.centre == pytest.approx(0.5754 * body.upper_arm.value)
    assert arm.gyration[1] == pytest.approx(0.260 * body.upper_arm.value)
    assert body.upper_arm_centre_dempster == pytest.approx(0.436 * body.upper_arm.value)
    assert body.segments["hand"].length == body.dimensions["hand_length"].value


def test_a_slip_of_the_tape_is_pointed_out():
    """100 mm too long is about nine standard deviations off; body and sex as they are."""
    body = complete_body(performer(acromion_radiale_length=Toleranced(0.422, 0.005)))
    assert body.warnings
    assert body.warnings[0].startswith("acromion_radiale_length 422 mm is ")
    assert "the other measures lead to expect" in body.warnings[0]


def test_a_mistaken_unit_is_pointed_out():
    assert complete_body(performer(stature=1.730 / 2.54)).warnings[0].startswith("stature 681 mm")
    assert complete_body(performer(mass=68.0 / 2.2046 * 5)).warnings[0].startswith("body_mass 154.2")


def test_every_step_states_its_basis_and_source():
    body = complete_body(performer("pooled"))
    steps = ("upper_arm", "forearm", "hand_to_grip", "shoulder_out", "shoulder_up")
    for name in (*steps, "shoulder_forward"):
        estimate = getattr(body, name)
        assert estimate.sd > 0.0
        assert estimate.source
        assert estimate.basis == "assumed"  # the step from landmark to centre always is
