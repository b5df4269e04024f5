"""Mass, centre of mass and radii of gyration of body segments, and how to combine them.

de Leva P. 1996, "Adjustments to Zatsiorsky-Seluyanov's segment inertia parameters", J Biomech
29:1223-1230, table 4, and the older set of Dempster as tabulated by Winter ("Biomechanics and
Motor Control of Human Movement", table 4.1). Mass is a fraction of body mass, the rest are
fractions of the segment's length, the centre counted from the proximal (or upper) end.
The printed female masses sum to 0.9999, the male ones to 1.0000.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from jaxtyping import Float

from limbwright.core.errors import LimbwrightError
from limbwright.reference.body_dimensions import Sex


class SegmentShares(NamedTuple):
    """One row of de Leva's table."""

    mass: float  # of body mass
    centre: float  # of length, from the proximal end
    gyration: tuple[float, float, float]  # of length: fore-aft, sideways, lengthwise axis


class DempsterShares(NamedTuple):
    """One row of Dempster's set; it has one radius, about an axis across the segment."""

    mass: float
    centre: float
    gyration: float


class Lump(NamedTuple):
    """A rigid body's mass properties in one frame."""

    mass: float  # [kg]
    centre: Float[np.ndarray, "3"]  # [m]
    inertia: Float[np.ndarray, "3 3"]  # about its own centre [kg m^2]


DE_LEVA_SOURCE = "de Leva 1996, table 4"
DEMPSTER_SOURCE = "Dempster, via Winter, table 4.1"

_MALE: Mapping[str, SegmentShares] = {
    "head": SegmentShares(0.0694, 0.5976, (0.362, 0.376, 0.312)),  # vertex to mid gonion
    "trunk": SegmentShares(0.4346, 0.4486, (0.372, 0.347, 0.191)),  # suprasternale to mid hip
    "upper_arm": SegmentShares(0.0271, 0.5772, (0.285, 0.269, 0.158)),  # shoulder to elbow centre
    "forearm": SegmentShares(0.0162, 0.4574, (0.276, 0.265, 0.121)),  # elbow to wrist centre
    "hand": SegmentShares(0.0061, 0.3624, (0.288, 0.235, 0.184)),  # wrist centre to fingertip
    "thigh": SegmentShares(0.1416, 0.4095, (0.329, 0.329, 0.149)),  # hip to knee centre
    "shank": SegmentShares(0.0433, 0.4459, (0.255, 0.249, 0.103)),  # knee to lateral malleolus
    "foot": SegmentShares(0.0137, 0.4415, (0.257, 0.245, 0.124)),  # heel to toe tip
}
_FEMALE: Mapping[str, SegmentShares] = {
    "head": SegmentShares(0.0668, 0.5894, (0.330, 0.359, 0.318)),
    "trunk": SegmentShares(0.4257, 0.4151, (0.357, 0.339, 0.171)),
    "upper_arm": SegmentShares(0.0255, 0.5754, (0.278, 0.260, 0.148)),
    "forearm": SegmentShares(0.0138, 0.4559, (0.261, 0.257, 0.094)),
    "hand": SegmentShares(0.0056, 0.3427, (0.244, 0.208, 0.154)),
    "thigh": SegmentShares(0.1478, 0.3612, (0.369, 0.364, 0.162)),
    "shank": SegmentShares(0.0481, 0.4416, (0.271, 0.267, 0.093)),
    "foot": SegmentShares(0.0129, 0.4014, (0.299, 0.279, 0.139)),
}
SEGMENTS: tuple[str, ...] = tuple(_MALE)
PAIRED: frozenset[str] = frozenset({"upper_arm", "forearm", "hand", "thigh", "shank", "foot"})

# The upper arm's centre differs most between the two sets: .577 of its length against .436.
# Both are shown; neither is tuned. The published .577 is the cautious one for a raised arm.
DEMPSTER: Mapping[str, DempsterShares] = {
    "hand": DempsterShares(0.006, 0.506, 0.297),
    "forearm": DempsterShares(0.016, 0.430, 0.303),
    "upper_arm": DempsterShares(0.028, 0.436, 0.322),
    "forearm_hand": DempsterShares(0.022, 0.682, 0.468),
    "arm": DempsterShares(0.050, 0.530, 0.368),
    "foot": DempsterShares(0.0145, 0.50, 0.475),
    "shank": DempsterShares(0.0465, 0.433, 0.302),
    "thigh": DempsterShares(0.100, 0.433, 0.323),
    "foot_shank": DempsterShares(0.061, 0.606, 0.416),
    "leg": DempsterShares(0.161, 0.447, 0.326),
    "trunk_head": DempsterShares(0.578, 0.66, 0.503),
}

# Mean lengths in de Leva's sample (m). Head: from memory; it agrees with the table, whose centres
# from two different ends of the head (.5976 and .5002) then fall on the same point.
SAMPLE_LENGTH: Mapping[str, Mapping[str, float]] = {
    "male": {
        "head": 0.2033,
        "trunk": 0.5319,
        "upper_arm": 0.2817,
        "forearm": 0.2689,
        "thigh": 0.4222,
        "shank": 0.4403,
        "foot": 0.2581,
    },
    "female": {
        "head": 0.2002,
        "trunk": 0.5293,
        "upper_arm": 0.2751,
        "forearm": 0.2643,
        "thigh": 0.3685,
        "shank": 0.4386,
        "foot": 0.2283,
    },
}
SAMPLE_STATURE: Mapping[str, float] = {"male": 1.741, "female": 1.735}  # from memory [m]


def segment_shares(name: str, sex: Sex) -> SegmentShares:
    """De Leva's shares of one segment; `pooled` is the mean of the two sexes.

    Raises:
        LimbwrightError: there is no such segment; the message lists those that exist.
    """
    if name not in _MALE:
        raise LimbwrightError(f"no body segment '{name}'; known are {', '.join(SEGMENTS)}")
    if sex == "male":
        return _MALE[name]
    if sex == "female":
        return _FEMALE[name]
    one, two = _FEMALE[name], _MALE[name]
    a, b, c = (0.5 * (p + q) for p, q in zip(one.gyration, two.gyration, strict=True))
    return SegmentShares(0.5 * (one.mass + two.mass), 0.5 * (one.centre + two.centre), (a, b, c))


def length_share(name: str, sex: Sex) -> float:
    """Segment length over stature in de Leva's sample; `pooled` is the mean of the sexes.

    The hand is missing on purpose: it is measured directly.
    """
    if sex == "pooled":
        return 0.5 * (length_share(name, "female") + length_share(name, "male"))
    return SAMPLE_LENGTH[sex][name] / SAMPLE_STATURE[sex]


def combine(lumps: Sequence[Lump]) -> Lump:
    """One body with the mass, centre and inertia of several rigidly joined ones.

    Parallel-axis theorem: I = sum of I_i + m_i (|d|^2 E - d d^T), d from the common centre to each
    centre.

    Raises:
        LimbwrightError: nothing to combine, or no mass in it.
    """
    mass = float(sum(lump.mass for lump in lumps))
    if not mass > 0.0:
        raise LimbwrightError("nothing with mass to combine")
    centre = sum((lump.mass * lump.centre for lump in lumps), np.zeros(3)) / mass
    inertia = sum((inertia_about(lump, centre) for lump in lumps), np.zeros((3, 3)))
    return Lump(mass, centre, inertia)


def inertia_about(lump: Lump, point: Float[np.ndarray, "3"]) -> Float[np.ndarray, "3 3"]:
    """Inertia of a body about a point other than its centre [kg m^2]; parallel-axis theorem."""
    d = lump.centre - point
    return lump.inertia + lump.mass * (float(d @ d) * np.eye(3) - np.outer(d, d))
