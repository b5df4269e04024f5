"""An arm as it is worn: its numbers, its mechanism and the performer inside."""

import math
from dataclasses import dataclass

import numpy as np

from limbwright.core.errors import GeometryError
from limbwright.engine.closure import stage_angles
from limbwright.engine.mechanism import Mechanism
from limbwright.limbs.arm_geometry import ArmGeometry, Side, check_folding, resolve_arm
from limbwright.limbs.parallel_arm import SAME_LENGTH, Drive, build_arm
from limbwright.model.body import Body
from limbwright.model.suit import Suit

STOP_SLACK = 1e-9  # [rad] so that a pose standing exactly on its stop is allowed


@dataclass(frozen=True)
class WornArm:
    """One arm on one side, ready for analysis."""

    limb: str
    side: Side
    geometry: ArmGeometry
    mechanism: Mechanism
    body: Body
    assembled: Drive

    @property
    def label(self) -> str:
        """What people call it: `arm, right`."""
        return f"{self.limb}, {self.side}"


def wear_arms(suit: Suit, body: Body) -> tuple[WornArm, ...]:
    """Every arm of the suit on the active performer.

    Raises:
        SuitError: lengths that cannot be assembled, or fields still to be fitted.
    """
    at = suit.poses[suit.assembled]
    assembled = Drive(at.swing, at.elevation, at.elbow)
    arms: list[WornArm] = []
    for name, limb in suit.limbs.items():
        for side in limb.sides:
            geometry = resolve_arm(suit, name, body, side)
            try:
                check_folding(geometry)
                mechanism = build_arm(geometry, assembled)
            except GeometryError as error:
                raise suit.error(f"limbs.{name}.{error.field}", error.problem, error.remedy) from None
            _refuse_stopped(suit, name, mechanism, geometry)
            arms.append(WornArm(name, side, geometry, mechanism, body, assembled))
    return tuple(arms)


def _refuse_stopped(suit: Suit, limb: str, mechanism: Mechanism, geometry: ArmGeometry) -> None:
    """Refuse a stop that touches in the assembled pose itself."""
    angles = stage_angles(mechanism, mechanism.assembled)
    spare = angles - np.repeat(np.array(geometry.stops), 2)
    tightest = int(spare.argmin())
    if spare[tightest] >= -STOP_SLACK:
        return
    stage = mechanism.stage_names[tightest].partition(",")[0]
    left = math.degrees(float(angles[tightest]))
    if abs(geometry.relay_at - geometry.drive) > SAME_LENGTH:
        raise suit.error(
            f"limbs.{limb}.relay_at",
            f"the relay at {1e3 * geometry.relay_at:.1f} mm stands off the driver's "
            f"{1e3 * geometry.drive:.1f} mm, which turns the {stage} stage onto its stop",
            "put it as far out as the driver is long: relay_at: performer",
        )
    raise suit.error(
        f"limbs.{limb}.stops",
        f"the {stage} stage's stop touches in the assembled pose '{suit.assembled}', "
        f"{left:.1f} deg from its lock",
        "write a smaller stop, turn that stage's cranks, or choose another assembled pose",
    )
