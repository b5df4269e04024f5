"""A parallel arm as written down: links, cranks, rods, relay, stops and pins.

Crank angles are measured from the limb's own direction to its crank, positive towards raising or
flexing, the same at both ends of a rod. A layer is a sideways offset from the arm's plane, positive
against the swing: behind the arm when it is out to the side, outside it when it points forward.
"""

from collections.abc import Mapping
from typing import Any, Literal, get_args

from pydantic import Field, GetJsonSchemaHandler, model_validator
from pydantic_core import CoreSchema

from limbwright.model.base import Written
from limbwright.model.field import (
    Acute,
    Elevation,
    FitAngle,
    FitLength,
    Flexion,
    Gap,
    Lean,
    Length,
    MassField,
    MaterialName,
    PerformerLength,
    RodLength,
    Size,
    Turn,
    Words,
    Yes,
    read_acute,
    text_schema,
)
from limbwright.model.section import SectionField

LinkName = Literal["mast", "driver", "carrier", "performer_forearm", "character_forearm", "character_hand"]
LINKS: tuple[LinkName, ...] = get_args(LinkName)
StageName = Literal["shoulder", "forearm", "relay"]
STAGES: tuple[StageName, ...] = get_args(StageName)

MEMBERS = (*LINKS, "relay", *(f"{stage}_rod" for stage in STAGES))
PinName = Literal[
    "shoulder",
    "character_shoulder",
    "elbow",
    "relay",
    "character_elbow",
    "shoulder_rod_lower",
    "shoulder_rod_upper",
    "forearm_rod_lower",
    "forearm_rod_upper",
    "relay_rod_inner",
    "relay_rod_outer",
]
# What each pin holds together; the first five are S, S', E, E1 and E' of the derivations.
PIN_MEMBERS: Mapping[PinName, frozenset[str]] = {
    "shoulder": frozenset({"mast", "driver"}),
    "character_shoulder": frozenset({"mast", "carrier"}),
    "elbow": frozenset({"driver", "performer_forearm"}),
    "relay": frozenset({"carrier", "relay"}),
    "character_elbow": frozenset({"carrier", "character_forearm"}),
    "shoulder_rod_lower": frozenset({"driver", "shoulder_rod"}),
    "shoulder_rod_upper": frozenset({"carrier", "shoulder_rod"}),
    "forearm_rod_lower": frozenset({"performer_forearm", "forearm_rod"}),
    "forearm_rod_upper": frozenset({"relay", "forearm_rod"}),
    "relay_rod_inner": frozenset({"relay", "relay_rod"}),
    "relay_rod_outer": frozenset({"character_forearm", "relay_rod"}),
}


class Swivel(Written):
    """The upright axis the whole arm turns about; offsets are from the performer's shoulder centre."""

    out: Length = 0.0
    forward: Length = 0.0
    up: Length = 0.0
    lean_out: Lean = 0.0
    lean_forward: Lean = 0.0
    range: tuple[Turn, Turn] = Field(description="least and greatest swing: 0 out, 90 deg forward")


class Link(Written):
    """A bar: what it is cut from, how it is offset sideways, and its mass where known better."""

    section: SectionField | None = None
    material: MaterialName | None = None
    layer: Length = 0.0
    mass: MassField | None = None


class Mast(Link):
    """The upright that carries the character's shoulder above the performer's."""

    length: FitLength
    lean: FitAngle = Field(default=0.0, description="outward, in the arm's plane")


class PerformerLink(Link):
    """A link worn along the performer's arm; `performer` is as long as the performer's own."""

    length: PerformerLength


class CharacterLink(Link):
    """A link of the character's arm."""

    length: FitLength


class Crank(Written):
    """The short arm of a link that holds a rod's pin."""

    length: FitLength
    angle: FitAngle


class Cranks(Written):
    """One crank for each stage, used at both ends of its rod."""

    shoulder: Crank
    forearm: Crank
    relay: Crank


class Rod(Link):
    """A two-force link; `match` is as long as the side it copies. Trim is each way, by its threads."""

    length: RodLength
    trim: Gap = 0.0


class Rods(Written):
    """Shoulder: mast's copy. Forearm: up to the relay. Relay: out to the character's forearm."""

    shoulder: Rod
    forearm: Rod
    relay: Rod


class Relay(Written):
    """The three-pin plate at the elbow."""

    plate: Size = Field(description="thickness")
    rim: Size = Field(default=0.012, description="from a hole's centre to the edge")
    material: MaterialName | None = None
    layer: Length = 0.0
    mass: MassField | None = None


class Stops(Written):
    """Crank-to-rod angle at which each stage's stop touches [rad]; one angle serves all three."""

    shoulder: Acute
    forearm: Acute
    relay: Acute

    @model_validator(mode="before")
    @classmethod
    def _one_for_all(cls, written: object) -> object:
        if isinstance(written, str | int | float):
            return dict.fromkeys(STAGES, read_acute(written))
        return written

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """For editors: one angle as text, or one a stage."""
        return {"anyOf": [text_schema("angle"), handler(core_schema)]}


class Pin(Written):
    """One pin: its members from the lowest layer to the highest, and its length."""

    stack: tuple[Words, ...] = Field(min_length=2)
    length: Size
    diameter: Size | None = None


class Pins(Written):
    """Every pin of the arm; `each` names the ones that are written out."""

    diameter: Size
    material: MaterialName | None = None
    each: Mapping[PinName, Pin] = Field(default_factory=dict[PinName, Pin])


class ParkPin(Written):
    """The pose in which a pin holds the arm for dressing and rest [rad]."""

    elevation: Elevation
    elbow: Flexion


class ParallelArm(Written):
    """Three parallelograms on a swivel: the character's forearm stays parallel to the performer's."""

    kind: Literal["parallel-arm"]
    on: Words = "harness"
    side: Literal["right", "left"]
    mirrored: Yes = True
    swivel: Swivel
    mast: Mast
    driver: PerformerLink
    carrier: CharacterLink
    relay_at: PerformerLength
    performer_forearm: PerformerLink
    character_forearm: CharacterLink
    character_hand: CharacterLink
    cranks: Cranks
    rods: Rods
    relay: Relay
    stops: Stops
    pins: Pins
    park_pin: ParkPin | None = None

    @property
    def sides(self) -> tuple[Literal["right", "left"], ...]:
        """The sides it is built for."""
        return ("right", "left") if self.mirrored else (self.side,)
