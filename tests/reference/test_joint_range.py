"""limbwright.reference.joint_range against the tables it names."""

import math

import pytest

from limbwright.core.errors import LimbwrightError
from limbwright.reference.joint_range import cautious_range, fifth_percentile, least_mean


@pytest.mark.parametrize(
    ("motion", "sex", "degrees"),
    [
        # BMC Sports Sci Med Rehabil 2012 4:33, table 4, p5
        ("shoulder_flexion", "male", 153),
        ("shoulder_flexion", "female", 155),
        ("shoulder_flexion", "pooled", 153),
        ("lateral_rotation_side", "female", 55),
        ("lateral_rotation_raised", "male", 80),
        ("medial_rotation_raised", "male", 30),
        ("medial_rotation_raised", "female", 40),
    ],
)
def test_fifth_percentiles(motion, sex, degrees):
    found = cautious_range(motion, sex)
    assert math.degrees(found.value) == pytest.approx(degrees)
    assert found.basis == "published"


@pytest.mark.parametrize(
    ("motion", "degrees"),
    [
        ("shoulder_extension", 44),  # Walker, 65-85 years
        ("shoulder_abduction", 165),  # Walker
        ("medial_rotation", 49),  # Green & Wolf
        ("elbow_flexion", 143),  # Boone & Azen; the AMA guide's >= 140 is no mean
    ],
)
def test_least_means_are_assumed(motion, degrees):
    found = cautious_range(motion, "male")
    assert math.degrees(found.value) == pytest.approx(degrees)
    assert found.basis == "assumed"


def test_cautious_is_under_every_mean():
    # the least mean of flexion is Green & Wolf's 156; nineteen in twenty reach 153
    assert fifth_percentile("shoulder_flexion", "male").value < least_mean("shoulder_flexion").value


def test_unknown_motion_lists_the_known_ones():
    with pytest.raises(LimbwrightError, match=r"no joint range for 'shrug'.*elbow_flexion"):
        cautious_range("shrug", "male")
