"""The people who wear the suit, as a tape measures them."""

from collections.abc import Mapping
from typing import Literal, get_args

from pydantic import Field, model_validator

from limbwright.model.base import Written
from limbwright.model.quantity import Angle, BodyMass, TapeLength, Toleranced, said

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
    "chest_breadth",
    "chest_depth",
    "hip_breadth",
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
    "foot_length",
]
MEASURES: tuple[Measure, ...] = get_args(Measure)


class OwnLimits(Written):
    """The performer's own joint limits where measured [rad], each positive in its direction."""

    shoulder_flexion: Angle | None = None
    shoulder_extension: Angle | None = None
    shoulder_abduction: Angle | None = None
    medial_rotation: Angle | None = None
    lateral_rotation: Angle | None = None
    elbow_flexion: Angle | None = None


class Performer(Written):
    """One performer's tape sheet; stature and body mass are enough to start."""

    sex: Sex
    stature: TapeLength = Field(description="barefoot standing height [m]")
    body_mass: BodyMass = Field(description="[kg]")
    measured: Mapping[Measure, TapeLength] = Field(default_factory=dict[Measure, Toleranced])
    limits: OwnLimits = OwnLimits()


class Casting(Written):
    """Everyone who may wear the suit, and who wears it now."""

    active: str
    cast: Mapping[str, Performer] = Field(min_length=1)

    @model_validator(mode="after")
    def _active_is_cast(self) -> "Casting":
        if self.active not in self.cast:
            raise said(f"no performer '{self.active}'", f"one of {', '.join(self.cast)}")
        return self
