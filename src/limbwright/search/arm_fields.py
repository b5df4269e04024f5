"""The fields of an arm that `fit` may decide: read them, fill them in, stand in for them."""

from collections.abc import Mapping
from typing import NamedTuple, TypeVar

from limbwright.core.units import System, show
from limbwright.limbs.arm_geometry import ArmGeometry, resolve_arm
from limbwright.model.base import Written
from limbwright.model.body import Body
from limbwright.model.limb import STAGES, ParallelArm
from limbwright.model.quantity import Toleranced
from limbwright.model.suit import Suit
from limbwright.search.drawn_arm import FIELDS as PROPORTIONS
from limbwright.search.sizes import angle_text, length_text

CRANK_LENGTHS = tuple(f"cranks.{stage}.length" for stage in STAGES)
CRANK_ANGLES = tuple(f"cranks.{stage}.angle" for stage in STAGES)
ALL_FIELDS = (*PROPORTIONS, *CRANK_LENGTHS, *CRANK_ANGLES)
ANGLES = ("mast.lean", *CRANK_ANGLES)
Block = TypeVar("Block", bound=Written)


class Field(NamedTuple):
    """A field as the file has it: SI value and +/-, or None where it says fit."""

    value: float | None
    plus_minus: float | None


def read_field(arm: ParallelArm, field: str) -> Field:
    """One of `ALL_FIELDS`."""
    held: object = arm
    for name in field.split("."):
        held = getattr(held, name)
    if isinstance(held, Toleranced):
        return Field(held.value, held.plus_minus)
    return Field(held, None) if isinstance(held, float) else Field(None, None)


def field_text(field: str, held: Field, system: System) -> str:
    """A field for reading."""
    if held.value is None:
        return "fit"
    if field in ANGLES:
        return angle_text(held.value)
    return length_text(held.value, system) + spread_text(held, system)


def spread_text(held: Field, system: System) -> str:
    """The +/- that a new value keeps; sixteenths are too coarse for one."""
    if held.plus_minus is None:
        return ""
    return f" +/- {show(held.plus_minus, 'length', 'in' if system == 'frac-in' else system)}"


def fill(suit: Suit, limb: str, values: Mapping[str, float]) -> Suit:
    """The suit with fields of one arm replaced; lengths keep their +/-."""
    arm = suit.limbs[limb]
    for field, value in values.items():
        held = value if field in ANGLES else Toleranced(value, read_field(arm, field).plus_minus)
        arm = _replaced(arm, tuple(field.split(".")), held)
    return suit.model_copy(update={"limbs": {**suit.limbs, limb: arm}})


def geometry_with(suit: Suit, limb: str, body: Body, values: Mapping[str, float]) -> ArmGeometry:
    """The right arm with fields filled in; whatever still says fit has a stand-in.

    Shares and margins depend on none of the stand-in lengths.

    Raises:
        SuitError: the lengths that are written cannot be assembled.
    """
    arm = suit.limbs[limb]
    written = {f: v for f in ALL_FIELDS if (v := read_field(arm, f).value) is not None}
    return resolve_arm(fill(suit, limb, {**_stand_ins(arm, body), **written, **values}), limb, body, "right")


def relay_place(arm: ParallelArm, body: Body) -> float:
    """How far out on the carrier the relay's pin sits [m]."""
    for written in (arm.relay_at, arm.driver.length):
        if isinstance(written, Toleranced):
            return written.value
    return body.upper_arm.value


def _stand_ins(arm: ParallelArm, body: Body) -> dict[str, float]:
    """Values that assemble with whatever rods are written."""
    rods = [getattr(arm.rods, stage).length for stage in STAGES]
    mast = next((rod.value for rod in rods[:2] if isinstance(rod, Toleranced)), 0.6)
    outer = rods[2].value if isinstance(rods[2], Toleranced) else 0.4
    return {
        "mast.length": mast,
        "mast.lean": 0.0,
        "carrier.length": relay_place(arm, body) + outer,
        "character_forearm.length": 0.7,
        "character_hand.length": 0.2,
        **dict.fromkeys(CRANK_LENGTHS, 1.0),
        **dict.fromkeys(CRANK_ANGLES, 1.0),
    }


def _replaced(held: Block, path: tuple[str, ...], value: object) -> Block:
    first, *rest = path
    new = _replaced(getattr(held, first), tuple(rest), value) if rest else value
    return held.model_copy(update={first: new})
