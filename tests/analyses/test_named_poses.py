"""Named poses: obstacles planted one by one, and margins of those that the arm takes up.

Where each lock lies is worked out in the test from the determinant's angles (design section 6): mast at 174
deg, crank angles 15, -5 and 20 deg, so the forearm stage locks where elevation + elbow = 179 deg.
"""

import math

import numpy as np
import pytest

from limbs.by_trig import exact_points, exact_sines, plane_frame
from limbs.trial import arms_of, suit_of
from limbwright.analyses.named_poses import NamedPose, take_up_poses
from limbwright.analyses.reach import Cause, sweep_reach
from limbwright.limbs.parallel_arm import Drive
from limbwright.limbs.worn_arm import WornArm

REST = (60.0, 45.0, 40.0)
RANGE = "outside the performer's own joint range"
ROTATION = "the one-axis elbow dictates a rotation the performer has not got"


def taken(
    poses: dict[str, tuple[float, float, float]], stops: str = "10 deg", **edits: object
) -> tuple[WornArm, dict[str, NamedPose]]:
    written = {
        name: {k: f"{v} deg" for k, v in zip(("swing", "elevation", "elbow"), pose, strict=True)}
        for name, pose in {"rest": REST, **poses}.items()
    }
    changes: dict[str, object] = {"poses": written, "limbs.arm.stops": stops}
    changes |= {path.replace("__", "."): value for path, value in edits.items()}
    suit, arm = suit_of(changes), arms_of(changes)[0]
    found = sweep_reach(arm, tuple(math.radians(v) for v in (20.0, 10.0, 10.0)))
    named = take_up_poses(suit, arm, found.flood, found.cause == Cause.USABLE)
    assert [pose.name for pose in named] == list(suit.poses)
    return arm, {pose.name: pose for pose in named}


@pytest.mark.parametrize(
    ("pose", "obstacle"),
    [
        ((90, 165, 10), RANGE),  # flexion ends at 160
        ((0, 152, 10), RANGE),  # abduction at 150
        ((60, 60, 141), RANGE),  # elbow at 140
        ((-20, 80, 60), ROTATION),  # lateral 90 deg is plane 0
        ((60, 45, 126), "the forearm stage's stop touches before it"),  # 171: 8 deg from the lock
        (
            (60, 45, 139),
            "the forearm stage's stop touches before it",
        ),  # 184: past the lock, and past the stop
        ((60, 120, 100), "a stop stands between it and the assembled pose"),  # 220: far past it
    ],
)
def test_what_stands_in_the_way_is_named(pose, obstacle):
    named = taken({"planted": pose})[1]["planted"]
    assert named.obstacle == obstacle
    assert named.q is None
    assert math.isnan(named.margin)
    np.testing.assert_allclose(np.degrees(named.drive), pose)


@pytest.mark.parametrize(
    ("pose", "obstacle"),
    [
        ((60, 45, 139), "the linkage locks before it"),
        ((60, 120, 100), "a lock stands between it and the assembled pose"),
        ((60, 45, 131), ""),  # 176: 3 deg left, and no stop to touch
    ],
)
def test_without_stops_the_lock_itself_is_named(pose, obstacle):
    assert taken({"planted": pose}, stops="0 deg")[1]["planted"].obstacle == obstacle


def test_a_rod_that_does_not_match_locks_early():
    """1 mm long on a 600 mm side and a 70 mm crank: sqrt(2 d (a - b)/(a b)) = 9.1 deg before one of the
    forearm stage's change points. Which one, 179 or -1 deg of elevation + elbow, the sign of the error
    says: the shorter side of the two locks while an exact rod locks neither."""
    poses = {"low": (60.0, 4.0, 0.0), "high": (60.0, 45.0, 128.0)}  # 5 deg from -1, 6 from 179
    exact = taken(poses, stops="0 deg")[1]
    assert [exact[p].obstacle for p in poses] == ["", ""]
    locked = [
        [
            p
            for p in poses
            if taken(poses, stops="0 deg", limbs__arm__rods__forearm__length=length)[1][p].obstacle
        ]
        for length in ("601 mm", "599 mm")
    ]
    assert locked[0] != locked[1]
    assert all(len(which) >= 1 for which in locked)


def test_cut_off_by_the_performers_own_limits():
    """Planes under 0 deg are lost to rotation but for a straight elbow; a performer with 20 deg of lateral
    rotation keeps planes from 70 deg. A pose at plane 20 with the elbow at 10 is allowed, and reached by
    straightening."""
    limits = {"performer.cast.Ash.limits.lateral_rotation": "20 deg"}
    suit = suit_of({**limits})
    assert math.degrees(suit.active.limits.lateral_rotation or 0) == pytest.approx(20)
    named = taken(
        {"straight": (20, 60, 10), "bent": (20, 60, 40), "ahead": (90, 60, 40)},
        poses__rest__swing="90 deg",
        performer__cast__Ash__limits__lateral_rotation="20 deg",
    )[1]
    assert named["straight"].obstacle == ""
    assert named["bent"].obstacle == ROTATION
    assert named["ahead"].obstacle == ""


def test_margins_and_stages_of_poses_that_are_taken_up():
    """Least angle of the determinant's three, and which stage it is; lever of the farther cuff by hand."""
    poses = {"reach": (80.0, 80.0, 20.0), "high": (30.0, 100.0, 50.0), "low": (100.0, 12.0, 33.0)}
    arm, named = taken(poses)
    for name, pose in {**poses, "rest": REST}.items():
        drive = Drive(*(math.radians(v) for v in pose))
        sines = exact_sines(arm.geometry, arm.assembled, np.array(drive.elevation), np.array(drive.elbow))
        angles = np.arcsin(sines)
        assert named[name].obstacle == ""
        assert named[name].margin == pytest.approx(angles.min(), abs=1e-8)
        assert named[name].stage == ("shoulder", "forearm", "relay")[int(angles.argmin())]
        places, axis = exact_points(arm.geometry, drive), plane_frame(arm.geometry, drive.swing)[1]
        levers = [np.linalg.norm(np.cross(places[p] - arm.geometry.shoulder, axis)) for p in "EW"]
        assert named[name].lever == pytest.approx(max(levers), abs=1e-12)
        q = named[name].q
        assert q is not None
        want = [drive.swing, drive.elevation, drive.elbow, drive.elevation, drive.elbow, drive.elbow]
        np.testing.assert_allclose(q, want, atol=1e-9)


@pytest.mark.parametrize(("elbow", "taken_up"), [(123.999, True), (124.0, True), (124.001, False)])
def test_a_pose_exactly_on_its_stop_counts(elbow, taken_up):
    """Forearm stage at 169 deg: 10 deg from its lock, which is the stop."""
    assert (taken({"edge": (60, 45, elbow)})[1]["edge"].obstacle == "") == taken_up


def test_a_pose_off_the_grid_is_reached_from_its_nearest_node():
    """Between nodes in all three coordinates, and past the last node of each axis."""
    named = taken({"between": (63.3, 47.1, 33.9), "last": (119.9, 84.9, 9.9)})[1]
    for pose in named.values():
        assert pose.obstacle == ""
        assert pose.q is not None
        np.testing.assert_allclose(pose.q[:3], pose.drive, atol=1e-15)


def test_hanging_straight_has_no_lever_and_says_so():
    arm, named = taken({"hang": (60, 0, 0)}, stops="0 deg", limbs__arm__cranks__forearm__angle="40 deg")
    assert named["hang"].obstacle == ""
    assert named["hang"].lever == pytest.approx(0.0, abs=1e-12)
    assert arm.geometry.drive > 0.2
