"""The usable share against a count of its own: closed-form locks, limits written out by hand, plain NumPy.

Sources: design section 5 (share, weight sin(elevation), causes), the closure determinant of section 6,
clinical limits as straight lines between planes (docs/mechanics.md). Rotation on an upright swivel is swing
less 90 deg (Wu et al. 2005; see tests/limbs/test_performer_range.py). `limbs.by_flood` is the second flood.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from limbs.by_flood import nearest_kinds, reached
from limbs.by_trig import exact_sines, plane_frame, solved_sines
from limbs.trial import altered, arms_of, random_geometry
from limbwright.analyses.reach import CAUSE_WORDS, Cause, Reach, sweep_reach
from limbwright.engine.flood import Barrier
from limbwright.limbs.parallel_arm import build_arm
from limbwright.limbs.performer_range import allowed_by_performer
from limbwright.limbs.worn_arm import WornArm

ARM = arms_of()[0]
STEPS = tuple(math.radians(v) for v in (20.0, 10.0, 10.0))
LIMITS = {"flexion": 160, "extension": 45, "abduction": 150, "medial": 60, "lateral": 90, "elbow": 140}


def by_hand(swing: np.ndarray, elevation: np.ndarray, elbow: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(joints allow it, rotation allows it) of the trial suit's performer on an upright swivel; arrays in
    deg."""
    ends = (LIMITS["extension"], LIMITS["abduction"], LIMITS["flexion"])
    joints = (elevation <= np.interp(swing, (-90, 0, 90), ends) + 1e-7) & (elbow <= LIMITS["elbow"] + 1e-7)
    rotation = (swing - 90 >= -LIMITS["lateral"] - 1e-7) & (swing - 90 <= LIMITS["medial"] + 1e-7)
    return joints, rotation | (elbow < 15 - 1e-7)


def random_arms(seed: int, count: int, error: float = 0.0):
    rng = np.random.default_rng(seed)
    for _ in range(count):
        geometry, home = random_geometry(rng, ARM.geometry)
        stops = tuple(float(s) for s in np.radians(rng.choice([0.0, 0.3, 5.0, 12.0, 20.0], 3)))
        geometry = replace(geometry, lean_out=0.0, lean_forward=0.0, stops=stops)
        geometry = geometry.with_length("rod_forearm", error).with_length("rod_relay", -error)
        home = replace(home, swing=abs(home.swing))
        yield replace(ARM, geometry=geometry, assembled=home, mechanism=build_arm(geometry, home))


def grid(found: Reach) -> tuple[np.ndarray, ...]:
    return tuple(g.ravel() for g in np.meshgrid(*found.flood.axes, indexing="ij"))


def usable_by_hand(arm: WornArm, found: Reach, keep_rotation: bool) -> tuple[np.ndarray, np.ndarray]:
    """(usable, within the performer's joints): reached by the second flood and driven about the swivel."""
    g, places = arm.geometry, grid(found)
    joints, rotation = by_hand(*(np.degrees(v) for v in places))
    elevation, elbow = places[1], places[2]
    levers = np.abs([g.drive * np.sin(elevation), g.drive * np.sin(elevation)])
    levers[1] = np.abs(g.drive * np.sin(elevation) + g.performer_forearm * np.sin(elevation + elbow))
    slack = levers.max(axis=0) < 0.030
    floor = np.repeat(np.maximum(g.stops, math.radians(0.5)), 2)

    def sines(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        return solved_sines(g, arm.assembled, a, b)

    mask = joints & rotation if keep_rotation else joints
    got = reached(found.flood.axes, arm.assembled, sines, floor, mask, slack)
    return got & ~slack, joints


@pytest.mark.parametrize(("seed", "error"), [(1, 0.0), (2, 0.0), (3, 0.0008)])
def test_shares_are_the_count_by_hand(seed, error):
    """To 1e-12, with and without the rotation that the one-axis elbow dictates."""
    for arm in random_arms(seed, 6, error):
        found = sweep_reach(arm, STEPS)
        weight = np.sin(grid(found)[1])
        usable, joints = usable_by_hand(arm, found, keep_rotation=True)
        np.testing.assert_array_equal(found.cause == Cause.USABLE, usable)
        np.testing.assert_array_equal(found.cause != Cause.JOINT_RANGE, joints)
        whole = weight[joints].sum()
        assert found.usable_share == pytest.approx(weight[usable].sum() / whole, abs=1e-12)
        free, _ = usable_by_hand(arm, found, keep_rotation=False)
        assert found.share_without_rotation == pytest.approx(weight[free].sum() / whole, abs=1e-12)
        assert found.share_without_rotation >= found.usable_share


@pytest.mark.parametrize("error", [0.0, 0.001])
def test_every_node_has_one_cause_and_the_losses_add_up(error):
    """Usable share and losses make the whole; each loss is the weight of its own nodes, the cut-off apart."""
    for arm in random_arms(5, 6, error):
        found = sweep_reach(arm, STEPS)
        total = found.usable_share + sum(loss.at_barrier + loss.behind for loss in found.losses)
        assert total == pytest.approx(1.0, abs=1e-12)
        whole = found.weight[found.cause != Cause.JOINT_RANGE].sum()
        for loss in found.losses:
            mine = found.cause == loss.cause
            assert loss.at_barrier == pytest.approx(
                found.weight[mine & ~found.cut_off].sum() / whole, abs=1e-12
            )
            assert loss.behind == pytest.approx(found.weight[mine & found.cut_off].sum() / whole, abs=1e-12)
        named = {loss.cause for loss in found.losses}
        there = {Cause(c) for c in np.unique(found.cause) if found.weight[found.cause == c].sum() > 0}
        assert named == there - {Cause.USABLE, Cause.JOINT_RANGE}
        assert found.undriven_share == pytest.approx(
            found.weight[found.cause == Cause.UNDRIVEN].sum() / whole, abs=1e-12
        )


def test_cut_off_takes_the_nearest_barriers_cause():
    """Breadth first in plain Python. Behind no lock, it is cut off by the performer's own limits."""
    kind_of = {
        Barrier.FLOOR: Cause.STOP, Barrier.CHANGE_POINT: Cause.CHANGE_POINT,
        Barrier.DEAD_POINT: Cause.DEAD_POINT, Barrier.CANNOT_CLOSE: Cause.CANNOT_CLOSE,
    }  # fmt: skip
    checked = 0
    for arm in random_arms(7, 5, 0.0005):
        found = sweep_reach(arm, STEPS)
        barrier = found.flood.barrier
        real = (barrier > Barrier.EXCLUDED) & (barrier < Barrier.CUT_OFF)
        nearest = nearest_kinds(found.flood.shape, np.where(real, barrier.astype(int), -1), found.cut_off)
        np.testing.assert_array_equal(found.cut_off, barrier == Barrier.CUT_OFF)
        for node in np.flatnonzero(found.cut_off):
            kinds = {kind_of[Barrier(k)] for k in nearest[node]}
            assert Cause(found.cause[node]) in (kinds or {Cause.ROTATION})
            checked += bool(kinds)
        for node in np.flatnonzero(real):
            assert Cause(found.cause[node]) == kind_of[Barrier(barrier[node])]
    assert checked > 50


def test_dictated_rotation_is_a_loss_of_its_own():
    """Planes below 0 deg ask for more than 90 deg of lateral rotation: with the elbow bent those nodes are
    lost to it, whatever the linkage does there; straight, they are not."""
    found = sweep_reach(ARM, STEPS)
    swing, _, elbow = grid(found)
    inside = found.cause != Cause.JOINT_RANGE
    asked = inside & (swing < -1e-6) & (elbow > math.radians(15) - 1e-6)
    assert asked.any()
    assert set(found.cause[asked]) == {Cause.ROTATION}
    assert Cause.ROTATION not in set(found.cause[inside & (elbow < math.radians(14))])


def test_a_hanging_straight_arm_leaves_the_swivel_undriven():
    """Lever by hand: at elevation 0 the forearm's sine alone; under 30 mm nobody drives the swivel, and the
    pose is no usable one though the arm can stand in it."""
    arm = altered(ARM, angle_shoulder=math.radians(90), angle_forearm=math.radians(60), stops=(0.0, 0.0, 0.0))
    found = sweep_reach(arm, STEPS)
    _, elevation, elbow = grid(found)
    hanging = (elevation < 1e-9) & (elbow < 1e-9)
    inside = found.cause != Cause.JOINT_RANGE
    assert set(found.cause[hanging & inside]) == {Cause.UNDRIVEN}
    # at 10 deg of elbow the wrist is 0.268 sin 10 deg = 47 mm off the axis: driven again
    bent = (elevation < 1e-9) & (np.abs(elbow - math.radians(10)) < 1e-9) & inside
    assert set(found.cause[bent]) == {Cause.USABLE}


@pytest.mark.parametrize("lean", [(0.35, 0.0), (-0.3, 0.2)])
def test_a_leaning_swivels_grid_covers_the_performers_range(lean):
    """Elevation is counted from the leaning axis, so the performer's highest pose can lie beyond their own
    number: past the grid's top no direction is one that the performer's joints allow."""
    arm = altered(ARM, lean_out=lean[0], lean_forward=lean[1])
    top = sweep_reach(arm, STEPS).flood.axes[1][-1]
    swing = np.radians(np.linspace(-40.0, 120.0, 81))
    beyond = np.linspace(top + STEPS[1], math.pi, 50)
    if top + STEPS[1] < math.pi:
        s, e = (v.ravel() for v in np.meshgrid(swing, beyond))
        assert not allowed_by_performer(
            arm.geometry, arm.body.limits, s, e, np.full(s.shape, 0.1)
        ).joints.any()
    # by hand: the steepest arm of the grid, seen from the world, stands higher than the performer reaches
    r, up = plane_frame(arm.geometry, 0.0)
    steepest = math.sin(top) * r - math.cos(top) * up
    assert math.degrees(math.acos(-steepest[2])) > 150.0 - math.degrees(STEPS[1]) or top > math.pi - STEPS[1]


def test_a_leaning_swivel_counts_against_the_second_flood():
    """Limits by `allowed_by_performer` (held against Wu et al. in its own test), locks by the determinant."""
    rng = np.random.default_rng(9)
    for _ in range(4):
        geometry, home = random_geometry(rng, ARM.geometry)
        arm = replace(ARM, geometry=geometry, assembled=home, mechanism=build_arm(geometry, home))
        found = sweep_reach(arm, STEPS)
        places = grid(found)
        allowed = allowed_by_performer(geometry, arm.body.limits, *places)
        mask = allowed.joints & allowed.rotation
        if not mask.any():
            continue
        floor = np.maximum(geometry.stops, math.radians(0.5))

        def sines(a: np.ndarray, b: np.ndarray, g=geometry, h=home) -> np.ndarray:
            return exact_sines(g, h, a, b)

        at_elbow = geometry.drive * np.sin(places[1])
        at_wrist = at_elbow + geometry.performer_forearm * np.sin(places[1] + places[2])
        slack = np.maximum(np.abs(at_elbow), np.abs(at_wrist)) < 0.030
        got = reached(found.flood.axes, home, sines, floor, mask, slack)
        np.testing.assert_array_equal(found.flood.reached, got)
        share = np.sin(places[1])[got & ~slack].sum() / np.sin(places[1])[allowed.joints].sum()
        assert found.usable_share == pytest.approx(share, abs=1e-12)


def test_share_with_margin_by_hand():
    """Usable nodes whose least stage angle keeps the margin, of the same whole."""
    arm = altered(ARM, stops=(0.0, 0.0, 0.0))
    found = sweep_reach(arm, STEPS)
    _, elevation, elbow = grid(found)
    inside = found.cause != Cause.JOINT_RANGE
    angles = np.degrees(np.arcsin(np.clip(exact_sines(arm.geometry, arm.assembled, elevation, elbow), -1, 1)))
    for margin in (5.0, 12.0, 20.0):
        kept = (found.cause == Cause.USABLE) & (angles.min(axis=1) >= margin - 1e-7)
        want = found.weight[kept].sum() / found.weight[inside].sum()
        assert found.share_with_margin(math.radians(margin)) == pytest.approx(want, abs=1e-12)
    assert found.share_with_margin(0.0) == pytest.approx(found.usable_share, abs=1e-12)


def test_a_finer_sweep_stays_in_the_shares_band():
    """Steps of 6, 10 and 20 deg against 3 deg: what the border between nodes may give or take."""
    for arm in random_arms(13, 3):
        fine = sweep_reach(arm, tuple(math.radians(v) for v in (6.0, 3.0, 3.0))).usable_share
        for step in (6.0, 10.0, 20.0):
            low, high = sweep_reach(arm, (math.radians(step),) * 3).share_band
            assert low <= fine <= high


def test_stops_are_named_only_where_they_are_fitted():
    """Without stops an exact arm ends at change points; with them, at stops; never at dead points."""
    for stops, want in (((0.0, 0.0, 0.0), Cause.CHANGE_POINT), ((0.2, 0.2, 0.2), Cause.STOP)):
        arm = altered(ARM, stops=stops)
        found = sweep_reach(arm, STEPS)
        ends = {loss.cause for loss in found.losses} - {Cause.ROTATION, Cause.UNDRIVEN}
        assert ends == {want}


def test_a_rod_that_does_not_match_ends_in_dead_points():
    arm = altered(ARM, stops=(0.0, 0.0, 0.0), rod_forearm=ARM.geometry.rod_forearm + 0.001)
    assert Cause.DEAD_POINT in {loss.cause for loss in sweep_reach(arm, STEPS).losses}


def test_axes_are_whole_steps_within_the_limits():
    """Swivel -40 to 120 deg, elevation to 160, elbow to 140: whole steps, none past the end."""
    for step in (7.0, 10.0, 20.0):
        found = sweep_reach(ARM, (math.radians(step),) * 3)
        for axis, (low, high) in zip(found.flood.axes, ((-40, 120), (0, 160), (0, 140)), strict=True):
            degrees = np.degrees(axis)
            np.testing.assert_allclose(np.diff(degrees), step, atol=1e-9)
            assert degrees[0] == pytest.approx(low)
            assert high - step + 1e-9 < degrees[-1] <= high + 1e-9
        np.testing.assert_allclose(np.degrees(found.steps), step)


def test_usable_poses_lie_where_their_nodes_say():
    found = sweep_reach(ARM, STEPS)
    nodes = found.usable[::17]
    q = found.poses(nodes)
    places = np.stack([g[nodes] for g in grid(found)], axis=1)
    np.testing.assert_allclose(ARM.mechanism.driven_values(q), places, atol=1e-15)
    np.testing.assert_allclose(
        q[:, 3:], np.stack([places[:, 1], places[:, 2], places[:, 2]], axis=1), atol=1e-9
    )


def test_progress_may_cancel():
    def stop(_done: int, _whole: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        sweep_reach(ARM, STEPS, stop)


def test_an_atlas_stays_under_64_bytes_a_pose():
    """Issue 2 section 7. Flood 31 and reach 10 bytes a node: 41."""
    found = sweep_reach(ARM, STEPS)
    flood = found.flood
    arrays = [found.cause, found.cut_off, found.weight]
    arrays += [v for v in vars(flood).values() if isinstance(v, np.ndarray)]
    assert sum(a.nbytes for a in arrays) == 41 * len(found.cause)


def test_every_cause_has_its_words():
    assert CAUSE_WORDS.keys() == set(Cause)
    assert len(set(CAUSE_WORDS.values())) == len(Cause)
