"""Left is the mirror image of right: every number of a symmetric suit is the same on both sides, to 1e-12.

Source: reflection in the mid-plane maps a symmetric suit onto itself and leaves lengths, masses and vertical
gravity as they are.
"""

from dataclasses import replace

import numpy as np
import pytest

from limbs.trial import arms_of, suit_of
from limbwright.analyses.assess import Assessment, assess
from limbwright.analyses.assess_results import ArmResults
from limbwright.limbs.arm_points import arm_points
from limbwright.limbs.parallel_arm import Drive, pose_of

EDITS: dict[str, object] = {
    "sweep": dict.fromkeys(("swing", "elevation", "elbow"), "20 deg"),
    "lean": "12 deg",
    "limbs.arm.swivel.lean_out": "8 deg",
    "limbs.arm.swivel.lean_forward": "-5 deg",
    **{f"limbs.arm.{link}.layer": f"{40 + 9 * i} mm" for i, link in enumerate(("mast", "driver", "carrier"))},
}
RELATIVE = 1e-12


def close(a: float, b: float) -> bool:
    return abs(a - b) <= RELATIVE * max(abs(a), abs(b), 1.0)


@pytest.fixture(scope="module")
def found() -> Assessment:
    return assess(suit_of(EDITS))


@pytest.fixture(scope="module")
def sides(found: Assessment) -> tuple[ArmResults, ArmResults]:
    right, left = found.arms
    assert (right.arm.side, left.arm.side) == ("right", "left")
    return right, left


def test_range_is_the_same(sides):
    right, left = (side.reach for side in sides)
    assert close(right.usable_share, left.usable_share)
    assert close(right.share_without_rotation, left.share_without_rotation)
    np.testing.assert_array_equal(right.cause, left.cause)
    np.testing.assert_array_equal(right.cut_off, left.cut_off)
    np.testing.assert_allclose(right.flood.margin, left.flood.margin, rtol=1e-6)
    for one, two in zip(right.losses, left.losses, strict=True):
        assert one.cause == two.cause
        assert close(one.at_barrier, two.at_barrier)
        assert close(one.behind, two.behind)


def test_moments_matching_and_travel_are_the_same(sides):
    right, left = sides
    assert right.effort is not None
    assert left.effort is not None
    scale = np.abs(right.effort.moments).max()
    np.testing.assert_allclose(right.effort.moments, left.effort.moments, atol=1e-9 * scale)
    assert np.abs(right.effort.moments[:, 0]).max() > 1.0  # lean loads the swing too
    assert right.matching is not None
    assert left.matching is not None
    np.testing.assert_allclose(right.matching.worst, left.matching.worst, rtol=1e-8)
    assert right.travel is not None
    assert left.travel is not None
    for name, value in vars(right.travel).items():
        assert getattr(left.travel, name) == pytest.approx(value, abs=1e-9, rel=1e-9), name


def test_named_poses_are_the_same(sides):
    for one, two in zip(*(side.named for side in sides), strict=True):
        assert (one.name, one.stage, one.obstacle) == (two.name, two.stage, two.obstacle)
        assert close(one.margin, two.margin)
        assert close(one.lever, two.lever)


def test_the_answer_names_no_side(found):
    assert not [f.key for f in found.findings if ".right." in f.key or ".left." in f.key]


@pytest.mark.parametrize("side", ["right", "left"])
def test_it_does_not_matter_which_side_is_written_down(found, side):
    other = assess(suit_of({**EDITS, "limbs.arm.side": side}))
    assert [f.key for f in other.findings] == [f.key for f in found.findings]
    for one, two in zip(found.findings, other.findings, strict=True):
        assert one.verdict == two.verdict
        assert one.value == pytest.approx(two.value, rel=1e-9, abs=1e-9), one.key


def test_points_are_mirrored():
    right, left = arms_of(EDITS)
    rng = np.random.default_rng(3)
    for _ in range(20):
        drive = Drive(*(float(v) for v in rng.uniform((-0.6, 0.2, 0.1), (2.0, 1.4, 1.2))))
        ours, theirs = pose_of(right.mechanism, drive), pose_of(left.mechanism, drive)
        assert ours is not None
        assert theirs is not None
        np.testing.assert_allclose(ours, theirs, atol=RELATIVE)
        mirrored = arm_points(left.mechanism, left.geometry, theirs)
        for name, place in arm_points(right.mechanism, right.geometry, ours).items():
            np.testing.assert_allclose(place * [1, -1, 1], mirrored[name], atol=RELATIVE)


def test_geometry_differs_by_the_side_alone():
    right, left = (arm.geometry for arm in arms_of(EDITS))
    shoulder = right.shoulder * [1, -1, 1]
    np.testing.assert_allclose(left.shoulder, shoulder, atol=0)
    same = replace(right, side="left", shoulder=left.shoulder)
    for name, value in vars(same).items():
        assert np.all(getattr(left, name) == value), name
