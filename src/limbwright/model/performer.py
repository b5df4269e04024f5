"""The people who wear the suit, as a tape measures them."""

from collections.abc import Mapping
from typing import Literal, get_args

from pydantic import Field

from limbwright.model.base import Written
from limbwright.model.field import BodyMass, Elevation, Flexion, Name, Stature, TapeLength
from limbwright.model.quantity import Toleranced

Sex = Literal["female", "male", "pooled"]

# Names of the ANSUR II survey (NATICK/TR-15/007), words set apart by underscores.
Measure = Literal[
    "acromial_height",
    "suprasternale_height",
    "axilla_height",
    "iliocristale_height",
    "trochanterion_height",
    "crotch_height",
    "knee_height_midpatella",
    "lateral_malleolus_height",
    "biacromial_breadth",
    "bideltoid_breadth",
    "waist_breadth",
    "waist_depth",
    "chest_breadth",
    "chest_depth",
    "hip_breadth",
    "buttock_depth",
    "acromion_radiale_length",
    "radiale_stylion_length",
    "shoulder_elbow_length",
    "forearm_hand_length",
    "forearm_center_of_grip_length",
    "hand_length",
    "hand_breadth",
    "span",
    "thumb_tip_reach",
    "sitting_height",
    "eye_height_sitting",
    "head_breadth",
    "head_length",
    "foot_length",
]
MEASURES: tuple[Measure, ...] = get_args(Measure)


class OwnLimits(Written):
    """The performer's own joint limits where measured [rad], each positive in its direction."""

    shoulder_flexion: Elevation | None = None
    shoulder_extension: Elevation | None = None
    shoulder_abduction: Elevation | None = None
    medial_rotation: Elevation | None = None
    lateral_rotation: Elevation | None = None
    elbow_flexion: Flexion | None = None


class Performer(Written):
    """One performer's tape sheet; stature and body mass are enough to start."""

    sex: Sex
    stature: Stature = Field(description="barefoot standing height")
    body_mass: BodyMass = Field(description="weighed lightly dressed")
    measured: Mapping[Measure, TapeLength] = Field(default_factory=dict[Measure, Toleranced])
    limits: OwnLimits = OwnLimits()


class Casting(Written):
    """Everyone who may wear the suit, and who wears it now."""

    active: str
    cast: Mapping[Name, Performer] = Field(min_length=1)
