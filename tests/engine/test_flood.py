"""The flood against a second one over the closed form, and the names it gives to what stands in its way.

Sources: design section 5 (edge rule, named causes), the closure determinant of section 6, the four-bar's law
of cosines for arms whose lengths do not match (`limbs.by_trig`), jobmap section 0 for the lock angles 5.734
and 7.020 deg. The second flood (`limbs.by_flood`) is plain NumPy and shares no code with the engine.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from engine.flood_cases import BASE, GUARD, Case, axes_of, cases, forearm_rod
from limbs.by_flood import sound
from limbs.by_trig import exact_sines, solved_sines, windows
from limbs.trial import random_geometry
from limbwright.engine.closure import closure_rows
from limbwright.engine.flood import Barrier, flood_range, nearest_labels, node_poses
from limbwright.limbs.parallel_arm import Drive, build_arm


@pytest.mark.parametrize(("seed", "error"), [(1, 0.0), (2, 0.0003), (3, 0.001), (4, 0.005)])
def test_reaches_what_the_second_flood_reaches(seed, error):
    """Node for node: random crank angles, leans, floors, steps from 5 to 28 deg, masks and tied swings."""
    for case in cases(seed, 12, error):
        found = case.flood()
        np.testing.assert_array_equal(found.reached, case.by_hand())
        assert found.reached.any()


@pytest.mark.parametrize("error", [0.0, 0.001])
def test_poses_close_and_know_their_margin(error):
    """Every reached pose closes to 1e-10 m; margin is the least angle of the law of cosines."""
    for case in cases(5, 4, error):
        found = case.flood()
        nodes = np.flatnonzero(found.reached)[::7]
        drive = found.driven(nodes)
        want = np.arcsin(case.sines(drive[:, 1], drive[:, 2]))
        np.testing.assert_allclose(found.margin[nodes], want.min(axis=1), atol=1e-6)
        stages = found.stage[nodes] // 2
        np.testing.assert_allclose(
            want.min(axis=1), want[np.arange(len(nodes)), found.stage[nodes]], atol=1e-8
        )
        assert set(stages) <= {0, 1, 2}
        for q in node_poses(case.mechanism, found, nodes)[::5]:
            assert np.abs(closure_rows(case.mechanism, q)).max() < 1e-10
        assert np.isnan(found.margin[~found.reached]).all()


def two_at_once() -> Case:
    """Shoulder and forearm windows that close 1 deg apart as the elevation grows, the relay's never.

    At 5 deg steps one edge holds both locks. The determinant keeps its sign across it.
    """
    home = Drive(0.5, math.radians(60), math.radians(60))
    geometry = replace(
        BASE,
        mast_lean=0.0,
        angle_shoulder=math.radians(180 - 92),  # closes at elevation 92
        angle_forearm=math.radians(180 - 93 - 60),  # at elevation 93 with the elbow at 60
        angle_relay=math.radians(30),
    ).matched()
    axes = (np.radians([0.0, 30.0]), np.radians(np.arange(0.0, 161.0, 5.0)), np.radians([60.0]))
    count = 2 * 33
    return Case(
        geometry, home, build_arm(geometry, home), axes, np.ones(count, dtype=bool),
        np.full(3, GUARD), np.zeros(count, dtype=bool),
    )  # fmt: skip


def test_two_stages_crossing_within_one_edge_are_no_edge():
    """The planted trap of design section 5: at 90 and 95 deg the product of the three sines has one sign, and
    an arm that follows the crossing looks sound at both ends. The flood must stop before it."""
    case = two_at_once()
    ends = np.sin(windows(case.geometry, np.radians([90.0, 95.0]), np.radians([60.0, 60.0])))
    assert np.all(np.sign(ends[0, :2]) == -np.sign(ends[1, :2]))
    assert np.prod(ends[0]) * np.prod(ends[1]) > 0.0
    assert np.abs(np.degrees(np.arcsin(ends))).min() > 1.9  # nothing under the floor at either end
    found = case.flood()
    top = np.degrees(found.driven(np.flatnonzero(found.reached))[:, 1]).max()
    assert top == pytest.approx(90.0)
    first = found.barrier[found.driven(np.arange(len(found.barrier)))[:, 1] == case.axes[1][19]]
    assert set(first) == {Barrier.CHANGE_POINT}


def test_a_stride_of_28_deg_past_both_locks_is_no_edge():
    """The same with nodes at 78 and 106 deg only: the solve may land anywhere beyond, and is not believed."""
    case = two_at_once()
    axes = (case.axes[0], np.radians([60.0, 78.0, 106.0, 134.0]), case.axes[2])
    free = np.zeros(8, dtype=bool)
    found = case._replace(axes=axes, allowed=~free, tied=free).flood()
    assert np.degrees(found.driven(np.flatnonzero(found.reached))[:, 1]).max() == pytest.approx(78.0)


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_coarse_and_fine_steps_agree_within_a_step(seed):
    """Nodes that only one of the 5 and 1 deg floods reaches lie within a coarse step of the fine edge."""
    rng = np.random.default_rng(seed)
    geometry, home = random_geometry(rng, BASE)
    mechanism = build_arm(geometry, home)
    found = {}
    for step in (5.0, 1.0):
        axes = axes_of(step)
        count = int(np.prod([len(a) for a in axes]))
        found[step] = flood_range(mechanism, axes, np.ones(count, dtype=bool), np.full(6, 0.15))
    coarse = found[5.0].reached.reshape(found[5.0].shape)
    fine = found[1.0].reached.reshape(found[1.0].shape)
    same = fine[:, ::5, ::5]
    for s, e, b in np.argwhere(coarse != same):
        near = fine[s, max(0, 5 * e - 5) : 5 * e + 6, max(0, 5 * b - 5) : 5 * b + 6]
        assert near.any()
        assert not near.all()
    assert (coarse == same).mean() > 0.95


def test_every_node_is_one_thing():
    for case in cases(41, 4, 0.001):
        found = case.flood()
        assert np.array_equal(found.barrier == Barrier.EXCLUDED, ~case.allowed)
        barred = (found.barrier > Barrier.EXCLUDED) & (found.barrier < Barrier.CUT_OFF)
        by_name = sum(int((found.barrier == kind).sum()) for kind in Barrier)
        assert by_name == len(found.barrier)
        assert np.all(found.stage[found.reached] >= 0)
        assert np.all(found.stage[barred] >= 0)
        assert np.isfinite(found.dependent[found.reached]).all()


def test_swing_edges_between_tied_nodes_are_none():
    """Three swings and no other way: tied, the second is cut off; loose, it is reached."""
    geometry, home = forearm_rod(0.0)
    mechanism = build_arm(geometry, home)
    axes = (np.radians([20.0, 40.0, 60.0]), np.radians([40.0]), np.radians([80.0]))
    every = np.ones(3, dtype=bool)
    loose = flood_range(mechanism, axes, every, np.full(6, GUARD))
    assert loose.reached.all()
    tied = flood_range(mechanism, axes, every, np.full(6, GUARD), tied=np.ones(3, dtype=np.uint8))
    assert tied.reached.sum() == 1
    half = flood_range(mechanism, axes, every, np.full(6, GUARD), tied=np.array([1, 0, 1], dtype=np.uint8))
    assert half.reached.all()  # one free end is enough to drive the edge
    other = flood_range(mechanism, axes, every, np.full(6, GUARD), tied=np.full(3, 6, dtype=np.uint8))
    assert other.reached.all()  # bits of the other coordinates do not tie the swing


def test_a_start_that_is_masked_takes_the_nearest_allowed_node():
    geometry, home = forearm_rod(0.0)
    axes = (np.array([0.5]), np.radians([40.0]), np.radians(np.arange(60.0, 121.0, 5.0)))
    allowed = np.ones(13, dtype=bool)
    allowed[3:6] = False  # 75, 80, 85 deg about home's 80
    found = flood_range(build_arm(geometry, home), axes, allowed, np.full(6, GUARD))
    assert found.reached[:3].all() or found.reached[6:].all()
    nothing = flood_range(build_arm(geometry, home), axes, np.zeros(13, dtype=bool), np.full(6, GUARD))
    assert not nothing.reached.any()
    assert set(nothing.barrier) == {Barrier.EXCLUDED}


def test_progress_is_told_and_may_cancel():
    case = next(cases(51, 1, 0.0))
    told: list[tuple[int, int]] = []
    flood_range(
        case.mechanism, case.axes, case.allowed, np.repeat(case.floor, 2),
        progress=lambda done, whole: told.append((done, whole)),
    )  # fmt: skip
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert {whole for _, whole in told} == {int(case.allowed.sum())}
    assert told[-1][0] <= told[-1][1]

    def stop(_done: int, _whole: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        flood_range(case.mechanism, case.axes, case.allowed, np.repeat(case.floor, 2), progress=stop)


def test_same_input_same_bytes():
    for case in cases(61, 2, 0.001):
        one, two = case.flood(), case.flood()
        for name in ("barrier", "behind", "stage", "margin", "dependent"):
            assert getattr(one, name).tobytes() == getattr(two, name).tobytes()


def test_bytes_of_a_node():
    """Issue 2 section 7: an atlas takes at most 64 bytes a pose; a flood alone 31."""
    case = next(cases(71, 1, 0.0))
    found = case.flood()
    arrays = (found.barrier, found.behind, found.stage, found.margin, found.dependent)
    assert sum(a.nbytes for a in arrays) == 31 * len(found.barrier)


def test_nearest_labels_walks_through_given_nodes_only():
    """A row of seven: label 5 at the left end, 9 at the right; a wall at the fourth place."""
    labels = np.array([5, -1, -1, -1, -1, -1, 9])
    through = np.array([False, True, True, False, True, True, False])
    assert nearest_labels((7,), labels, through).tolist() == [5, 5, 5, -1, 9, 9, 9]


def test_exact_and_solved_closed_forms_agree():
    """The two hand routes used here and in the limbs' tests: determinant's sines and law of cosines."""
    rng = np.random.default_rng(81)
    for _ in range(10):
        geometry, home = random_geometry(rng, BASE)
        elevation, elbow = rng.uniform(0, 3, 40), rng.uniform(0, 2.4, 40)
        inside = sound(
            lambda a, b, g=geometry, h=home: exact_sines(g, h, a, b), np.full(3, 0.02), elevation, elbow
        )
        one = np.repeat(exact_sines(geometry, home, elevation, elbow), 2, axis=1)
        two = solved_sines(geometry, home, elevation, elbow)
        np.testing.assert_allclose(one[inside], two[inside], atol=1e-9)
