"""Degrees of freedom of textbook linkages: the Grübler-Kutzbach count against the rank of the closure.

Source of the counts: the Grübler-Kutzbach rule, 6 (n - 1) - 5 j and so on, as in any kinematics text;
of the true mobility: K. H. Hunt, Kinematic Geometry of Mechanisms (from memory); J. E. Baker on Bennett
(1903), Sarrus (1853) and Bricard (1897) linkages (from memory). Each ring is laid out so that it closes
by the linkage's own condition, which the assembly then checks to 1e-12 m. Rank is taken at a general
pose, and the motion is followed over a finite angle, so an infinitesimal freedom cannot pass for a real one.
"""

import numpy as np
import pytest

from engine.rigs import HERE, arm, four_bar
from limbwright.engine.closure import assemble, closure_jacobian, follow_drive, frames
from limbwright.engine.mechanism import BALL, GROUND, PIN, SLIDER, UNIVERSAL, Mechanism
from limbwright.engine.mechanism_builder import MechanismBuilder
from limbwright.engine.mobility import Mobility, mobility

X, Y, Z = np.eye(3)


def ring(points: list[np.ndarray], axes: list[np.ndarray]) -> Mechanism:
    """A closed chain of pins at the given lines, with frames parallel to the ground's in that pose."""
    b = MechanismBuilder()
    body = GROUND
    for i in range(len(points) - 1):
        origin = points[i] - (points[i - 1] if i else HERE)
        body = b.body(f"link {i + 1}", body, PIN, origin=origin, axis=axes[i])
    b.pin("last pin", body, points[-1] - points[-2], axes[-1], GROUND, points[-1], axes[-1])
    return assemble(b, [(1, 0)])


def frame_along(line: np.ndarray) -> np.ndarray:
    """A rotation whose z axis points along the line."""
    z = line / np.linalg.norm(line)
    x = np.cross(Y, z) / np.linalg.norm(np.cross(Y, z))
    return np.column_stack([x, np.cross(z, x), z])


def chain_lines(
    lengths: list[float], twists: list[float], angles: list[float]
) -> tuple[list[np.ndarray], list[np.ndarray]]:
    """Joint lines of a ring by Denavit and Hartenberg's transforms, no offsets; it must close."""
    rotation, at = np.eye(3), np.zeros(3)
    points, axes = [], []
    for length, twist, angle in zip(lengths, twists, angles, strict=True):
        points.append(at.copy())
        axes.append(rotation[:, 2].copy())
        c, s, ct, st = np.cos(angle), np.sin(angle), np.cos(twist), np.sin(twist)
        at = at + rotation @ np.array([length * c, length * s, 0.0])
        rotation = rotation @ np.array([[c, -s * ct, s * st], [s, c * ct, -c * st], [0.0, st, ct]])
    assert np.allclose(at, 0, atol=1e-12)
    assert np.allclose(rotation, np.eye(3), atol=1e-12)
    return points, axes


def found(mechanism: Mechanism, *, over_deg: float = 20.0) -> Mobility:
    """Mobility in the assembled pose, after following the first driven coordinate over a finite angle."""
    start = mechanism.driven_values(mechanism.assembled)
    if over_deg:
        drive = np.tile(start, (41, 1))
        drive[:, 0] += np.radians(np.linspace(0, over_deg, 41))
        poses = follow_drive(mechanism, drive)
        assert not poses.outcome.any()
        assert mobility(mechanism, poses.q[-1]).true == mobility(mechanism, mechanism.assembled).true
    return mobility(mechanism, mechanism.assembled)


def check(got: Mobility, counted: int, true: int) -> None:
    assert (got.counted, got.true, got.redundant) == (counted, true, true - counted)
    assert got.redundant_directions.shape[0] == true - counted
    assert got.motions.shape[0] == true


def test_planar_four_bar_with_all_pins():
    """In the plane 3 (4 - 1) - 2 * 4 = 1; in space 6 (4 - 1) - 5 * 4 = -2: three rows are held twice."""
    rig = four_bar(0.1, 0.04, 0.12, 0.08, (0.7, 0.35, 1.0), "pin")
    got = found(rig.assemble())
    check(got, -2, 1)
    # what is held twice: the slide along the pins and the two tilts (rows x y of the ball part are needed)
    assert np.allclose(got.redundant_directions[:, :2], 0.0, atol=1e-9)


def test_planar_four_bar_with_its_coupler_as_a_rod():
    """Three coordinates' worth in the plane, less the coupler's idle spin: 2 - 1 = 1."""
    check(found(four_bar(0.1, 0.04, 0.12, 0.08, (0.7, 0.35, 1.0), "rod").assemble()), 1, 1)


def test_parallelogram_with_a_third_parallel_bar():
    """n = 5, j = 6: 3 (5 - 1) - 2 * 6 = 0 in the plane; the third bar matches, so it still moves."""
    b = MechanismBuilder()
    first = b.body("crank", GROUND, PIN)
    coupler = b.body("coupler", first, PIN, origin=0.3 * X)
    b.rod("second", GROUND, 0.5 * X, coupler, 0.5 * X, 0.3)
    b.rod("third", GROUND, np.array([0.2, 0.1, 0.0]), coupler, np.array([0.2, 0.1, 0.0]), 0.3)
    check(found(assemble(b, [(first, 0)], np.array([1.0, -1.0]))), 0, 1)


def test_the_third_bar_locks_it_when_it_does_not_match():
    """A third bar on a pin 5 mm off the others' pattern: the count 0 then tells the truth."""
    b = MechanismBuilder()
    first = b.body("crank", GROUND, PIN)
    coupler = b.body("coupler", first, PIN, origin=0.3 * X)
    b.rod("second", GROUND, 0.5 * X, coupler, 0.5 * X, 0.3)
    foot, head = np.array([0.2, 0.1, 0.0]), np.array([0.2, 0.105, 0.0])
    length = np.linalg.norm(head + 0.3 * np.array([np.cos(1.0), np.sin(1.0), 0.0]) - foot)
    b.rod("third", GROUND, foot, coupler, head, float(length))
    check(mobility(assemble(b, [], np.array([1.0, -1.0])), np.array([1.0, -1.0])), 0, 0)


def test_slider_crank():
    """3 (4 - 1) - 2 * 4 = 1 in the plane; -2 in space with a pin at the end of the connecting rod."""
    b = MechanismBuilder()
    crank = b.body("crank", GROUND, PIN)
    rod = b.body("rod", crank, PIN, origin=0.1 * X)
    piston = b.body("piston", GROUND, SLIDER, axis=X)
    b.pin("gudgeon", rod, 0.3 * X, Z, piston, HERE, Z)
    check(found(assemble(b, [(crank, 0)], np.array([0.8, -1.0, 0.35]))), -2, 1)


def test_bennett():
    """Four skew pins: 6 (4 - 1) - 5 * 4 = -2, yet 1 where a / sin(alpha) = b / sin(beta).

    Opposite angles add to a whole turn, and tan(t1/2) tan(t2/2) = sin((alpha+beta)/2) / sin((beta-alpha)/2)
    (G. T. Bennett 1903).
    """
    alpha, beta, a = np.radians(40), np.radians(75), 0.3
    b = a * np.sin(beta) / np.sin(alpha)
    t1 = np.radians(70)
    t2 = 2 * np.arctan(np.sin((alpha + beta) / 2) / np.sin((beta - alpha) / 2) / np.tan(t1 / 2))
    points, axes = chain_lines([a, b, a, b], [alpha, beta, alpha, beta], [t1, t2, -t1, -t2])
    check(found(ring(points, axes)), -2, 1)


def test_four_skew_pins_in_general_do_not_move():
    """Bennett's condition is what buys the motion: without it the count of -2 holds nothing moving."""
    rng = np.random.default_rng(4)
    points, axes = [rng.normal(size=3) for _ in range(4)], [rng.normal(size=3) for _ in range(4)]
    got = mobility(ring(points, axes), np.zeros(3))
    assert (got.counted, got.true) == (-2, 0)


def test_sarrus():
    """Six pins, three parallel and three across them: 6 (6 - 1) - 5 * 6 = 0, true 1 (P. F. Sarrus 1853)."""
    points = [
        np.array(p)
        for p in ([0.5, 0, 0], [0.8, 0, 0.25], [0.5, 0, 0.5], [0, 0.5, 0.5], [0, 0.8, 0.25], [0, 0.5, 0.0])
    ]
    check(found(ring(points, [Y, Y, Y, X, X, X])), 0, 1)


def test_bricard_threefold_symmetric():
    """Six pins at right angles: 0, true 1 (R. Bricard 1897, trihedral; equal links a, twists 90 and 270 deg).

    Closure of the threefold-symmetric case: cos t1 + cos t2 + cos t1 cos t2 = 0
    (Y. Chen, Z. You and T. Tarnai, Int. J. Solids Struct. 42, 2005; from memory, confirmed by closing).
    """
    t1 = np.radians(75)
    t2 = np.arccos(-np.cos(t1) / (1 + np.cos(t1)))
    for second in (t2, -t2):
        try:
            points, axes = chain_lines([0.3] * 6, [np.pi / 2, -np.pi / 2] * 3, [t1, second] * 3)
        except AssertionError:
            continue
        check(found(ring(points, axes)), 0, 1)
        return
    pytest.fail("neither branch closes")


def test_spherical_four_bar():
    """Four pins through one point: -2, true 1 (R. Hooke's joint when they stand at right angles)."""
    axes = [Z, X, Y, np.array([0.3, 0.5, 0.8])]
    check(found(ring([0.1 * a for a in axes], axes)), -2, 1)


def rssr(joining: str) -> Mechanism:
    b = MechanismBuilder()
    crank = b.body("crank", GROUND, PIN, axis=Z)
    tip, end = np.array([0.1, 0.0, 0.0]), np.array([0.0, 0.0, 0.2])
    pivot = np.array([0.4, 0.1, 0.05])
    span = float(np.linalg.norm(pivot + end - tip))
    if joining == "rod":
        rocker = b.body("rocker", GROUND, PIN, axis=X, origin=pivot)
        b.rod("coupler", crank, tip, rocker, end, span)
        return assemble(b, [(crank, 0)])
    frame = frame_along(pivot + end - tip)
    coupler = b.body("coupler", crank, BALL, origin=tip, orientation=frame)
    rocker = b.body("rocker", GROUND, PIN, axis=X, origin=pivot)
    b.ball("far ball", coupler, span * Z, rocker, end)
    return assemble(b, [(crank, 0)])


def test_rssr_with_the_coupler_as_a_body():
    """Two pins, two balls: 6 (4 - 1) - 2 * 5 - 2 * 3 = 2 = 1 + the coupler's idle spin about its own line."""
    mechanism = rssr("ball")
    got = found(mechanism)
    check(got, 2, 2)
    spin = np.array(
        [0.0, 0.0, 0.0, 1.0, 0.0]
    )  # coupler's own z, from ball to ball; crank and rocker stand still
    assert np.linalg.norm(got.motions @ spin) == pytest.approx(1.0, abs=1e-9)


def test_rssr_with_the_coupler_as_a_rod():
    """A rod row leaves the idle spin out: 1."""
    check(found(rssr("rod")), 1, 1)


def test_pantograph():
    """Five links, five pins: 3 (5 - 1) - 2 * 5 = 2 in the plane; -1 in space, three rows are held twice."""
    b = MechanismBuilder()
    near = b.body("near arm", GROUND, PIN)
    far = b.body("far arm", near, PIN, origin=0.5 * X)
    short = b.body("short arm", near, PIN, origin=0.25 * X)
    link = b.body("link", short, PIN, origin=0.3 * X)
    b.pin("F", link, 0.25 * X, Z, far, 0.3 * X, Z)
    check(found(assemble(b, [(near, 0), (short, 0)], np.array([0.3, 1.2, 1.2, -1.2]))), -1, 2)


def hexapod(leg: str) -> Mechanism:
    """Six legs from a base hexagon to a platform: universal-slider-ball, or ball-slider-ball."""
    b = MechanismBuilder()
    turn = [np.radians(60 * i + (8 if i % 2 else -8)) for i in range(6)]
    feet = [np.array([0.5 * np.cos(t), 0.5 * np.sin(t), 0.0]) for t in turn]
    tops = [
        np.array([0.3 * np.cos(t + 0.3 * (-1) ** i), 0.3 * np.sin(t + 0.3 * (-1) ** i), 0.0])
        for i, t in enumerate(turn)
    ]
    height = np.array([0.03, -0.02, 0.6])
    platform = GROUND
    for i, (foot, top) in enumerate(zip(feet, tops, strict=True)):
        along = top + height - foot
        frame = frame_along(along)
        if leg == "UPS":
            lower = b.body(
                f"leg {i}", GROUND, UNIVERSAL, origin=foot, axis=X, second_axis=Y, orientation=frame
            )
        else:
            lower = b.body(f"leg {i}", GROUND, BALL, origin=foot, orientation=frame)
        upper = b.body(f"piston {i}", lower, SLIDER, origin=float(np.linalg.norm(along)) * Z, axis=Z)
        if i == 0:
            platform = b.body("platform", upper, BALL, origin=HERE, orientation=frame.T)
        else:
            b.ball(f"ball {i}", upper, HERE, platform, top - tops[0])
    return assemble(b, [])


def test_ups_hexapod():
    """Gough's platform: 6 (14 - 1) - 6 (4 + 5 + 3) = 6, one for each leg's length."""
    check(found(hexapod("UPS"), over_deg=0.0), 6, 6)


def test_sps_hexapod():
    """Balls at both ends of every leg: 12 = 6 + 6 idle spins that leave the platform where it is."""
    mechanism = hexapod("SPS")
    got = found(mechanism, over_deg=0.0)
    check(got, 12, 12)
    platform = mechanism.body("platform")
    carried = [d for d, b in enumerate(mechanism.linkage.dof_body) if mechanism.linkage.carries[b, platform]]
    twist = np.zeros((6, mechanism.freedoms))  # platform's velocity from the coordinates that carry it
    placed = frames(mechanism, mechanism.assembled)
    for d in carried:
        b, kind = mechanism.linkage.dof_body[d], mechanism.linkage.dof_kind[d]
        axis = placed.axis[b] if kind == 1 else placed.rotation[b][:, kind - 3]
        arm_of = placed.position[platform] - placed.position[b]
        twist[:, d] = np.r_[axis, 0, 0, 0] if kind == 1 else np.r_[np.cross(axis, arm_of), axis]
    still = np.vstack([closure_jacobian(mechanism, mechanism.assembled), twist])
    assert mechanism.freedoms - np.linalg.matrix_rank(still, tol=1e-9) == 6


def test_parallel_arm_three_ways():
    """Nine bodies, twelve pins: 6 * 9 - 5 * 12 = -6; with balls at rods' ends 0; rods as rows 3; truly 3."""
    for joining, counted in (("pin", -6), ("ball", 0), ("rod", 3)):
        mechanism = arm(joining=joining).assemble()
        check(found(mechanism), counted, 3)
