"""Poses along a path: which branch, what a lost one says, and that batches do not show.

The branch is the one that continuity reaches from the assembled pose. The flips planted here are the
anti-parallelogram (crossed) assembly of a parallelogram, known from its closed form (law of cosines).
"""

import numpy as np
import pytest

from engine.rigs import ArmSizes, Joining, arm, arm_angles, four_bar
from engine.test_mechanism_builder import two_bodies
from limbwright.engine.closure import assemble, close_from, follow_drive, follow_stream, frames, stage_angles
from limbwright.engine.mechanism import BALL, GROUND
from limbwright.engine.mechanism_builder import MechanismBuilder
from limbwright.engine.outcome import Outcome

A, B = 0.4, 0.08


def parallelogram(joining: Joining = "rod"):
    return four_bar(A, B, A, B, (1.5, 0.0, 1.5), joining, both_ends=True).assemble()


def crossed(theta: float) -> float:
    """Rocker angle of the crossed assembly: mirror of the open one in the line from pin to far pivot."""
    line = np.angle(B * np.exp(1j * theta) - A)
    return float((2 * line - theta + np.pi) % (2 * np.pi) - np.pi)


def start(theta: float, rocker: float, joining: str) -> np.ndarray:
    pins = np.array([B * np.exp(1j * theta), A + B * np.exp(1j * rocker)])
    coupler = np.angle(pins[1] - pins[0])
    return np.array([theta, rocker] if joining == "rod" else [theta, coupler - theta, rocker])


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
@pytest.mark.parametrize("theta", np.radians([15, 60, 90, 120, 165]))
def test_a_planted_flip_is_reported(theta, joining):
    mechanism = parallelogram(joining)
    starts = np.array([start(theta, theta, joining), start(theta, crossed(theta), joining)])
    poses = close_from(mechanism, starts)
    assert list(poses.outcome) == [Outcome.CLOSED, Outcome.BRANCH_LOST]
    np.testing.assert_allclose(poses.q, starts, atol=1e-9)
    assert stage_angles(mechanism, poses.q[0]).min() > 0 > stage_angles(mechanism, poses.q[1]).min()


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
@pytest.mark.parametrize("to", [-20.0, -90.0, 200.0, 260.0])
def test_driven_through_a_change_point(to, joining):
    """Beyond 0 or 180 deg the parallelogram may be either assembly: never called closed."""
    mechanism = parallelogram(joining)
    drive = np.radians(np.linspace(90, to, 60))[:, None]
    outcome = follow_drive(mechanism, drive).outcome
    inside = (drive[:, 0] > 0) & (drive[:, 0] < np.pi)
    assert (outcome[inside] == Outcome.CLOSED).all()
    assert (outcome[~inside] == Outcome.BRANCH_LOST).all()


@pytest.mark.parametrize("joining", ["rod", "ball", "pin"])
@pytest.mark.parametrize("stage", range(3))
def test_arm_driven_through_each_stages_change_point(stage, joining):
    """From well inside its window each stage is driven 0.2 rad past the end: all poses past it say so."""
    sizes = ArmSizes(crank_angles=(np.pi / 2 - 1.05, np.pi / 2 - 2.1, np.pi / 2 - 1.05))
    home = (0.0, 1.05, 1.05)
    mechanism = arm(sizes, joining, home).assemble()
    window = sizes.window(*home[1:])[stage]
    beyond = (np.floor(window / np.pi) + 1) * np.pi + 0.2 - window
    column = 1 if stage == 0 else 2
    drive = np.tile(home, (200, 1))
    drive[:, column] += np.linspace(0, beyond, 200)
    poses = follow_drive(mechanism, drive)
    inside = np.array([np.floor(sizes.window(*d[1:]) / np.pi) for d in drive])
    same = (inside == inside[0]).all(axis=1)
    assert same[0]
    assert not same[-1]
    assert (poses.outcome[same] == Outcome.CLOSED).all()
    assert (poses.outcome[~same] == Outcome.BRANCH_LOST).all()


def test_a_failed_pose_does_not_spoil_the_next():
    mechanism = parallelogram()
    poses = follow_drive(mechanism, np.radians([[80.0], [-30.0], [70.0]]))
    assert list(poses.outcome) == [Outcome.CLOSED, Outcome.BRANCH_LOST, Outcome.CLOSED]
    np.testing.assert_allclose(poses.q[2], np.radians([70.0, 70.0]), atol=1e-10)


def test_batches_of_any_size_give_the_same_poses():
    """Each 2,048th pose starts anew, so a stream cut at those places is the same to the last bit."""
    mechanism = arm().assemble()
    rng = np.random.default_rng(0)
    drive = np.array([0.0, 1.05, 1.05]) + 0.2 * np.sin(np.linspace(0, 40, 6000))[:, None] * rng.uniform(
        size=3
    )
    whole = follow_drive(mechanism, drive)
    parts = list(follow_stream(mechanism, (drive[i : i + 2048] for i in range(0, 6000, 2048))))
    np.testing.assert_array_equal(np.concatenate([p.q for p in parts]), whole.q)
    np.testing.assert_array_equal(np.concatenate([p.outcome for p in parts]), whole.outcome)
    assert not whole.outcome.any()


def test_no_poses_and_one_pose():
    mechanism = arm().assemble()
    assert follow_drive(mechanism, np.zeros((0, 3))).q.shape == (0, 6)
    one = follow_drive(mechanism, mechanism.driven_values(mechanism.assembled)[None])
    np.testing.assert_array_equal(one.q[0], mechanism.assembled)


def test_a_mechanism_without_closures_is_always_closed():
    b, _, two = two_bodies()
    mechanism = assemble(b, [(1, 0)])
    poses = follow_drive(mechanism, np.array([[0.3], [1.0]]))
    assert not poses.outcome.any()
    assert not poses.miss.any()
    assert frames(mechanism, poses.q[0]).rotation[two][0, 0] == pytest.approx(np.cos(0.3))


def test_frames_of_the_exact_arm_are_those_of_the_drawing():
    """E = S + SE d(th), E1 = S' + SE d(th), E' = S' + carrier d(th): worked out by hand."""
    sizes = ArmSizes()
    mechanism = arm(sizes).assemble()
    th, fl = np.radians([50.0, 40.0])
    placed = frames(mechanism, arm_angles(sizes, 0.0, th, fl, "rod"))
    s = np.array([0.0, 0.0, 1.4])
    head = s + np.array([0.0, 0.0, 0.62])
    along = np.array([np.sin(th), 0.0, -np.cos(th)])
    onward = np.array([np.sin(th + fl), 0.0, -np.cos(th + fl)])
    for name, want in (("forearm", s + 0.29 * along), ("relay", head + 0.29 * along), ("carrier", head)):
        np.testing.assert_allclose(placed.position[mechanism.body(name)], want, atol=1e-14)
    character = mechanism.body("character forearm")
    np.testing.assert_allclose(placed.position[character], head + 0.70 * along, atol=1e-14)
    wrist = placed.point(character, np.array([0.0, 0.0, -0.76]))
    np.testing.assert_allclose(wrist, head + 0.70 * along + 0.76 * onward, atol=1e-14)


def test_a_weld_and_a_ball_only_carry():
    """A body welded to a ball's body turns with it: q0 = cos(a/2) about z."""
    b = MechanismBuilder()
    ball = b.body("ball", GROUND, BALL)
    b.body("fixed", ball, 0, origin=(1.0, 0.0, 0.0))
    mechanism = assemble(b, [])
    half = np.radians(30.0)
    placed = frames(mechanism, np.array([np.cos(half), 0.0, 0.0, np.sin(half)]))
    np.testing.assert_allclose(placed.position[2], [np.cos(2 * half), np.sin(2 * half), 0.0], atol=1e-15)
