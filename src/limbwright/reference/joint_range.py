"""How far a performer's shoulder and elbow go: published ranges, and the cautious limit of each.

Two kinds of source. Fifth percentiles of young fit adults, dominant arm, active (BMC Sports Sci
Med Rehabil 2012, 4:33, table 4): nineteen in twenty reach at least that. And mean ranges of six
surveys or guides as collected in a textbook's appendix (second-hand): Boone & Azen (men 18-54),
Green & Wolf (18-55), Walker (65-85), Macedo & Magee (women 18-59), AAOS, AMA. A mean is no fit
limit, so where only means are tabulated the least of them is taken and called assumed.
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

from limbwright.core.errors import LimbwrightError
from limbwright.core.estimate import Estimate
from limbwright.reference.body_dimensions import Sex


class MeanRange(NamedTuple):
    """Mean or guide range of one motion by survey [deg]; None where a survey has none."""

    boone_azen: float
    green_wolf: float | None
    walker: float
    macedo_magee: float
    aaos: float
    ama: float


class FifthPercentile(NamedTuple):
    """Range that nineteen in twenty reach [deg]."""

    male: float
    female: float


MEANS: Mapping[str, MeanRange] = {
    "shoulder_flexion": MeanRange(167, 156, 165, 188, 180, 180),
    "shoulder_extension": MeanRange(62, None, 44, 70, 60, 50),
    "shoulder_abduction": MeanRange(184, 168, 165, 188, 180, 170),
    "medial_rotation": MeanRange(69, 49, 62, 94, 70, 80),
    "lateral_rotation": MeanRange(104, 84, 81, 108, 90, 60),
    "elbow_flexion": MeanRange(143, 145, 143, 149, 150, 140),
}
# The last column is a guide's ">=" value, a threshold of normal function and no survey's mean.
SURVEYS = 5

FIFTH_PERCENTILES: Mapping[str, FifthPercentile] = {
    "shoulder_flexion": FifthPercentile(153, 155),
    "lateral_rotation_side": FifthPercentile(55, 55),
    "lateral_rotation_raised": FifthPercentile(80, 80),
    "medial_rotation_raised": FifthPercentile(30, 40),
}
FIFTH_SOURCE = "BMC Sports Sci Med Rehabil 2012 4:33, table 4, 5th percentile"
MEAN_SOURCE = "least mean of five published tables (textbook appendix, second-hand)"


def fifth_percentile(motion: str, sex: Sex) -> Estimate | None:
    """The range nineteen in twenty reach [rad], or None where it is not tabulated.

    `pooled` takes the lesser of the sexes. A percentile is a limit: it carries no band of its own.
    """
    row = FIFTH_PERCENTILES.get(motion)
    if row is None:
        return None
    degrees = {"male": row.male, "female": row.female, "pooled": min(row)}[sex]
    return Estimate(math.radians(degrees), None, "published", f"{FIFTH_SOURCE} ({sex})")


def least_mean(motion: str) -> Estimate:
    """The least tabulated mean range [rad]; assumed, as half of the people stay below a mean.

    Raises:
        LimbwrightError: the motion is not tabulated; the message lists those that are.
    """
    if motion not in MEANS:
        raise LimbwrightError(f"no joint range for '{motion}'; known are {', '.join(MEANS)}")
    degrees = min(value for value in MEANS[motion][:SURVEYS] if value is not None)
    return Estimate(math.radians(degrees), None, "assumed", MEAN_SOURCE)


def cautious_range(motion: str, sex: Sex) -> Estimate:
    """Fifth percentile where tabulated, else the least tabulated mean [rad]."""
    return fifth_percentile(motion, sex) or least_mean(motion)
