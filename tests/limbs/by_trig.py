"""The parallel arm written down by hand: plane trigonometry and SciPy rotations, nothing of the engine.

Angles in the arm's plane as in docs/conventions.md: 0 hangs, 90 deg points outward, 180 deg up. The four
pins of a stage are a four-bar; its copying crank follows from the law of cosines.
"""

import math

import numpy as np
from scipy.spatial.transform import Rotation

from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.limbs.parallel_arm import Drive


def plane_frame(geometry: ArmGeometry, swing: float) -> np.ndarray:
    """World directions (rows) of outward r, and up along the swivel, at a swing.

    Upright: right r = (sin, -cos, 0), left r = (sin, cos, 0). Then the swivel leans outward (about the
    forward axis), then forward (about the axis to the left).
    """
    side = -1.0 if geometry.side == "right" else 1.0
    r = np.array([math.sin(swing), side * math.cos(swing), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    outward = Rotation.from_rotvec([-side * geometry.lean_out, 0.0, 0.0])  # tips z towards outward y
    forward = Rotation.from_rotvec([0.0, geometry.lean_forward, 0.0])  # tips z towards x
    return (forward * outward).apply(np.array([r, up]))


def along(angle: np.ndarray | float) -> np.ndarray:
    """In-plane unit vector (outward, up) of a limb at `angle`."""
    return np.stack([np.sin(angle), -np.cos(angle)], axis=-1)


def exact_points(geometry: ArmGeometry, drive: Drive) -> dict[str, np.ndarray]:
    """World places of an exact arm: every copy is parallel to what it copies."""
    th, ph = drive.elevation, drive.elevation + drive.elbow
    c0, c1, c2 = geometry.angle_shoulder, geometry.angle_forearm, geometry.angle_relay
    g = geometry
    plane: dict[str, np.ndarray] = {"S": np.zeros(2), "S'": g.mast * along(math.pi - g.mast_lean)}
    plane["E"] = g.drive * along(th)
    plane["W"] = plane["E"] + g.performer_forearm * along(ph)
    plane["G"] = plane["E"] + g.performer_grip * along(ph)
    plane["E1"] = plane["S'"] + g.relay_at * along(th)
    plane["E'"] = plane["S'"] + g.carrier * along(th)
    plane["W'"] = plane["E'"] + g.character_forearm * along(ph)
    plane["T'"] = plane["W'"] + g.character_hand * along(ph)
    plane["A"] = plane["S"] + g.crank_driver * along(th + c0)
    plane["A'"] = plane["S'"] + g.crank_carrier * along(th + c0)
    plane["B"] = plane["E"] + g.crank_forearm * along(ph + c1)
    plane["B'"] = plane["E1"] + g.crank_relay_lower * along(ph + c1)
    plane["C"] = plane["E1"] + g.crank_relay_outer * along(ph + c2)
    plane["C'"] = plane["E'"] + g.crank_character * along(ph + c2)
    frame = plane_frame(geometry, drive.swing)
    return {name: geometry.shoulder + place @ frame for name, place in plane.items()}


def windows(geometry: ArmGeometry, elevation: np.ndarray | float, elbow: np.ndarray | float) -> np.ndarray:
    """The three angles of the determinant (..., 3): th + c0 - mu, ph + c1 - mu, ph + c2 - th."""
    mu = math.pi - geometry.mast_lean
    angles = (
        elevation + geometry.angle_shoulder - mu,
        elevation + elbow + geometry.angle_forearm - mu,
        elbow + geometry.angle_relay,
    )
    return np.stack(np.broadcast_arrays(*angles), axis=-1)


def exact_sines(geometry: ArmGeometry, home: Drive, elevation: np.ndarray, elbow: np.ndarray) -> np.ndarray:
    """Sine of each stage's angle (..., 3) of an exact arm, positive on the side it is assembled on."""
    side = np.sign(np.sin(windows(geometry, home.elevation, home.elbow)))
    return side * np.sin(windows(geometry, elevation, elbow))


def solved_sines(geometry: ArmGeometry, home: Drive, elevation: np.ndarray, elbow: np.ndarray) -> np.ndarray:
    """Sines at both ends of each rod (..., 6) of an arm whose lengths need not match, NaN where a loop
    cannot close. Each copying crank lies to the side of its rod on which it was assembled."""
    g = geometry
    side = np.sign(np.sin(windows(g, home.elevation, home.elbow)))
    head = g.mast * along(math.pi - g.mast_lean)
    fore = elevation + elbow
    found: list[np.ndarray] = []

    def stage(pivot, crank_pin, other_pivot, crank, rod, sign):
        apart = crank_pin - other_pivot
        far = np.linalg.norm(apart, axis=-1)
        with np.errstate(invalid="ignore"):
            between = np.arccos((far**2 + crank**2 - rod**2) / (2.0 * far * crank))
        angle = np.arctan2(apart[..., 0], -apart[..., 1]) - sign * between
        pin = other_pivot + crank * along(angle)
        line = (pin - crank_pin) / rod
        lower = (crank_pin - pivot) / np.linalg.norm(crank_pin - pivot, axis=-1, keepdims=True)
        upper = (pin - other_pivot) / crank
        found.extend([-sign * _cross(lower, line), -sign * _cross(upper, line)])
        return angle

    pin = g.crank_driver * along(elevation + g.angle_shoulder)
    carrier = stage(np.zeros(2), pin, head, g.crank_carrier, g.rod_shoulder, side[0]) - g.angle_shoulder
    elbow_at, relay_at = g.drive * along(elevation), head + g.relay_at * along(carrier)
    pin = elbow_at + g.crank_forearm * along(fore + g.angle_forearm)
    relay = stage(elbow_at, pin, relay_at, g.crank_relay_lower, g.rod_forearm, side[1]) - g.angle_forearm
    pin = relay_at + g.crank_relay_outer * along(relay + g.angle_relay)
    stage(relay_at, pin, head + g.carrier * along(carrier), g.crank_character, g.rod_relay, side[2])
    return np.stack(found, axis=-1)


def _cross(u: np.ndarray, v: np.ndarray) -> np.ndarray:
    return u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]


def inside(geometry: ArmGeometry, home: Drive, rng: np.random.Generator, margin: float) -> Drive:
    """A random pose of an exact arm in the same windows as its assembled pose, `margin` from every lock."""
    floor = np.floor(windows(geometry, home.elevation, home.elbow) / math.pi)
    while True:
        elevation, elbow = (float(v) for v in rng.uniform((0.0, 0.0), (math.pi, 2.6)))
        into = windows(geometry, elevation, elbow) - floor * math.pi
        if np.all((into > margin) & (into < math.pi - margin)):
            return Drive(float(rng.uniform(-0.7, 2.1)), elevation, elbow)
