"""What the builder refuses, in words that say which entry is wrong; and what it freezes."""

import numpy as np
import pytest

from engine.rigs import arm
from limbwright.engine.closure import zero_pose
from limbwright.engine.mechanism import BALL, GROUND, PIN, SLIDER, UNIVERSAL, WELD
from limbwright.engine.mechanism_builder import MechanismBuilder

HERE = (0.0, 0.0, 0.0)
UP = (0.0, 0.0, 1.0)


def two_bodies() -> tuple[MechanismBuilder, int, int]:
    b = MechanismBuilder()
    one = b.body("upper arm", GROUND, PIN)
    return b, one, b.body("forearm", one, BALL)


@pytest.mark.parametrize("parent", [5, -1])
def test_a_parent_that_is_not_there_yet(parent):
    b = MechanismBuilder()
    with pytest.raises(ValueError, match=rf"'upper arm': parent {parent} is not there yet"):
        b.body("upper arm", parent, PIN)


@pytest.mark.parametrize("axis", [HERE, (np.nan, 0.0, 1.0), (np.inf, 0.0, 0.0)])
def test_an_axis_without_a_direction(axis):
    b = MechanismBuilder()
    with pytest.raises(ValueError, match=r"'upper arm': axis .* has no direction"):
        b.body("upper arm", GROUND, PIN, axis=axis)
    with pytest.raises(ValueError, match="has no direction"):
        b.body("upper arm", GROUND, UNIVERSAL, second_axis=axis)
    b, one, two = two_bodies()
    with pytest.raises(ValueError, match=r"'elbow': axis .* has no direction"):
        b.pin("elbow", one, HERE, axis, two, HERE, UP)
    with pytest.raises(ValueError, match=r"'lock': axis .* has no direction"):
        b.stage("lock", (one, HERE), (one, UP), (two, HERE), (one, axis))


@pytest.mark.parametrize("closure", ["rod", "ball", "pin"])
def test_closures_of_bodies_that_are_not_there_or_the_same(closure):
    b, one, two = two_bodies()

    def close(a: int, other: int) -> int:
        if closure == "rod":
            return b.rod("strut", a, HERE, other, HERE, 0.3)
        if closure == "ball":
            return b.ball("strut", a, HERE, other, HERE)
        return b.pin("strut", a, HERE, UP, other, HERE, UP)

    with pytest.raises(ValueError, match=r"closure 'strut' ties body 'forearm' to itself"):
        close(two, two)
    for wrong in (3, -1):
        with pytest.raises(ValueError, match=rf"closure 'strut': body {wrong} is not there"):
            close(one, wrong)
    assert close(one, two) == 0


def test_driven_coordinates_that_are_not_there():
    b, one, two = two_bodies()
    with pytest.raises(ValueError, match=r"'upper arm' has no coordinate 1 to drive"):
        b.linkage([(one, 1)])
    with pytest.raises(ValueError, match=r"'forearm' sits on a ball joint, which cannot be driven"):
        b.linkage([(two, 0)])
    with pytest.raises(ValueError, match=r"'ground' has no coordinate 0"):
        b.linkage([(GROUND, 0)])


def test_coordinates_follow_the_bodies():
    """Pin 1, slider 1, universal 2, ball 4 coordinates and 3 velocities, weld none, in body order."""
    b = MechanismBuilder()
    body = GROUND
    for i, joint in enumerate((PIN, SLIDER, UNIVERSAL, BALL, WELD, PIN)):
        body = b.body(f"body {i}", body, joint)
    linkage = b.linkage([(3, 1)])
    assert list(linkage.q_at) == [0, 0, 1, 2, 4, 8, 8]
    assert list(linkage.dof_body) == [1, 2, 3, 3, 4, 4, 4, 6]
    assert list(linkage.driven) == [3]
    assert list(linkage.dependent) == [0, 1, 2, 4, 5, 6, 7]
    np.testing.assert_array_equal(zero_pose(linkage), [0, 0, 0, 0, 1, 0, 0, 0, 0])


def test_only_what_a_dependent_coordinate_moves_is_a_follower():
    mechanism = arm().assemble()
    follows = {n for n, f in zip(mechanism.body_names, mechanism.linkage.follows, strict=True) if f}
    assert follows == {"carrier", "relay", "character forearm"}


def test_a_name_that_is_not_there_lists_those_that_are():
    with pytest.raises(ValueError, match=r"no body 'tail'; there are ground, swivel, driver"):
        arm().assemble().body("tail")


def test_the_assembled_pose_cannot_be_changed():
    mechanism = arm().assemble()
    with pytest.raises(ValueError, match="read-only"):
        mechanism.assembled[0] = 1.0
