"""Moments and reactions of closed loops against two rigid-body libraries: 1e-8 of the largest term.

Pinocchio solves for the constraint forces of a rigid loop (proximal, residual 1e-14): held by the
engine's moments, at rest, its accelerations must vanish and its constraint forces be the engine's
multipliers. MuJoCo's own constraints are soft, so of it only the exact Jacobian and gravity moments are
taken, and the equations of rest, J_d^T lambda = g_d, are solved by NumPy. Loops are chosen so that the
multipliers are unique; in the planar arm, whose closures are redundant, they are the least ones.
"""

import mujoco
import numpy as np
import pinocchio as pin
import pytest

from engine.rigs import Rig, arm, random_sizes
from engine.test_derivatives import random_masses
from limbwright.engine.closure import closure_jacobian, closure_rows, follow_drive
from limbwright.engine.mechanism import Mechanism
from limbwright.engine.statics import holding_moments, joint_reactions
from reference_libraries.in_mujoco import mujoco_model, mujoco_pose, velocity_order
from reference_libraries.in_pinocchio import pin_closures, pin_model, pin_pose
from reference_libraries.mechanisms import random_ball_loop

BAR = 1e-8
SEEDS = range(40)


def drawn_case(seed: int) -> tuple[Rig, Mechanism, np.ndarray, np.random.Generator]:
    """Three loops of any joints for each planar arm; two poses, the second one driven to."""
    rng = np.random.default_rng(seed)
    if seed % 4 == 0:
        sizes, home = random_sizes(rng, 0.0005)
        rig = arm(sizes, "ball", home)
        mechanism = rig.assemble()
    else:
        rig, mechanism = random_ball_loop(rng)
    start = mechanism.driven_values(mechanism.assembled)
    poses = follow_drive(mechanism, start + np.array([[0.0], [1.0]]) * rng.uniform(-0.02, 0.02, len(start)))
    assert not poses.outcome.any()
    return rig, mechanism, poses.q, rng


@pytest.mark.parametrize("seed", SEEDS)
def test_pinocchio_finds_it_at_rest_with_the_same_forces(seed):
    rig, mechanism, poses, rng = drawn_case(seed)
    masses, gravity = random_masses(rng, mechanism), rng.normal(size=3) * 9.8
    found = pin_model(rig.builder, masses, gravity)
    closures = pin_closures(rig.builder, found)
    datas = pin.StdVec_RigidConstraintData()
    for closure in closures:
        datas.append(closure.createData())
    pin.initConstraintDynamics(found.model, found.data, closures, datas)
    held = holding_moments(mechanism, masses, poses, gravity)
    for q, moments, lam in zip(poses, held.moments, held.multipliers, strict=True):
        tau = np.zeros(mechanism.freedoms)
        tau[np.array(found.order)[mechanism.linkage.driven]] = moments
        # a softer pull (1e-3) takes more rounds, but in redundant rows keeps the digits that 1e-8 loses
        settings = pin.ProximalSettings(1e-14, 1e-3, 2000)
        rest = np.zeros(mechanism.freedoms)
        acceleration = pin.constraintDynamics(
            found.model, found.data, pin_pose(found, rig.builder, q), rest, tau, closures, datas, settings
        )
        pin.forwardKinematics(found.model, found.data, pin_pose(found, rig.builder, q))
        scale = max(np.abs(lam).max(), np.abs(moments).max(), 1.0)
        assert np.abs(acceleration).max() < BAR * np.abs(_free_acceleration(found, rig, q)).max()
        for k, (closure, data) in enumerate(zip(closures, datas, strict=True)):
            turned = found.data.oMi[closure.joint1_id].rotation @ data.contact_force.linear
            np.testing.assert_allclose(turned, lam[3 * k : 3 * k + 3], atol=BAR * scale)


def _free_acceleration(found, rig: Rig, q: np.ndarray) -> np.ndarray:
    """What it would do if let go: the measure of "nothing"."""
    rest = np.zeros(found.model.nv)
    return pin.aba(found.model, found.model.createData(), pin_pose(found, rig.builder, q), rest, rest)


@pytest.mark.parametrize("seed", SEEDS)
def test_equations_of_rest_with_mujocos_jacobian(seed):
    rig, mechanism, poses, rng = drawn_case(seed)
    masses, gravity = random_masses(rng, mechanism), rng.normal(size=3) * 9.8
    model = mujoco_model(rig.builder, masses, gravity)
    data = mujoco.MjData(model)
    order = velocity_order(model, rig.builder)
    held = holding_moments(mechanism, masses, poses, gravity)
    m = mechanism.linkage
    for q, moments, lam in zip(poses, held.moments, held.multipliers, strict=True):
        data.qpos[:] = mujoco_pose(model, rig.builder, q)
        data.qvel[:] = 0.0
        mujoco.mj_forward(model, data)
        jacobian = data.efc_J.reshape(-1, model.nv)[: mechanism.rows][:, order]
        np.testing.assert_allclose(jacobian, closure_jacobian(mechanism, q), atol=BAR)
        np.testing.assert_allclose(data.efc_pos[: mechanism.rows], closure_rows(mechanism, q), atol=BAR)
        weight = data.qfrc_bias[order]
        least = np.linalg.lstsq(jacobian[:, m.dependent].T, weight[m.dependent], rcond=1e-10)[0]
        scale = max(np.abs(least).max(), np.abs(weight).max())
        np.testing.assert_allclose(lam, least, atol=BAR * scale)
        np.testing.assert_allclose(
            moments, weight[m.driven] - jacobian[:, m.driven].T @ least, atol=BAR * scale
        )


@pytest.mark.parametrize("seed", range(0, 40, 4))
def test_joint_reactions_against_pinocchios_inverse_dynamics(seed):
    """What each joint passes on, by that library's Newton and Euler, with the loops' forces as loads."""
    rig, mechanism, poses, rng = drawn_case(seed)
    masses, gravity = random_masses(rng, mechanism), rng.normal(size=3) * 9.8
    found = pin_model(rig.builder, masses, gravity)
    held = holding_moments(mechanism, masses, poses, gravity)
    for q, lam in zip(poses, held.multipliers, strict=True):
        other = pin_pose(found, rig.builder, q)
        pin.forwardKinematics(found.model, found.data, other)
        loads = pin.StdVec_Force()
        for _ in range(found.model.njoints):
            loads.append(pin.Force.Zero())
        for k, c in enumerate(rig.builder.closures):
            for body, point, sign in ((c.a, c.point_a, 1.0), (c.b, c.point_b, -1.0)):
                joint = found.joint_of[body]
                force = sign * found.data.oMi[joint].rotation.T @ lam[3 * k : 3 * k + 3]
                loads[joint] += pin.Force(force, np.cross(point, force))
        rest = np.zeros(mechanism.freedoms)
        pin.rnea(found.model, found.data, other, rest, rest, loads)
        here = joint_reactions(mechanism, masses, q, gravity)
        scale = max(np.abs(here.force).max(), np.abs(here.moment).max())
        for b in range(1, len(rig.builder.names)):
            joint = found.joint_of[b]
            there = found.data.f[joint]
            turn = found.data.oMi[joint].rotation
            np.testing.assert_allclose(here.force[b], turn @ there.linear, atol=BAR * scale)
            np.testing.assert_allclose(here.moment[b], turn @ there.angular, atol=BAR * scale)
