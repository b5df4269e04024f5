"""Flooding asks nothing of a mechanism but that it is assembled: balls, no stages, a single row."""

import numpy as np

from engine import by_hand
from engine.rigs import four_bar
from engine.test_holding import spatial_rig
from limbwright.engine.flood import Barrier, flood_range, node_poses


def test_ball_joints_are_carried_whole():
    """A mechanism with a ball keeps all four numbers of its quaternion from node to node, watched or not;
    it ends where its stays draw tight (found by driving it: near 0.35 rad)."""
    rig = spatial_rig()
    mechanism = rig.assemble()
    angles = np.linspace(0.2, 1.0, 81)
    found = flood_range(mechanism, [angles], np.ones(81, dtype=np.bool_), np.zeros(0))
    assert found.reached[angles > 0.4].all()
    assert not found.reached[angles < 0.3].any()
    edge = np.flatnonzero(found.reached)[0] - 1
    assert found.barrier[edge] == Barrier.DEAD_POINT
    poses = node_poses(mechanism, found, np.flatnonzero(found.reached))
    assert by_hand.gaps(rig.builder, poses).max() < 1e-10
    np.testing.assert_allclose(np.linalg.norm(poses[:, 5:9], axis=1), 1.0, atol=1e-13)


def test_one_row_between_two_change_points():
    """An exact parallelogram of two pins and a rod: all of its one row vanishes at 0 and 180 deg."""
    mechanism = four_bar(0.4, 0.08, 0.4, 0.08, (1.5, 0.0, 1.5), "rod", both_ends=True).assemble()
    angles = np.radians(np.arange(-40.0, 221.0, 5.0) + 1.0)
    found = flood_range(mechanism, [angles], np.ones(len(angles), dtype=np.bool_), np.zeros(2))
    np.testing.assert_array_equal(found.reached, (angles > 0) & (angles < np.pi))
    first, last = np.flatnonzero(found.reached)[[0, -1]]
    assert found.barrier[first - 1] == Barrier.CHANGE_POINT
    assert found.barrier[last + 1] == Barrier.CHANGE_POINT
    inside = angles[found.reached]
    np.testing.assert_allclose(found.margin[found.reached], np.minimum(inside, np.pi - inside), atol=1e-6)
