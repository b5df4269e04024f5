"""The names that the flood gives to what stands in its way.

Sources: design section 5 (edge rule, named causes), the closure determinant of section 6, the four-bar's law
of cosines for arms whose lengths do not match (`limbs.by_trig`), jobmap section 0 for the lock angles 5.734
and 7.020 deg. The second flood (`limbs.by_flood`) is plain NumPy and shares no code with the engine.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from engine.flood_cases import GUARD, Case, cases, forearm_rod
from limbs.by_flood import nearest_kinds, neighbours
from limbwright.engine.flood import BARE_FLOOR, Barrier, Flood, flood_range
from limbwright.limbs.parallel_arm import build_arm


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
