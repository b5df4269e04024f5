"""Weights and connectedness of the performer's range, against the slow way round."""

import math
from pathlib import Path

import numpy as np
import pytest

from limbwright.limbs.arm_geometry import ArmGeometry, resolve_arm
from limbwright.limbs.performer_range import UNDRIVEN, allowed_by_performer, swivel_lever
from limbwright.model.body import Body, complete_body
from limbwright.model.suit_file import load_suit
from limbwright.search.performer_grid import EVERYWHERE, performer_grid
from search.grids import STEP, ragged_grid, walked_share


@pytest.fixture(scope="module")
def demo(demo_suit_path: Path) -> tuple[ArmGeometry, Body]:
    suit = load_suit(demo_suit_path)
    body = complete_body(suit.active)
    return resolve_arm(suit, "arm", body, "right"), body


def test_weight_is_that_of_every_pose_asked_one_by_one(demo: tuple[ArmGeometry, Body]) -> None:
    geometry, body = demo
    grid = performer_grid(geometry, body.limits)
    s, e, f = np.meshgrid(grid.swing[::4], grid.elevation, grid.elbow[::7], indexing="ij")
    allowed = allowed_by_performer(geometry, body.limits, s, e, f)
    driven = swivel_lever(geometry, e, f) >= UNDRIVEN
    usable = allowed.joints & allowed.rotation
    bent = np.where(f[0] >= math.radians(15.0) - 1e-9, 1, 0)
    picked = np.where(bent[None], grid.bent[::4, :, None], grid.straight[::4, :, None])
    np.testing.assert_array_equal(picked, usable)
    np.testing.assert_array_equal(grid.driven[:, ::7], driven[0])
    assert grid.whole == pytest.approx(
        float((np.sin(grid.elevation) * grid.straight.sum(axis=0)).sum()) * len(grid.elbow)
    )


def test_windows_hold_the_poses_between_their_ends(demo: tuple[ArmGeometry, Body]) -> None:
    grid = performer_grid(demo[0], demo[1].limits)
    windows = np.radians([(20.0, 90.0), (60.0, 150.0), (10.0, 120.0)])
    th, fl = np.meshgrid(np.degrees(grid.elevation), np.degrees(grid.elbow), indexing="ij")
    places = (th, th + fl, fl)
    wanted = np.all(
        [(p > a - 1e-6) & (p < b + 1e-6) for p, (a, b) in zip(places, np.degrees(windows), strict=True)],
        axis=0,
    )
    np.testing.assert_array_equal(grid.inside(windows), wanted)


@pytest.mark.parametrize("seed", range(8))
def test_connected_share_is_the_walked_one(seed: int) -> None:
    grid = ragged_grid(seed)
    angles, floors = (0.3, 0.1, 0.4), (0.1, 0.2, 0.15)
    start = (STEP, 4 * STEP, 2 * STEP)
    places = (start[1], start[1] + start[2], start[2])
    windows = []
    for place, angle, floor, base in zip(places, angles, floors, (math.pi, math.pi, 0.0), strict=True):
        low = base - angle
        low += math.pi * math.floor((place - low) / math.pi)
        windows.append((low + floor, low + math.pi - floor))
    found = grid.connected_share(np.array(windows), start)
    assert found == pytest.approx(walked_share(grid, angles, floors, math.pi, start), abs=1e-12)
    assert found <= grid.share(np.array(windows)) + 1e-12


def test_swing_cannot_change_where_the_swivel_is_undriven() -> None:
    # two planes joined only through poses on the swivel's axis: reached is the plane one starts in
    grid = ragged_grid(0)
    straight = np.zeros((5, 12), dtype=np.bool_)
    straight[0] = straight[4] = True
    straight[:, 0] = True  # hanging, every swing is allowed
    worth = np.broadcast_to(np.sin(grid.elevation)[:, None], (12, 10))
    grid = grid._replace(straight=straight, bent=np.zeros_like(straight), worth=worth)
    driven = np.ones((12, 10), dtype=np.bool_)
    driven[0] = False
    apart = grid._replace(driven=driven, whole=1.0)
    joined = grid._replace(driven=np.ones_like(driven), whole=1.0)
    start = (0.0, 4 * STEP, 0.0)
    sines = float(np.sin(grid.elevation).sum())
    assert apart.connected_share(EVERYWHERE, start) == pytest.approx(sines)
    assert joined.connected_share(EVERYWHERE, start) == pytest.approx(2.0 * sines)


def test_weight_that_cannot_be_reached_at_all_is_left_out() -> None:
    grid = ragged_grid(3)
    straight = np.ones((5, 12), dtype=np.bool_)
    straight[:, 6] = False
    worth = np.broadcast_to(np.sin(grid.elevation)[:, None], (12, 10))
    grid = grid._replace(straight=straight, bent=straight, driven=worth > -1.0, worth=worth)
    reached = grid.connected_to((0.0, 2 * STEP, STEP)).weight
    assert not reached[6:].any()
    np.testing.assert_allclose(reached[1:6].sum(axis=1), 50.0 * np.sin(grid.elevation[1:6]))
