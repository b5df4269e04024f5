"""limbwright.model.joint_limits: the engine's form of a performer's ranges."""

import math

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from limbwright.core.errors import GeometryError
from limbwright.model.joint_limits import set_limits
from limbwright.model.performer import OwnLimits

NONE = OwnLimits()


def swing_twist(plane, elevation, axial):
    """Twist about the upper arm of ISB shoulder angles (Wu et al. 2005: Y, X, Y; thorax Y up).

    The right arm hangs along -Y; elevation is a negative turn about X, internal rotation positive.
    """
    turned = Rotation.from_euler("YXY", [plane, -elevation, axial])
    _, y, _, w = turned.as_quat()
    assert math.hypot(y, w) > 1e-9
    return math.remainder(2.0 * math.atan2(y, w), math.tau)


@pytest.mark.parametrize("plane", np.radians([-60.0, 0.0, 35.0, 90.0, 130.0]))
@pytest.mark.parametrize("elevation", np.radians([5.0, 60.0, 120.0]))
def test_a_forearm_in_the_arms_plane_dictates_rotation_plane_less_90_deg(plane, elevation):
    """One-axis elbow: axial rotation -90 deg is a twist of plane - 90 deg at every elevation."""
    assert swing_twist(plane, elevation, -0.5 * math.pi) == pytest.approx(plane - 0.5 * math.pi)
    # and it does put the bent forearm in the arm's vertical plane, raised above the upper arm
    turned = Rotation.from_euler("YXY", [plane, -elevation, -0.5 * math.pi])
    upper_arm, forearm = turned.apply([[0, -1, 0], [1, 0, 0]])
    across = np.array([math.cos(plane), 0.0, -math.sin(plane)])  # normal of the arm's plane
    assert abs(upper_arm @ across) < 1e-12
    assert abs(forearm @ across) < 1e-12
    assert forearm[1] > 0.0


def lost_planes(limits, elevation_deg):
    """Least and greatest plane [deg] that the dictated rotation leaves."""
    planes = np.arange(-90.0, 180.0, 0.25)
    medial, lateral = limits.rotation(np.radians(elevation_deg))
    twist = np.radians(planes - 90.0)
    allowed = planes[(twist >= lateral - 1e-9) & (twist <= medial + 1e-9)]
    return allowed.min(), allowed.max()


@pytest.mark.parametrize("sex", ["male", "pooled"])
def test_planes_lost_with_the_elbow_bent(sex):
    """Fifth percentiles: lateral 55 at the side and 80 raised, medial 30 (BMC 2012 4:33, table 4).

    So planes below 90 - 55 = 35 deg (10 deg when raised) and above 90 + 30 = 120 deg are lost.
    """
    limits = set_limits(sex, NONE)
    assert lost_planes(limits, 0.0) == (35.0, 120.0)
    assert lost_planes(limits, 90.0) == (10.0, 120.0)
    assert lost_planes(limits, 130.0) == (10.0, 120.0)  # held above 90 deg
    assert lost_planes(limits, 45.0) == (22.5, 120.0)  # half way


def test_women_keep_ten_degrees_more_medial_rotation():
    assert lost_planes(set_limits("female", NONE), 90.0) == (10.0, 130.0)


def test_elevation_by_plane():
    limits = set_limits("male", NONE)
    planes = np.radians([-120.0, -90.0, -45.0, 0.0, 45.0, 90.0, 135.0, 180.0])
    # extension 44, abduction 165 (least means), flexion 153 (p5), straight lines between
    expected = [44.0, 44.0, 104.5, 165.0, 159.0, 153.0, 153.0, 153.0]
    np.testing.assert_allclose(np.degrees(limits.elevation(planes)), expected, atol=1e-9)
    assert limits.elevation(planes.reshape(2, 4)).shape == (2, 4)
    assert limits.elevation(0.0).shape == ()


def test_elbow_and_bases():
    limits = set_limits("female", NONE)
    assert np.degrees(limits.elbow) == pytest.approx((0.0, 143.0))
    assert limits.flexion.basis == "published"
    assert limits.medial_side.basis == "assumed"
    assert limits.basis == "assumed"
    assert "5th percentile" in limits.sources["lateral_raised"]


def test_own_limits_replace_the_tables():
    own = OwnLimits(
        shoulder_flexion=math.radians(162.0),
        lateral_rotation=math.radians(70.0),
        medial_rotation=math.radians(50.0),
    )
    limits = set_limits("female", own)
    assert math.degrees(limits.elevation(math.pi / 2)) == pytest.approx(162.0)
    assert limits.flexion.basis == "measured"
    medial, lateral = limits.rotation(np.radians([0.0, 90.0, 150.0]))
    np.testing.assert_allclose(np.degrees(medial), 50.0)
    np.testing.assert_allclose(np.degrees(lateral), -70.0)
    assert limits.abduction.basis == "assumed"  # not measured, so still the table's


@pytest.mark.parametrize("degrees", [-20.0, 0.0, 181.0])
def test_own_limits_must_be_ranges(degrees):
    own = OwnLimits.model_construct(elbow_flexion=math.radians(degrees))  # past the file's own checks
    with pytest.raises(GeometryError, match=r"limits\.elbow_flexion.*not a range of motion"):
        set_limits("male", own)
