"""Expands a parallel arm into bodies, joints and closures; the engine sees nothing else.

The swivel's frame has x outward in the arm's plane, z up along the swivel, y across. Every limb's
frame hangs along -z at zero, with x towards raising.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from jaxtyping import Float

from limbwright.core.errors import GeometryError
from limbwright.engine.closure import AssemblyError, assemble, follow_drive
from limbwright.engine.mechanism import GROUND, PIN, Mechanism
from limbwright.engine.mechanism_builder import MechanismBuilder
from limbwright.engine.outcome import Outcome
from limbwright.limbs.arm_geometry import ArmGeometry, direction

RAISE = (0.0, -1.0, 0.0)  # axis of every pin across the arm's plane; positive raises or flexes
HANGING = np.array([0.0, 0.0, -1.0])
SAME_LENGTH = 1e-9  # [m]
STAGE_NAMES = ("shoulder", "forearm", "relay")
Rods = Literal["rows", "bodies"]


@dataclass(frozen=True)
class Drive:
    """A pose of the rig: the swivel's swing, the driver's elevation, the elbow's flexion [rad]."""

    swing: float
    elevation: float
    elbow: float


def build_arm(geometry: ArmGeometry, assembled: Drive, rods: Rods = "rows") -> Mechanism:
    """The arm as a mechanism, closed in its assembled pose.

    Args:
        assembled: the pose the shop puts it together in; it fixes the branch.
        rods: `rows` treats each rod as one length row; `bodies` gives every rod a body of its own
            on a pin, closed by a pin, as Grübler and Kutzbach count it.

    Raises:
        GeometryError: the loops do not meet in the assembled pose, or meet in a locked one.
    """
    builder, driven, guess = lay_out(geometry, assembled, rods)
    try:
        return assemble(builder, driven, np.array(guess))
    except AssemblyError as error:
        if abs(geometry.relay_at - geometry.drive) > SAME_LENGTH:
            raise GeometryError(
                "relay_at",
                f"the relay at {1e3 * geometry.relay_at:.1f} mm stands off the driver's "
                f"{1e3 * geometry.drive:.1f} mm, and the arm misses by {1e3 * error.miss:.2f} mm",
                "put it as far out as the driver is long: relay_at: performer",
            ) from None
        raise GeometryError(
            "rods",
            f"the arm cannot be put together in the assembled pose: it misses by {error.miss * 1e3:.2f} mm",
            "choose another assembled pose, or rods as long as the sides they copy (match)",
        ) from None


def lay_out(
    geometry: ArmGeometry, assembled: Drive, rods: Rods = "rows"
) -> tuple[MechanismBuilder, list[tuple[int, int]], list[float]]:
    """Bodies and closures, not yet closed: the builder, what is driven, and a guess of the assembled pose."""
    builder = MechanismBuilder()
    swivel = builder.body(
        "swivel",
        GROUND,
        PIN,
        origin=geometry.shoulder,
        axis=(0.0, 0.0, -geometry.outward),
        orientation=swivel_frame(geometry),
    )
    driver = builder.body("driver", swivel, PIN, axis=RAISE)
    forearm = builder.body("performer_forearm", driver, PIN, axis=RAISE, origin=geometry.drive * HANGING)
    carrier = builder.body(
        "carrier", swivel, PIN, axis=RAISE, origin=geometry.mast * direction(geometry.mast_angle)
    )
    relay = builder.body("relay", carrier, PIN, axis=RAISE, origin=geometry.relay_at * HANGING)
    character = builder.body("character_forearm", carrier, PIN, axis=RAISE, origin=geometry.carrier * HANGING)
    c0, c1, c2 = (
        direction(a) for a in (geometry.angle_shoulder, geometry.angle_forearm, geometry.angle_relay)
    )
    ends = (
        (driver, geometry.crank_driver * c0, carrier, geometry.crank_carrier * c0, geometry.rod_shoulder),
        (forearm, geometry.crank_forearm * c1, relay, geometry.crank_relay_lower * c1, geometry.rod_forearm),
        (
            relay,
            geometry.crank_relay_outer * c2,
            character,
            geometry.crank_character * c2,
            geometry.rod_relay,
        ),
    )
    th, fl = assembled.elevation, assembled.elbow
    guess = [assembled.swing, th, fl, th, fl, fl]
    along = (geometry.mast_angle - th, geometry.mast_angle - th - fl, -fl)
    for name, (a, at_a, b, at_b, length), turned in zip(STAGE_NAMES, ends, along, strict=True):
        if rods == "rows":
            builder.rod(f"{name}_rod", a, at_a, b, at_b, length)
        else:
            rod = builder.body(f"{name}_rod", a, PIN, axis=RAISE, origin=at_a)
            builder.pin(f"{name}_rod_end", rod, length * HANGING, RAISE, b, at_b, RAISE)
            guess.append(turned)
        # both ends are watched: a rod that is not exact reaches its locks apart
        builder.stage(f"{name}, lower", (a, np.zeros(3)), (a, at_a), (b, at_b), (a, RAISE))
        builder.stage(f"{name}, upper", (b, np.zeros(3)), (b, at_b), (a, at_a), (b, RAISE))
    return builder, [(swivel, 0), (driver, 0), (forearm, 0)], guess


def pose_of(mechanism: Mechanism, drive: Drive) -> Float[np.ndarray, " q"] | None:
    """The arm's coordinates in a pose, by continuity from the assembled one; None where it is not reached."""
    poses = follow_drive(mechanism, np.array([[drive.swing, drive.elevation, drive.elbow]]))
    return poses.q[0] if poses.outcome[0] == Outcome.CLOSED else None


def swivel_frame(geometry: ArmGeometry) -> Float[np.ndarray, "3 3"]:
    """Rotation of the swivel's frame in the world at swing zero (arm out to the side)."""
    outward = np.array([0.0, geometry.outward, 0.0])
    up = np.array([0.0, 0.0, 1.0])
    upright = np.column_stack([outward, np.cross(up, outward), up])
    out, forward = geometry.lean_out * geometry.outward, geometry.lean_forward
    about_x = np.array(
        [
            [1.0, 0.0, 0.0],
            [0.0, math.cos(out), math.sin(out)],
            [0.0, -math.sin(out), math.cos(out)],
        ]
    )
    about_y = np.array(
        [
            [math.cos(forward), 0.0, math.sin(forward)],
            [0.0, 1.0, 0.0],
            [-math.sin(forward), 0.0, math.cos(forward)],
        ]
    )
    return about_y @ about_x @ upright
