"""A parallel arm in numbers: every length and angle resolved against the performer, in SI.

Angles in the arm's plane are measured from hanging straight down, positive towards raising: a limb
at angle a points along d(a) = sin(a) outward - cos(a) up, both in the swivel's frame.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from jaxtyping import Float

from limbwright.core.errors import GeometryError
from limbwright.model.body import Body
from limbwright.model.limb import STAGES, ParallelArm, StageName
from limbwright.model.quantity import Toleranced
from limbwright.model.suit import Suit

Side = Literal["right", "left"]
SHOP_TOLERANCE = 0.0005  # [m] where the suit states none; common practice, no source

LEAST_SPACING = 2.0  # pin centres, in pin diameters; common practice, no source
TRIM_LEFT = 0.0001  # [m] that trimming a rod on its threads leaves; common practice, no source

# What a trimmed rod follows: it copies this side, so it takes over the side's own error.
COPIES: Mapping[str, Mapping[str, float]] = {
    "rod_shoulder": {"mast": 1.0},
    "rod_forearm": {"mast": 1.0},
    "rod_relay": {"carrier": 1.0, "relay_at": -1.0},
}

# The lengths that a shop makes one by one; each may be off on its own.
LENGTHS = (
    "mast",
    "drive",
    "relay_at",
    "carrier",
    "crank_driver",
    "crank_carrier",
    "crank_forearm",
    "crank_relay_lower",
    "crank_relay_outer",
    "crank_character",
    "rod_shoulder",
    "rod_forearm",
    "rod_relay",
)


@dataclass(frozen=True)
class ArmGeometry:
    """One arm, one side. Lengths [m], angles [rad], points in the world [m].

    `mast` is S to S', `drive` S to E, `relay_at` S' to E1, `carrier` S' to E'. Cranks are named for
    the link that holds them; both ends of a rod share a crank angle.
    """

    limb: str
    side: Side
    shoulder: Float[np.ndarray, " 3"]  # on the swivel axis, at the performer's shoulder
    lean_out: float
    lean_forward: float
    mast: float
    mast_lean: float
    drive: float
    relay_at: float
    carrier: float
    performer_forearm: float  # E to the cuff, at the wrist unless the suit says otherwise
    performer_grip: float  # E to the centre of the grip
    character_forearm: float
    character_hand: float
    crank_driver: float
    crank_carrier: float
    crank_forearm: float
    crank_relay_lower: float
    crank_relay_outer: float
    crank_character: float
    angle_shoulder: float
    angle_forearm: float
    angle_relay: float
    rod_shoulder: float
    rod_forearm: float
    rod_relay: float
    stops: tuple[float, float, float]  # shoulder, forearm, relay
    swing_range: tuple[float, float]
    tolerance: Mapping[str, float]
    stated: Mapping[str, bool]  # whether the suit states that tolerance
    trimmed: tuple[str, ...]  # rods that are set on their threads to match the side they copy

    @property
    def mast_angle(self) -> float:
        """The mast's direction from S, measured like a limb's [rad]; pi is straight up."""
        return math.pi - self.mast_lean

    @property
    def outward(self) -> float:
        """World y of outward: -1 for the right arm, +1 for the left."""
        return -1.0 if self.side == "right" else 1.0

    def matched(self) -> "ArmGeometry":
        """The same arm with every rod exactly as long as the side it copies."""
        return replace(
            self, rod_shoulder=self.mast, rod_forearm=self.mast, rod_relay=self.carrier - self.relay_at
        )

    def with_length(self, name: str, change: float) -> "ArmGeometry":
        """The same arm with one length changed by `change` [m]."""
        if name not in LENGTHS:
            raise ValueError(f"no length {name!r}; there are {', '.join(LENGTHS)}")
        return replace(self, **{name: getattr(self, name) + change})


def resolve_arm(suit: Suit, limb: str, body: Body, side: Side) -> ArmGeometry:
    """An arm of the suit as numbers, with the performer's own lengths where it says `performer`.

    Raises:
        SuitError: a length is still `fit`, or the lengths cannot be assembled.
    """
    arm = suit.limbs[limb]
    _refuse_unfitted(suit, limb, arm)
    written = _written_lengths(arm, body)
    length = {name: value for name, (value, _) in written.items()}
    forearm, _ = _performer_length(arm.performer_forearm.length, body.forearm.value)
    geometry = ArmGeometry(
        limb=limb,
        side=side,
        shoulder=_shoulder(suit, arm, body, side),
        lean_out=arm.swivel.lean_out,
        lean_forward=arm.swivel.lean_forward,
        mast=length["mast"],
        mast_lean=_angle(arm.mast.lean),
        drive=length["drive"],
        relay_at=length["relay_at"],
        carrier=length["carrier"],
        performer_forearm=forearm,
        performer_grip=body.forearm.value + body.hand_to_grip.value,
        character_forearm=_length(arm.character_forearm.length)[0],
        character_hand=_length(arm.character_hand.length)[0],
        crank_driver=length["crank_driver"],
        crank_carrier=length["crank_carrier"],
        crank_forearm=length["crank_forearm"],
        crank_relay_lower=length["crank_relay_lower"],
        crank_relay_outer=length["crank_relay_outer"],
        crank_character=length["crank_character"],
        angle_shoulder=_angle(arm.cranks.shoulder.angle),
        angle_forearm=_angle(arm.cranks.forearm.angle),
        angle_relay=_angle(arm.cranks.relay.angle),
        rod_shoulder=length["rod_shoulder"],
        rod_forearm=length["rod_forearm"],
        rod_relay=length["rod_relay"],
        stops=(arm.stops.shoulder, arm.stops.forearm, arm.stops.relay),
        swing_range=arm.swivel.range,
        tolerance={n: SHOP_TOLERANCE if half is None else half for n, (_, half) in written.items()},
        stated={n: half is not None for n, (_, half) in written.items()},
        trimmed=tuple(
            f"rod_{stage}"
            for stage in STAGES
            if isinstance(getattr(arm.rods, stage).length, str) and getattr(arm.rods, stage).trim > 0.0
        ),
    )
    try:
        check_assembly(geometry)
        _check_spacing(geometry, arm.pins.diameter)
    except GeometryError as error:
        raise suit.error(f"limbs.{limb}.{error.field}", error.problem, error.remedy) from None
    return geometry


def check_assembly(geometry: ArmGeometry) -> None:
    """Refuse lengths that no pose can assemble.

    Raises:
        GeometryError: with the field under the limb.
    """
    outer = geometry.carrier - geometry.relay_at
    if outer <= 0.0:
        raise GeometryError(
            "relay_at",
            f"the relay at {_mm(geometry.relay_at)} lies beyond the carrier's {_mm(geometry.carrier)}",
            "make the carrier longer than the relay's place on it",
        )
    stages: tuple[tuple[StageName, float, float, float, float], ...] = (
        ("shoulder", geometry.rod_shoulder, geometry.mast, geometry.crank_driver, geometry.crank_carrier),
        ("forearm", geometry.rod_forearm, geometry.mast, geometry.crank_forearm, geometry.crank_relay_lower),
        ("relay", geometry.rod_relay, outer, geometry.crank_relay_outer, geometry.crank_character),
    )
    for stage, rod, ground, near, far in stages:
        if abs(rod - ground) >= near + far:
            raise GeometryError(
                f"rods.{stage}.length",
                f"the {stage} rod of {_mm(rod)} cannot reach between its cranks",
                f"a rod as long as the side it copies is {_mm(ground)}",
            )


def check_folding(geometry: ArmGeometry) -> None:
    """Refuse a stage whose crank is as long as the side its rod copies.

    Past its change point such a stage can fold across and still show both crank-to-rod sines on the
    side they were on, so nothing would tell that assembly from the parallel one.

    Raises:
        GeometryError: with the field under the limb.
    """
    outer = geometry.carrier - geometry.relay_at
    stages: tuple[tuple[StageName, float, float], ...] = (
        ("shoulder", geometry.mast, max(geometry.crank_driver, geometry.crank_carrier)),
        ("forearm", geometry.mast, max(geometry.crank_forearm, geometry.crank_relay_lower)),
        ("relay", outer, max(geometry.crank_relay_outer, geometry.crank_character)),
    )
    for stage, side, crank in stages:
        if crank >= side:
            raise GeometryError(
                f"cranks.{stage}.length",
                f"a crank of {_mm(crank)} is no shorter than the {_mm(side)} that its rod copies, "
                "so the stage can fold across unseen",
                f"make it shorter than {_mm(side)}",
            )


def _check_spacing(geometry: ArmGeometry, diameter: float) -> None:
    """Refuse pins so near to each other that their holes leave no plate between them."""
    least = LEAST_SPACING * diameter
    spans = {
        "relay_at": geometry.carrier - geometry.relay_at,
        "cranks.shoulder.length": geometry.crank_driver,
        "cranks.forearm.length": geometry.crank_forearm,
        "cranks.relay.length": geometry.crank_relay_outer,
    }
    for field, span in spans.items():
        if span < least:
            raise GeometryError(
                field,
                f"leaves {_mm(span)} between the centres of two pins of {_mm(diameter)}",
                f"keep them {_mm(least)} apart or more",
            )


def stage_margins(
    geometry: ArmGeometry, elevation: Float[np.ndarray, "*n"], elbow: Float[np.ndarray, "*n"]
) -> Float[np.ndarray, "*n 3"]:
    """Signed crank-to-rod angles of an exact arm [rad]: shoulder, forearm, relay; zero at a lock.

    The angles whose sines make the closure's determinant b0 b1 b2 sin(th+c0-mu) sin(ph+c1-mu)
    sin(ph+c2-th). Their signs tell the sides of the locks; which side is built is the assembled pose's.
    """
    forearm = elevation + elbow
    angles = (
        elevation + geometry.angle_shoulder - geometry.mast_angle,
        forearm + geometry.angle_forearm - geometry.mast_angle,
        elbow + geometry.angle_relay,
    )
    return np.arcsin(np.sin(np.stack(angles, axis=-1)))


def direction(angle: float) -> Float[np.ndarray, " 3"]:
    """Unit vector of a limb at `angle` [rad] in the swivel's frame (outward, sideways, up)."""
    return np.array([math.sin(angle), 0.0, -math.cos(angle)])


def _written_lengths(arm: ParallelArm, body: Body) -> dict[str, tuple[float, float | None]]:
    """Every one of LENGTHS with its +/- (None where the suit states none) [m]."""
    drive = _performer_length(arm.driver.length, body.upper_arm.value)
    relay_at = _performer_length(arm.relay_at, drive[0])
    mast, carrier = _length(arm.mast.length), _length(arm.carrier.length)
    shoulder, forearm, relay = (_length(getattr(arm.cranks, stage).length) for stage in STAGES)
    return {
        "mast": mast,
        "drive": drive,
        "relay_at": relay_at,
        "carrier": carrier,
        "crank_driver": shoulder,
        "crank_carrier": shoulder,
        "crank_forearm": forearm,
        "crank_relay_lower": forearm,
        "crank_relay_outer": relay,
        "crank_character": relay,
        "rod_shoulder": _rod(arm.rods.shoulder.length, mast[0]),
        "rod_forearm": _rod(arm.rods.forearm.length, mast[0]),
        "rod_relay": _rod(arm.rods.relay.length, carrier[0] - relay_at[0]),
    }


def _shoulder(suit: Suit, arm: ParallelArm, body: Body, side: Side) -> Float[np.ndarray, " 3"]:
    sign = -1.0 if side == "right" else 1.0
    lift = suit.stilts.height if suit.stilts else 0.0
    return np.array(
        [
            body.shoulder_forward.value + arm.swivel.forward,
            sign * (body.shoulder_out.value + arm.swivel.out),
            lift + body.shoulder_up.value + arm.swivel.up,
        ]
    )


def _refuse_unfitted(suit: Suit, limb: str, arm: ParallelArm) -> None:
    fields: dict[str, object] = {
        "mast.length": arm.mast.length,
        "mast.lean": arm.mast.lean,
        "carrier.length": arm.carrier.length,
        "character_forearm.length": arm.character_forearm.length,
        "character_hand.length": arm.character_hand.length,
    }
    for stage in STAGES:
        crank = getattr(arm.cranks, stage)
        fields[f"cranks.{stage}.length"] = crank.length
        fields[f"cranks.{stage}.angle"] = crank.angle
    for field, value in fields.items():
        if value == "fit":
            raise suit.error(
                f"limbs.{limb}.{field}",
                "is still 'fit'",
                "run `limbwright fit suit.yaml --write`, or write a value",
            )


def _length(written: Toleranced | str) -> tuple[float, float | None]:
    if isinstance(written, str):
        raise ValueError(f"length {written!r} is not resolved")
    return written.value, written.plus_minus


def _performer_length(written: Toleranced | str, own: float) -> tuple[float, float | None]:
    return (own, None) if isinstance(written, str) else (written.value, written.plus_minus)


def _rod(written: Toleranced | str, copied: float) -> tuple[float, float | None]:
    return (copied, None) if isinstance(written, str) else (written.value, written.plus_minus)


def _angle(written: float | str) -> float:
    if isinstance(written, str):
        raise ValueError(f"angle {written!r} is not resolved")
    return written


def _mm(length: float) -> str:
    return f"{length * 1e3:.1f} mm"
