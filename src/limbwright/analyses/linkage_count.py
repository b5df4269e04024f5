"""Mobility and redundant constraints of an arm, with every rod a body of its own on pins."""

from limbwright.engine.mobility import Mobility, mobility
from limbwright.limbs.parallel_arm import build_arm
from limbwright.limbs.worn_arm import WornArm


def count_linkage(arm: WornArm) -> Mobility:
    """Grübler-Kutzbach count against rank, in the assembled pose, all pins parallel as drawn."""
    pinned = build_arm(arm.geometry, arm.assembled, rods="bodies")
    return mobility(pinned, pinned.assembled)
