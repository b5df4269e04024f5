"""de Leva P. 1996, J Biomech 29:1223-1230, table 4 (adjusted Zatsiorsky-Seluyanov)."""

import numpy as np
import pytest

from limbwright.core.errors import LimbwrightError
from limbwright.reference import segment_inertia as inertia


def body_share(sex):
    return sum(
        inertia.segment_shares(name, sex).mass * (2 if name in inertia.PAIRED else 1)
        for name in inertia.SEGMENTS
    )


def test_segment_masses_sum_to_one_as_printed():
    assert body_share("male") == pytest.approx(1.0000, abs=1e-12)
    assert body_share("female") == pytest.approx(0.9999, abs=1e-12)  # rounding of the table
    assert body_share("pooled") == pytest.approx(0.99995, abs=1e-12)


def test_head_has_no_slipped_decimal():
    # copies of the table with 0.694 for the man's head are about; the print has 0.0694
    assert inertia.segment_shares("head", "male").mass == 0.0694
    assert inertia.segment_shares("head", "female").mass == 0.0668  # not .0669


def test_arm_centres_are_counted_from_the_shoulder_and_the_elbow():
    # copies that count them from the far end are about, too
    assert inertia.segment_shares("upper_arm", "male").centre == 0.5772
    assert inertia.segment_shares("forearm", "female").centre == 0.4559


def test_hand_rows_of_two_definitions_agree():
    """Wrist to third knuckle and wrist to fingertip are one hand: same centre, same radii.

    Sample lengths wrist centre to third knuckle 86.2 mm (men) and 78.0 mm (women).
    """
    for sex, knuckle, centre, radius in (
        ("male", 0.0862, 0.7900, 0.628),
        ("female", 0.0780, 0.7474, 0.531),
    ):
        shares = inertia.segment_shares("hand", sex)
        fingertip = centre * knuckle / shares.centre
        assert shares.gyration[0] * fingertip == pytest.approx(radius * knuckle, rel=0.005)


def test_head_length_from_memory_agrees_with_the_second_head_row():
    """Vertex to C7, 242.9 and 243.7 mm (from memory), centre at .5002 and .4841 of that."""
    for sex, length, centre in (("male", 0.2429, 0.5002), ("female", 0.2437, 0.4841)):
        ours = inertia.segment_shares("head", sex).centre * inertia.SAMPLE_LENGTH[sex]["head"]
        assert ours == pytest.approx(length * centre, abs=2e-4)


def test_men_length_shares():
    # the sample's trunk .3055 and thigh .2425 of stature, as another worker printed them
    assert inertia.length_share("trunk", "male") == pytest.approx(0.3055, abs=5e-5)
    assert inertia.length_share("thigh", "male") == pytest.approx(0.2425, abs=5e-5)


def test_dempster_whole_body_is_one():
    # Winter, table 4.1: two arms, two legs, and trunk with head and neck
    rows = inertia.DEMPSTER
    assert 2 * (rows["arm"].mass + rows["leg"].mass) + rows["trunk_head"].mass == pytest.approx(1.0)


def test_upper_arm_is_where_the_two_sets_differ_most():
    # 47 mm on a 335 mm arm
    gap = inertia.segment_shares("upper_arm", "male").centre - inertia.DEMPSTER["upper_arm"].centre
    assert 335 * gap == pytest.approx(47, abs=0.5)


def test_unknown_segment_lists_the_known_ones():
    with pytest.raises(LimbwrightError, match=r"no body segment 'tail'.*upper_arm"):
        inertia.segment_shares("tail", "male")


def test_pooled_is_the_mean_of_the_sexes():
    shares = inertia.segment_shares("forearm", "pooled")
    assert shares.mass == pytest.approx(0.0150)
    np.testing.assert_allclose(shares.gyration, (0.2685, 0.2610, 0.1075))
