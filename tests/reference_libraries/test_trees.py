"""Body placements and gravity moments of random trees against two rigid-body libraries: 1e-8 (bar of the
design); both libraries and the engine work in double precision, so 1e-10 is found.
"""

import mujoco
import numpy as np
import pinocchio as pin
import pytest

from engine.rigs import random_pose, random_tree
from engine.test_derivatives import open_mechanism, random_masses, slopes
from limbwright.engine.closure import frames
from reference_libraries.in_mujoco import mujoco_model, mujoco_pose, velocity_order
from reference_libraries.in_pinocchio import pin_model, pin_pose

BAR = 1e-8
TREES, STATES = 40, 5


@pytest.mark.parametrize("seed", range(TREES))
def test_placements_and_gravity_against_pinocchio(seed):
    rng = np.random.default_rng(seed)
    builder = random_tree(rng, int(rng.integers(3, 10)))
    mechanism = open_mechanism(builder)
    masses, gravity = random_masses(rng, mechanism), rng.normal(size=3) * 9.8
    found = pin_model(builder, masses, gravity)
    for _ in range(STATES):
        q = random_pose(rng, builder)
        other = pin_pose(found, builder, q)
        pin.forwardKinematics(found.model, found.data, other)
        here = frames(mechanism, q)
        for b in range(1, len(builder.names)):
            there = found.data.oMi[found.joint_of[b]]
            np.testing.assert_allclose(here.position[b], there.translation, atol=BAR)
            np.testing.assert_allclose(here.rotation[b], there.rotation, atol=BAR)
        want = pin.computeGeneralizedGravity(found.model, found.data, other)[found.order]
        got = slopes(mechanism, masses, gravity, q)
        assert np.abs(got - want).max() < BAR * np.abs(want).max()


@pytest.mark.parametrize("seed", range(TREES))
def test_placements_and_gravity_against_mujoco(seed):
    rng = np.random.default_rng(1000 + seed)
    builder = random_tree(rng, int(rng.integers(3, 10)))
    mechanism = open_mechanism(builder)
    masses, gravity = random_masses(rng, mechanism), rng.normal(size=3) * 9.8
    model = mujoco_model(builder, masses, gravity)
    data = mujoco.MjData(model)
    bodies = [model.body(name).id for name in builder.names[1:]]
    order = velocity_order(model, builder)
    for _ in range(STATES):
        q = random_pose(rng, builder)
        data.qpos[:] = mujoco_pose(model, builder, q)
        data.qvel[:] = 0.0
        mujoco.mj_forward(model, data)
        here = frames(mechanism, q)
        np.testing.assert_allclose(here.position[1:], data.xpos[bodies], atol=BAR)
        np.testing.assert_allclose(here.rotation[1:].reshape(-1, 9), data.xmat[bodies], atol=BAR)
        got = slopes(mechanism, masses, gravity, q)
        want = data.qfrc_bias[order]
        assert np.abs(got - want).max() < BAR * np.abs(want).max()
