"""Where the character's hand goes, and how its movement compares with the performer's hand."""

import math
from dataclasses import dataclass

import numpy as np
from jaxtyping import Float

from limbwright.engine.rates import point_motion, velocity_ratio
from limbwright.limbs.arm_points import local_points
from limbwright.limbs.worn_arm import WornArm

DIGITS = 9  # poses that differ less than this are equal: the first of them is named
LEAST_LEADER = 0.05  # [m/rad]; nearer than this to straight or to the swivel's axis the ratio has no bound


@dataclass(frozen=True)
class Travel:
    """Reach of the character's hand tip over the usable range. Poses are numbered as given."""

    highest: float  # [m] above the floor
    highest_at: int
    lowest: float
    lowest_at: int
    widest: float  # greatest distance from the swivel's foot point, level [m]
    widest_at: int
    ratio_greatest: float  # character hand speed / performer hand speed; NaN where none is bounded
    ratio_greatest_at: int
    ratio_least: float
    ratio_least_at: int
    ratio_share: float  # share of usable poses on which the ratio is bounded


def hand_travel(arm: WornArm, q: Float[np.ndarray, "usable q"]) -> Travel | None:
    """Extremes of the hand over usable poses; None where there are none."""
    if not len(q):
        return None
    points = local_points(arm.geometry)
    wanted = [(arm.mechanism.body(points[p][0]), points[p][1]) for p in ("T'", "G")]
    motion = point_motion(arm.mechanism, q, wanted)
    tip = np.round(motion.place[:, 0], DIGITS)
    away: np.ndarray = tip[:, :2] - arm.geometry.shoulder[:2]
    level: np.ndarray = np.round(np.hypot(away[:, 0], away[:, 1]), DIGITS)
    ratio = np.round(velocity_ratio(motion.rate[:, 0], motion.rate[:, 1], LEAST_LEADER), DIGITS)
    bounded = np.isfinite(ratio[:, 0])
    top = _pick(ratio[:, 0], bounded, largest=True)
    bottom = _pick(ratio[:, 1], bounded, largest=False)
    high, low = int(tip[:, 2].argmax()), int(tip[:, 2].argmin())
    wide = int(level.argmax())
    return Travel(
        highest=float(tip[high, 2]),
        highest_at=high,
        lowest=float(tip[low, 2]),
        lowest_at=low,
        widest=float(level[wide]),
        widest_at=wide,
        ratio_greatest=float(ratio[top, 0]) if top >= 0 else math.nan,
        ratio_greatest_at=top,
        ratio_least=float(ratio[bottom, 1]) if bottom >= 0 else math.nan,
        ratio_least_at=bottom,
        ratio_share=float(bounded.mean()),
    )


def _pick(values: Float[np.ndarray, " n"], sound: np.ndarray, largest: bool) -> int:
    """Index of the largest or smallest sound value; -1 where none is sound."""
    if not np.any(sound):
        return -1
    filled = np.where(sound, values, -np.inf if largest else np.inf)
    return int(filled.argmax() if largest else filled.argmin())
