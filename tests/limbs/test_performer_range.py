"""The rig's angles as the performer's joint angles, against two independent routes.

Sources: Wu et al. 2005, J Biomech 38:981-992, section 2.3: thorax and humerus frames X forward, Y up, Z
right, rotation sequence Y-X-Y (plane of elevation; elevation, negative about X; axial rotation, internal
positive), left side mirrored in the sagittal plane (Z = -Z); decomposed here by SciPy's Euler angles. And the
swing-twist decomposition of the humerus's quaternion about its own long axis (textbook), by SciPy as well.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from limbs.by_trig import exact_points, inside, plane_frame
from limbs.trial import arms_of, random_geometry
from limbwright.core.estimate import Estimate
from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.limbs.performer_range import allowed_by_performer, performer_angles, swivel_lever
from limbwright.model.joint_limits import JointLimits

RIGHT, LEFT = (arm.geometry for arm in arms_of())
LEANS = [(0.0, 0.0), (0.3, 0.0), (0.0, -0.25), (-0.2, 0.35)]
TO_ISB = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])  # forward, up, right from x, y, z


def side_of(side: str) -> ArmGeometry:
    return RIGHT if side == "right" else LEFT


def humerus(geometry: ArmGeometry, swing: float, elevation: float) -> np.ndarray:
    """Humerus frame in the thorax's, ISB axes, columns X Y Z, of a right arm or a mirrored left one.

    Y from elbow to shoulder; X where the forearm points with the elbow square, as in the zero pose.
    """
    r, up = plane_frame(geometry, swing)
    arm = np.sin(elevation) * r - np.cos(elevation) * up
    forearm = np.cos(elevation) * r + np.sin(elevation) * up
    y, x = TO_ISB @ -arm, TO_ISB @ forearm
    if geometry.side == "left":
        x, y = x * [1, 1, -1], y * [1, 1, -1]
    return np.column_stack([x, y, np.cross(x, y)])


def cases(side: str, lean: tuple[float, float]):
    rng = np.random.default_rng(2005)
    geometry = replace(side_of(side), lean_out=lean[0], lean_forward=lean[1])
    swing, elevation = rng.uniform(-1.0, 2.4, 300), rng.uniform(0.02, np.pi - 0.02, 300)
    return geometry, swing, elevation


def turned(angle: np.ndarray) -> np.ndarray:
    """Within half a turn of zero."""
    return (angle + np.pi) % (2.0 * np.pi) - np.pi


@pytest.mark.parametrize("lean", LEANS)
@pytest.mark.parametrize("side", ["right", "left"])
def test_plane_elevation_and_rotation_are_those_of_wu(side, lean):
    geometry, swing, elevation = cases(side, lean)
    found = performer_angles(geometry, swing, elevation)
    frames = np.stack([humerus(geometry, s, e) for s, e in zip(swing, elevation, strict=True)])
    # SciPy takes the middle angle positive, Wu negative: the same rotation with half a turn on the others
    plane, raised, axial = Rotation.from_matrix(frames).as_euler("YXY").T
    plane, axial = plane + np.pi, axial + np.pi
    sound = np.sin(raised) > 1e-3  # at 0 and 180 deg the plane has no meaning
    assert sound.mean() > 0.95
    np.testing.assert_allclose(found.elevation[sound], raised[sound], atol=1e-9)
    np.testing.assert_allclose(turned(found.plane - plane)[sound], 0.0, atol=1e-9)
    # swing-twist turn = plane + axial rotation: Y(p) X(-e) Y(r) = [Y(p) X(-e) Y(-p)] Y(p + r)
    np.testing.assert_allclose(turned(found.rotation - plane - axial)[sound], 0.0, atol=1e-9)


@pytest.mark.parametrize("lean", LEANS)
@pytest.mark.parametrize("side", ["right", "left"])
def test_rotation_is_the_twist_of_the_humerus(side, lean):
    geometry, swing, elevation = cases(side, lean)
    found = performer_angles(geometry, swing, elevation)
    frames = np.stack([humerus(geometry, s, e) for s, e in zip(swing, elevation, strict=True)])
    _, about_own, _, scalar = Rotation.from_matrix(frames).as_quat().T  # x y z w; own long axis is Y
    twist = 2.0 * np.arctan2(about_own, scalar)
    np.testing.assert_allclose(turned(found.rotation - twist), 0.0, atol=1e-9)


@pytest.mark.parametrize("side", ["right", "left"])
def test_upright_swivel_dictates_plane_less_a_right_angle(side):
    """Design section 6: ISB axial rotation -90 deg on the right arm, swing-twist plane - 90 deg anywhere."""
    geometry, swing, elevation = cases(side, (0.0, 0.0))
    found = performer_angles(geometry, swing, elevation)
    np.testing.assert_allclose(turned(found.rotation - (swing - np.pi / 2)), 0.0, atol=1e-9)
    np.testing.assert_allclose(turned(found.plane - swing), 0.0, atol=1e-9)
    np.testing.assert_allclose(found.elevation, elevation, atol=1e-9)


@pytest.mark.parametrize("lean", LEANS)
def test_left_and_right_are_mirror_images(lean):
    right, swing, elevation = cases("right", lean)
    left = replace(LEFT, lean_out=lean[0], lean_forward=lean[1])
    for a, b in zip(
        performer_angles(right, swing, elevation), performer_angles(left, swing, elevation), strict=True
    ):
        np.testing.assert_allclose(turned(a - b), 0.0, atol=1e-12)


def test_named_directions():
    """Zeros and signs of docs/conventions.md and Wu: out 0, forward 90 deg; the forearm bent up over an arm
    held out to the side is lateral rotation 90 deg; over an arm held forward it is none."""
    swing, elevation = np.radians([0.0, 90.0, 45.0]), np.radians([90.0, 90.0, 60.0])
    found = performer_angles(RIGHT, swing, elevation)
    np.testing.assert_allclose(np.degrees(found.plane), [0.0, 90.0, 45.0], atol=1e-9)
    np.testing.assert_allclose(np.degrees(found.rotation), [-90.0, 0.0, -45.0], atol=1e-9)


def degrees(value: float) -> Estimate:
    return Estimate(float(np.radians(value)), None, "measured", "test")


# flexion, extension, abduction, medial hanging and raised, lateral hanging and raised, elbow
LIMITS = JointLimits(*(degrees(v) for v in (160, 45, 150, 50, 70, 60, 80, 140)))


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize(
    ("swing", "most"),
    [(90, 160), (0, 150), (45, 155), (22.5, 152.5), (110, 160), (-30, 115), (-45, 97.5), (-90, 45)],
)
def test_elevation_limit_by_plane(side, swing, most):
    """Straight lines between 45 deg behind, 150 out, 160 forward, worked by hand."""
    for off, ok in ((-1e-6, True), (0.0, True), (1e-6, False)):
        elevation = np.radians([most]) + off
        got = allowed_by_performer(side_of(side), LIMITS, np.radians([swing]), elevation, np.array([0.1]))
        assert got.joints[0] == ok


@pytest.mark.parametrize("side", ["right", "left"])
@pytest.mark.parametrize(
    ("elevation", "least", "most"),
    # rotation is swing - 90; lateral 60 hanging to 80 raised, medial 50 to 70, straight between, then held
    [(0.001, 30.0, 140.0), (45, 20.0, 150.0), (90, 10.0, 160.0), (120, 10.0, 160.0)],
)
def test_dictated_rotation_limits_the_swing(side, elevation, least, most):
    share = min(elevation, 90.0) / 90.0
    assert (least, most) == pytest.approx((30 - 20 * share, 140 + 20 * share), abs=1e-3)
    limits = (90.0 - (60.0 + 20.0 * share), 90.0 + 50.0 + 20.0 * share)
    bent = np.radians([30.0])
    for bound, inward in zip(limits, (1.0, -1.0), strict=True):
        for off, ok in ((1e-6, True), (-1e-6, False)):
            swing = np.radians([bound]) + inward * off
            got = allowed_by_performer(side_of(side), LIMITS, swing, np.radians([elevation]), bent)
            assert got.rotation[0] == ok


@pytest.mark.parametrize(("elbow", "free"), [(0.0, True), (14.99, True), (15.0, False), (40.0, False)])
def test_a_straight_elbow_dictates_nothing(elbow, free):
    """Under 15 deg (assumed, design section 6) the rotation is free: swing 0 asks for 90 deg lateral."""
    where = (np.radians([0.0]), np.radians([80.0]), np.radians([elbow]))
    assert allowed_by_performer(RIGHT, LIMITS, *where).rotation[0] == free


@pytest.mark.parametrize(("elbow", "ok"), [(-1e-6, False), (0.0, True), (140.0, True), (140.0001, False)])
def test_elbow_limit(elbow, ok):
    where = (np.radians([60.0]), np.radians([80.0]), np.radians([elbow]))
    assert allowed_by_performer(RIGHT, LIMITS, *where).joints[0] == ok


def test_lever_is_the_farther_cuffs_distance_from_the_axis():
    """Cuffs at elbow and wrist placed by hand; distance of a point from a line by the cross product."""
    rng = np.random.default_rng(8)
    for _ in range(50):
        geometry, home = random_geometry(rng, RIGHT)
        pose = inside(geometry, home, rng, 0.05)
        places = exact_points(geometry, pose)
        axis = plane_frame(geometry, pose.swing)[1]
        far = [np.linalg.norm(np.cross(places[p] - geometry.shoulder, axis)) for p in "EW"]
        got = swivel_lever(geometry, np.array([pose.elevation]), np.array([pose.elbow]))
        np.testing.assert_allclose(got, [max(far)], atol=1e-12)


def test_arm_and_forearm_on_the_axis_have_no_lever():
    lever = swivel_lever(RIGHT, np.radians([0.0, 180.0, 0.0]), np.radians([0.0, 0.0, 180.0]))
    np.testing.assert_allclose(lever, 0.0, atol=1e-12)
