"""An arm as it is worn: its numbers, its mechanism and the performer inside."""

from dataclasses import dataclass

from limbwright.core.errors import GeometryError
from limbwright.engine.mechanism import Mechanism
from limbwright.limbs.arm_geometry import ArmGeometry, Side, resolve_arm
from limbwright.limbs.parallel_arm import Drive, build_arm
from limbwright.model.body import Body
from limbwright.model.suit import Suit


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
                mechanism = build_arm(geometry, assembled)
            except GeometryError as error:
                raise suit.error(f"limbs.{name}.{error.field}", error.problem, error.remedy) from None
            arms.append(WornArm(name, side, geometry, mechanism, body, assembled))
    return tuple(arms)
