"""The flood against a second one over the closed form, and the names it gives to what stands in its way.

Sources: design section 5 (edge rule, named causes), the closure determinant of section 6, the four-bar's law
of cosines for arms whose lengths do not match (`limbs.by_trig`), jobmap section 0 for the lock angles 5.734
and 7.020 deg. The second flood (`limbs.by_flood`) is plain NumPy and shares no code with the engine.
"""

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pytest

from limbs.by_flood import nearest_kinds, neighbours, reached, sound
from limbs.by_trig import exact_sines, solved_sines, windows
from limbs.trial import arms_of, random_geometry
from limbwright.core.errors import GeometryError
from limbwright.engine.closure import closure_rows, stage_angles
from limbwright.engine.flood import BARE_FLOOR, Barrier, Flood, flood_range, nearest_labels, node_poses
from limbwright.engine.mechanism import Mechanism
from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.limbs.parallel_arm import Drive, build_arm

BASE = arms_of()[0].geometry
GUARD = math.radians(0.5)


class Case(NamedTuple):
    geometry: ArmGeometry
    home: Drive
    mechanism: Mechanism
    axes: tuple[np.ndarray, ...]
    allowed: np.ndarray
    floor: np.ndarray  # of the three stages
    tied: np.ndarray

    def flood(self) -> Flood:
        return flood_range(
            self.mechanism, self.axes, self.allowed, np.repeat(self.floor, 2), tied=self.tied.astype(np.uint8)
        )

    def sines(self, elevation: np.ndarray, elbow: np.ndarray) -> np.ndarray:
        return solved_sines(self.geometry, self.home, elevation, elbow)

    def by_hand(self) -> np.ndarray:
        return reached(self.axes, self.home, self.sines, np.repeat(self.floor, 2), self.allowed, self.tied)


def axes_of(step: float) -> tuple[np.ndarray, ...]:
    elevation, elbow = (np.arange(0.0, top + 1e-9, step) for top in (160.0, 140.0))
    return (np.radians([0.0, 30.0, 60.0]), np.radians(elevation), np.radians(elbow))


def random_case(rng: np.random.Generator, error: float) -> Case:
    """An arm of any proportions, its lengths off by up to `error` [m], and a mask with holes in it."""
    geometry, home = random_geometry(rng, BASE)
    off = rng.uniform(-error, error, 5)
    geometry = replace(
        geometry,
        rod_shoulder=geometry.rod_shoulder + off[0],
        rod_forearm=geometry.rod_forearm + off[1],
        rod_relay=geometry.rod_relay + off[2],
        crank_carrier=geometry.crank_carrier + 0.3 * off[3],
        relay_at=geometry.relay_at + 0.3 * off[4],
    )
    axes = axes_of(float(rng.choice([5.0, 7.0, 10.0, 15.0, 28.0])))
    swing, elevation, elbow = np.meshgrid(*axes, indexing="ij")
    allowed = (rng.random(swing.shape) > 0.06) & (elevation < math.radians(150) - 0.2 * swing)
    tied = (elevation < 0.2) & (elbow < 0.3)
    floor = np.radians(rng.choice([0.5, 2.0, 6.5, 10.0, 20.0], 3))
    return Case(
        geometry, home, build_arm(geometry, home), axes, allowed.ravel(), floor, tied.ravel()
    )  # fmt: skip


def cases(seed: int, count: int, error: float):
    rng = np.random.default_rng(seed)
    while count:
        try:
            case = random_case(rng, error)
        except GeometryError:  # this one's errors keep it from being assembled
            continue
        start = stage_angles(case.mechanism, case.mechanism.assembled)
        if np.any(start < np.repeat(case.floor, 2) + 0.1):
            continue
        count -= 1
        yield case


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


def named_first(case: Case, node: int, shape: tuple[int, ...], found: Flood) -> set[Barrier]:
    """What comes first on the way from any reached neighbour, in 400 fine steps of the closed form."""
    names: set[Barrier] = set()
    exact = np.allclose(case.geometry.rod_shoulder, case.geometry.mast, atol=1e-12)
    floor = np.repeat(case.floor, 2)
    for other in neighbours(node, shape):
        if not found.reached[other]:
            continue
        (_, e0, b0), (_, e1, b1) = found.driven(np.array([other, node]))
        way = np.linspace(0.0, 1.0, 401)
        angles = np.arcsin(case.sines(e0 + way * (e1 - e0), b0 + way * (b1 - b0)))
        stop = np.any((angles < floor) & (floor > BARE_FLOOR), axis=1)
        lock = ~np.all(angles > 0.0, axis=1)  # NaN where it cannot close counts too
        bare = np.any((angles < floor) & (floor <= BARE_FLOOR), axis=1)
        first = [int(np.argmax(x)) if x.any() else 999 for x in (stop, lock, bare)]
        if min(first) == 999:
            continue
        kind = Barrier.CHANGE_POINT if exact else Barrier.DEAD_POINT
        if first[0] <= min(first[1:]):
            names.add(Barrier.FLOOR)
        if min(first[1:]) <= first[0] + 1:
            names.add(kind)
    return names


@pytest.mark.parametrize(("seed", "error"), [(21, 0.0), (22, 0.001), (23, 0.004)])
def test_barriers_are_named_by_what_comes_first(seed, error):
    """A fitted stop where it touches before the lock, else the lock: a change point of exact rods, a dead
    point of others. Walked along the edge in the closed form."""
    seen: set[Barrier] = set()
    for case in cases(seed, 8, error):
        found = case.flood()
        barred = np.flatnonzero((found.barrier > Barrier.EXCLUDED) & (found.barrier < Barrier.CUT_OFF))
        assert np.all(found.barrier[barred] != Barrier.CANNOT_CLOSE)
        for node in barred[:: max(1, len(barred) // 60)]:
            kind = Barrier(found.barrier[node])
            assert kind in named_first(case, node, found.shape, found)
            seen.add(kind)
    assert seen == {Barrier.FLOOR, Barrier.DEAD_POINT if error else Barrier.CHANGE_POINT}


def forearm_rod(error: float) -> tuple[ArmGeometry, Drive]:
    """jobmap's stage as the relay stage: side 400 mm, crank 80 mm, rod off by `error`, angle the elbow's."""
    geometry = replace(
        BASE, carrier=BASE.relay_at + 0.4, crank_relay_outer=0.08, crank_character=0.08, angle_relay=0.0,
        angle_shoulder=math.radians(60), angle_forearm=math.radians(141), mast_lean=0.0,
    ).matched()  # fmt: skip
    return replace(geometry, rod_relay=geometry.rod_relay + error), Drive(
        0.5, math.radians(40), math.radians(80)
    )


def last_elbow(error: float, down: bool) -> tuple[float, Barrier]:
    """Elbow at which the flood's barrier stands (deg), by ever finer grids about it, and its name."""
    geometry, home = forearm_rod(error)
    mechanism = build_arm(geometry, home)
    low, high = (0.0, 80.0) if down else (80.0, 180.0)
    name = Barrier.NONE
    for _ in range(7):
        grid = np.linspace(low, high, 11)
        # the way from the assembled pose to the grid, so that it starts where the arm is put together
        elbow = np.unique(np.concatenate([grid, np.linspace(80.0, grid[-1] if down else grid[0], 30)]))
        axes = (np.array([0.5]), np.radians([40.0]), np.radians(elbow))
        found = flood_range(mechanism, axes, np.ones(len(elbow), dtype=bool), np.zeros(6))
        got = elbow[found.reached]
        beyond = elbow[~found.reached]
        beyond = beyond[beyond < got.min()] if down else beyond[beyond > got.max()]
        if not len(beyond):
            return (got.min() if down else got.max()), Barrier.NONE
        inner, outer = (got.min(), beyond.max()) if down else (got.max(), beyond.min())
        name = Barrier(found.barrier[np.argmin(np.abs(elbow - outer))])
        low, high = sorted((inner, outer))
    return 0.5 * (low + high), name


def test_a_long_rod_is_a_dead_point_5_734_deg_early():
    at, name = last_elbow(0.0005, down=True)
    assert name == Barrier.DEAD_POINT
    assert at == pytest.approx(5.734, abs=0.0005)


def test_a_short_rod_is_a_dead_point_7_020_deg_before_the_far_one():
    at, name = last_elbow(-0.0005, down=False)
    assert name == Barrier.DEAD_POINT
    assert 180.0 - at == pytest.approx(7.020, abs=0.0005)


def test_an_exact_rod_is_a_change_point_where_the_window_closes():
    """At elbow 0 exactly, and nowhere before it."""
    assert last_elbow(0.0, down=True)[0] == pytest.approx(0.0, abs=1e-6)
    geometry, home = forearm_rod(0.0)
    geometry = replace(geometry, angle_relay=math.radians(-30))
    axes = (np.array([0.5]), np.radians([40.0]), np.radians(np.arange(0.0, 100.0, 5.0)))
    found = flood_range(build_arm(geometry, home), axes, np.ones(20, dtype=bool), np.zeros(6))
    # the pose at 30 deg itself may count either way: it stands on the change point
    assert found.reached.tolist()[7:] == [True] * 13
    assert not found.reached[:6].any()
    assert Barrier(found.barrier[5 if found.reached[6] else 6]) == Barrier.CHANGE_POINT


@pytest.mark.parametrize("error", [-0.0005, 0.0005])
@pytest.mark.parametrize("stop", [10.0, 20.0])
def test_a_stop_that_touches_first_is_called_a_stop(error, stop):
    """Whatever the rod's error does 5.7 or 7 deg from the change point, a stop at 10 deg comes before it,
    even where one stride of 28 deg leads past both."""
    geometry, home = forearm_rod(error)
    mechanism = build_arm(geometry, home)
    for step in (2.0, 5.0, 28.0):
        elbow = np.radians(np.arange(80.0 % step, 140.0, step))
        axes = (np.array([0.5]), np.radians([40.0]), elbow)
        found = flood_range(
            mechanism, axes, np.ones(len(elbow), dtype=bool), np.radians([0.5] * 4 + [stop] * 2)
        )
        node = int(np.flatnonzero(found.reached)[0]) - 1
        if node >= 0:
            assert Barrier(found.barrier[node]) == Barrier.FLOOR
            assert found.stage[node] in (4, 5)


@pytest.mark.parametrize("error", [-0.0005, 0.0005, -0.003, 0.003])
def test_without_stops_nothing_is_called_a_stop(error):
    """Bare floors only keep the flood off the lock itself: no person fitted them, so no barrier is a stop. A
    short rod's near lock leaves the driver free but turns the copy back: a dead point all the same."""
    geometry, home = forearm_rod(error)
    mechanism = build_arm(geometry, home)
    axes = (np.array([0.5]), np.radians(np.arange(0.0, 121.0, 5.0)), np.radians(np.arange(-20.0, 170.0, 5.0)))
    count = 25 * 38
    found = flood_range(mechanism, axes, np.ones(count, dtype=bool), np.full(6, GUARD))
    kinds = set(found.barrier[found.barrier > Barrier.EXCLUDED]) - {Barrier.CUT_OFF}
    assert Barrier.FLOOR not in kinds
    assert Barrier.DEAD_POINT in kinds
    assert Barrier.CANNOT_CLOSE not in kinds


def test_a_rod_far_too_short_stops_at_its_dead_point():
    """30 mm short: the pins of relay and character's elbow can be b + L apart at most, which ends the range
    tens of degrees early (law of cosines); beyond it the loop cannot close at all."""
    geometry, home = forearm_rod(-0.030)
    elbow = np.arange(20.0, 180.0, 1.0)
    axes = (np.array([0.5]), np.radians([40.0]), np.radians(elbow))
    case = Case(
        geometry, home, build_arm(geometry, home), axes, np.ones(len(elbow), dtype=bool), np.zeros(3),
        np.zeros(len(elbow), dtype=bool),
    )  # fmt: skip
    found = case.flood()
    np.testing.assert_array_equal(found.reached, case.by_hand())
    reach = 0.4**2 + 0.08**2 - (0.08 + 0.37) ** 2
    ends = math.degrees(math.acos(reach / (2 * 0.4 * 0.08)))
    assert elbow[found.reached].max() == math.floor(ends)
    assert Barrier(found.barrier[np.flatnonzero(found.reached)[-1] + 1]) == Barrier.DEAD_POINT


@pytest.mark.parametrize("error", [0.0, 0.002])
def test_what_is_cut_off_lies_behind_the_nearest_barrier(error):
    """Counted apart from the barrier itself; its kind by a breadth-first walk in Python, ties either way."""
    total = 0
    for case in cases(31, 4, error):
        found = case.flood()
        real = (found.barrier > Barrier.EXCLUDED) & (found.barrier < Barrier.CUT_OFF)
        cut = found.barrier == Barrier.CUT_OFF
        kinds = nearest_kinds(found.shape, np.where(real, found.barrier.astype(int), -1), cut)
        for node in np.flatnonzero(cut):
            if kinds[node]:
                assert int(found.behind[node]) in kinds[node]
            else:
                assert found.behind[node] == Barrier.NONE
        assert np.all(found.behind[~cut] == Barrier.NONE)
        total += int(cut.sum())
        # never visited: no reached node beside it, unless the edge between is tied
        for node in np.flatnonzero(cut)[::11]:
            for other in neighbours(node, found.shape):
                assert not found.reached[other] or (case.tied[node] and case.tied[other])
    assert total > 100


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
