"""Crank angles against areas found by geometry and against a walk over every node for every choice."""

import math
from itertools import product

import numpy as np
import pytest

from limbwright.search.crank_angles import (
    SHARE_SLACK,
    Demand,
    Options,
    choose_angles,
    low_locks,
    pose_margins,
    stage_options,
)
from search.grids import even_grid, margins, ragged_grid, walked_share

UPRIGHT = math.pi
Three = tuple[Options, Options, Options]


def demand(*poses: tuple[float, float], swing: float = 0.0) -> Demand:
    """Poses as elevation and elbow [deg]; the first is the assembled one."""
    elevation, elbow = np.radians(np.array(poses)).T
    names = tuple(f"pose {n}" for n in range(len(poses)))
    return Demand(names, math.radians(swing), elevation, elbow)


def options(wish: Demand, margin: float, mast_angle: float = UPRIGHT) -> Three:
    """Whole degrees for every stage, no stops; `margin` in deg."""
    a, b, c = (stage_options(wish, mast_angle, k, None, math.radians(margin), 0.0) for k in range(3))
    return (a, b, c)


def kept_area(highest: float, most_elbow: float, margin: float) -> float:
    """Greatest part of a rectangle that three windows of 180 deg less two margins can cover.

    Two windows cut the rectangle down from its sides; the third, across the diagonal, leaves two
    equal right-angled triangles at the corners.
    """
    window = 180.0 - 2.0 * margin
    a, b = min(highest, window), min(most_elbow, window)
    leg = max(0.0, 0.5 * (a + b - window))
    return (a * b - leg * leg) / (highest * most_elbow)


@pytest.mark.parametrize(("margin", "published"), [(0.0, 0.82), (10.0, 0.75), (20.0, 0.62)])
def test_best_share_of_elevation_by_elbow(margin: float, published: float) -> None:
    """The design figures, equal weights: elevation 0 to 165 deg, elbow 0 to 145 deg reproduce them."""
    grid = even_grid(165.0, 145.0, 1.0)
    found = choose_angles(grid, demand((80.0, 72.0)), options(demand((80.0, 72.0)), margin))
    assert found.share == pytest.approx(published, abs=0.01)
    # nodes at the edge of a window count whole, so the grid's share may exceed the area a little
    assert found.share == pytest.approx(kept_area(165.0, 145.0, margin), abs=0.01)
    assert found.share <= published + 0.01


def thinned(options_of_stage: Options, wanted: list[float]) -> Options:
    """Only some of the angles [deg]."""
    return options_of_stage.only(
        np.isin(np.round(np.degrees(options_of_stage.angle), 6), wanted), options_of_stage.floor
    )


@pytest.mark.parametrize("seed", range(5))
def test_the_choice_is_the_best_of_all_by_walking(seed: int) -> None:
    grid = ragged_grid(seed)
    mast_angle = math.radians(172.0)
    wish = demand((45.0, 30.0), (90.0, 45.0), (60.0, 15.0), swing=20.0)
    wanted = [float(a) for a in range(-75, 91, 30)]
    a, b, c = (thinned(o, wanted) for o in options(wish, 12.0, mast_angle))
    found = choose_angles(grid, wish, (a, b, c))
    walked: dict[tuple[float, float, float], tuple[float, float]] = {}
    floors = (math.radians(12.0),) * 3
    for angles in product(a.angle, b.angle, c.angle):
        at_poses = np.array(
            [margins(th, fl, angles, mast_angle) for th, fl in zip(wish.elevation, wish.elbow, strict=True)]
        )
        least = float((np.sign(at_poses[0]) * at_poses).min())
        assert least >= floors[0] - 1e-9, "an option does not serve every pose"
        share = walked_share(grid, angles, floors, mast_angle, wish.start)
        walked[angles] = (share, least)
    assert found.share == pytest.approx(walked[found.angles][0], abs=1e-12)
    best = max(share for share, _ in walked.values())
    assert found.share >= best - SHARE_SLACK - 1e-12
    close = [least for share, least in walked.values() if share >= best - SHARE_SLACK]
    assert walked[found.angles][1] == pytest.approx(max(close), abs=1e-9)


def test_every_whole_degree_that_serves_the_poses_is_an_option() -> None:
    wish = demand((30.0, 25.0), (95.0, 45.0), (45.0, 95.0))
    for stage, option in enumerate(options(wish, 15.0)):
        expected = []
        for c in range(-89, 91):
            angles = [0.0, 0.0, 0.0]
            angles[stage] = math.radians(c)
            at = np.array(
                [
                    margins(th, fl, tuple(angles), UPRIGHT)[stage]
                    for th, fl in zip(wish.elevation, wish.elbow, strict=True)
                ]
            )
            if np.all(np.sign(at[0]) * at >= math.radians(15.0) - 1e-9):
                expected.append(c)
        np.testing.assert_allclose(np.degrees(option.angle), expected, atol=1e-9)


def test_poses_too_far_apart_are_left_equally_far_from_the_locks() -> None:
    # 155 deg apart in elevation + elbow: at 15 deg margin a window holds 150 deg
    wish = demand((30.0, 10.0), (105.0, 90.0))
    forearm = options(wish, 15.0)[1]
    np.testing.assert_allclose(np.degrees(forearm.margin.min(axis=1)), 12.0)  # 12.5 in whole degrees
    assert math.degrees(forearm.floor) == pytest.approx(12.0)


def test_poses_no_window_can_hold_leave_the_assembled_one_and_most_others() -> None:
    wish = demand((30.0, 10.0), (60.0, 30.0), (150.0, 100.0))
    forearm = options(wish, 15.0)[1]
    assert len(forearm.angle)
    served = forearm.margin >= math.radians(15.0) - 1e-9
    assert served[:, :2].all()
    assert not served[:, 2].any()


def test_a_written_angle_stands() -> None:
    wish = demand((30.0, 10.0), (60.0, 30.0))
    only = stage_options(wish, UPRIGHT, 0, math.radians(12.3), math.radians(15.0), 0.0)
    np.testing.assert_allclose(np.degrees(only.angle), [12.3])


def test_half_a_turn_more_locks_at_the_same_places() -> None:
    angle = np.radians(np.array([10.0, 190.0, -170.0]))
    low = low_locks(angle, UPRIGHT, 0, math.radians(40.0))
    np.testing.assert_allclose(np.degrees(low), -10.0, atol=1e-9)
    np.testing.assert_allclose(np.degrees(pose_margins(low, np.radians([40.0, 175.0]))), [[50.0, -5.0]] * 3)


@pytest.mark.parametrize("seed", range(4))
def test_a_choice_repeats_exactly(seed: int) -> None:
    grid, wish = ragged_grid(seed), demand((45.0, 30.0), (90.0, 60.0))
    assert choose_angles(grid, wish, options(wish, 10.0)) == choose_angles(grid, wish, options(wish, 10.0))
