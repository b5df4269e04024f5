"""What an arm weighs, piece by piece, on which body of its mechanism."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from jaxtyping import Float

from limbwright.core.estimate import Basis
from limbwright.engine.mechanism import Masses, Mechanism
from limbwright.engine.statics import no_masses
from limbwright.limbs.arm_geometry import ArmGeometry, direction
from limbwright.limbs.parallel_arm import HANGING
from limbwright.limbs.worn_arm import WornArm
from limbwright.model.limb import Link, ParallelArm
from limbwright.model.quantity import Mass
from limbwright.model.suit import Suit
from limbwright.reference.materials import material

STOCK_SPREAD = 0.10  # walls, end fittings and screws against density x section x length; assumed
PIN_DENSITY = 7850.0  # steel [kg/m3]; handbook
BODY_OF = {
    "mast": "swivel",
    "driver": "driver",
    "carrier": "carrier",
    "performer_forearm": "performer_forearm",
    "character_forearm": "character_forearm",
    "character_hand": "character_forearm",
    "relay": "relay",
}


@dataclass(frozen=True)
class MassItem:
    """One thing that weighs.

    `body` names the mechanism's body that carries it and `centre` is in that body's frame [m]; a
    rod names its closure instead and shares its mass to its two ends.
    """

    name: str
    mass: float  # [kg]
    range: tuple[float, float] | None  # least and greatest [kg]; None: no estimate
    basis: Basis
    body: str
    centre: Float[np.ndarray, " 3"]
    rod: bool = False

    @property
    def ends(self) -> tuple[float, float]:
        """Least and greatest mass; both the value itself where there is no estimate [kg]."""
        return self.range if self.range is not None else (self.mass, self.mass)


def arm_items(suit: Suit, arm: WornArm) -> tuple[MassItem, ...]:
    """Every link, rod, plate, pin and part that the arm's mechanism carries, without the performer."""
    limb, g = suit.limbs[arm.limb], arm.geometry
    hand_at = g.character_forearm
    items = [
        _link(limb.mast, "mast", g.mast, 0.5 * g.mast * direction(g.mast_angle)),
        _link(limb.driver, "driver", g.drive, 0.5 * g.drive * HANGING),
        _link(
            limb.performer_forearm,
            "performer_forearm",
            g.performer_forearm,
            0.5 * g.performer_forearm * HANGING,
        ),
        _link(limb.carrier, "carrier", g.carrier, 0.5 * g.carrier * HANGING),
        _link(
            limb.character_forearm,
            "character_forearm",
            g.character_forearm,
            0.5 * g.character_forearm * HANGING,
        ),
        _link(
            limb.character_hand,
            "character_hand",
            g.character_hand,
            (hand_at + 0.5 * g.character_hand) * HANGING,
        ),
        *_plates(limb, g),
        *_pins(limb, g),
        *_parts(suit, arm),
    ]
    for stage, length in (("shoulder", g.rod_shoulder), ("forearm", g.rod_forearm), ("relay", g.rod_relay)):
        mass = _stock_mass(getattr(limb.rods, stage), length)
        items.append(_item(f"{stage} rod", mass, f"{stage}_rod", np.zeros(3), rod=True))
    return tuple(item for item in items if item.mass > 0.0)


def own_arm_items(arm: WornArm) -> tuple[MassItem, ...]:
    """The performer's own upper arm, forearm and hand, carried by the links they are strapped to."""
    body = arm.body
    share = (body.body_mass.sd or 0.0) * 2.0 / body.body_mass.value
    at_wrist = arm.geometry.performer_forearm
    places = (
        ("upper_arm", "driver", 0.0),
        ("forearm", "performer_forearm", 0.0),
        ("hand", "performer_forearm", at_wrist),
    )
    items: list[MassItem] = []
    for name, host, start in places:
        segment = body.segments[name]
        span = (segment.mass * (1.0 - share), segment.mass * (1.0 + share))
        items.append(
            MassItem(
                f"own {name.replace('_', ' ')}",
                segment.mass,
                span,
                "published",
                host,
                (start + segment.centre) * HANGING,
            )
        )
    return tuple(items)


def gather_masses(
    mechanism: Mechanism, items: Sequence[MassItem], masses: Sequence[float] | None = None
) -> Masses:
    """Items as the engine's arrays; `masses` replaces the items' own values, in their order [kg]."""
    found = no_masses(mechanism)
    first = np.zeros((len(mechanism.body_names), 3))
    for item, mass in zip(items, masses or [i.mass for i in items], strict=True):
        if item.rod:
            found.rod_mass[mechanism.closure_names.index(item.body)] += mass
            continue
        body = mechanism.body(item.body)
        found.mass[body] += mass
        first[body] += mass * item.centre
    heavy = found.mass > 0.0
    found.centre[heavy] = first[heavy] / found.mass[heavy, None]
    return found


def _link(link: Link, name: str, length: float, centre: Float[np.ndarray, " 3"]) -> MassItem:
    return _item(name.replace("_", " "), _stock_mass(link, length), BODY_OF[name], centre)


def _item(name: str, mass: Mass, body: str, centre: Float[np.ndarray, " 3"], rod: bool = False) -> MassItem:
    return MassItem(name, mass.value, mass.range, mass.basis, body, centre, rod)


def _stock_mass(link: Link, length: float) -> Mass:
    """As stated, else density x section x length; without stock it is taken as weightless."""
    if link.mass is not None:
        return link.mass
    if link.section is None or link.material is None:
        return Mass(0.0)
    return computed_mass(material(link.material).density.value * link.section.area * length)


def computed_mass(value: float) -> Mass:
    """A mass from density and size, with the spread of bought stock and its fittings."""
    return Mass(value, (value * (1.0 - STOCK_SPREAD), value * (1.0 + STOCK_SPREAD)), "computed")


def _plates(limb: ParallelArm, g: ArmGeometry) -> list[MassItem]:
    """The relay and four crank plates: strips between their holes, with the rim around."""
    if limb.relay.material is None:
        return []
    sheet = material(limb.relay.material).density.value * limb.relay.plate
    rim = limb.relay.rim

    def strip(length: float) -> float:
        return sheet * (2.0 * rim * length + math.pi * rim * rim)

    c0, c1, c2 = (direction(a) for a in (g.angle_shoulder, g.angle_forearm, g.angle_relay))
    cranks = (
        ("driver crank", "driver", g.crank_driver, c0, 0.0),
        ("carrier crank", "carrier", g.crank_carrier, c0, 0.0),
        ("performer forearm crank", "performer_forearm", g.crank_forearm, c1, 0.0),
        ("character forearm crank", "character_forearm", g.crank_character, c2, 0.0),
    )
    items = [
        _item(name, computed_mass(strip(length)), body, 0.5 * length * along)
        for name, body, length, along, _ in cranks
    ]
    relay = limb.relay.mass or computed_mass(strip(g.crank_relay_lower) + strip(g.crank_relay_outer))
    middle = 0.25 * (g.crank_relay_lower * c1 + g.crank_relay_outer * c2)
    return [*items, _item("relay", relay, "relay", middle)]


def _pins(limb: ParallelArm, g: ArmGeometry) -> list[MassItem]:
    """Pins as steel rods of their stated lengths, on the body that carries them outwards."""
    c0, c1, c2 = (direction(a) for a in (g.angle_shoulder, g.angle_forearm, g.angle_relay))
    places: dict[str, tuple[str, Float[np.ndarray, " 3"]]] = {
        "shoulder": ("driver", np.zeros(3)),
        "character_shoulder": ("carrier", np.zeros(3)),
        "elbow": ("performer_forearm", np.zeros(3)),
        "relay": ("relay", np.zeros(3)),
        "character_elbow": ("character_forearm", np.zeros(3)),
        "shoulder_rod_lower": ("driver", g.crank_driver * c0),
        "shoulder_rod_upper": ("carrier", g.crank_carrier * c0),
        "forearm_rod_lower": ("performer_forearm", g.crank_forearm * c1),
        "forearm_rod_upper": ("relay", g.crank_relay_lower * c1),
        "relay_rod_inner": ("relay", g.crank_relay_outer * c2),
        "relay_rod_outer": ("character_forearm", g.crank_character * c2),
    }
    items: list[MassItem] = []
    for name, pin in limb.pins.each.items():
        d = pin.diameter or limb.pins.diameter
        mass = computed_mass(PIN_DENSITY * 0.25 * math.pi * d * d * pin.length)
        body, at = places[name]
        items.append(_item(f"{name.replace('_', ' ')} pin", mass, body, at))
    return items


def _parts(suit: Suit, arm: WornArm) -> list[MassItem]:
    """Shells and hands; a part on another part rides on that part's host, from its centre."""
    by_name = {part.name: part for part in suit.parts}
    items: list[MassItem] = []
    for part in suit.parts:
        if part.side not in ("both", arm.side):
            continue
        at, host = np.zeros(3), part
        seen: set[str] = set()
        while True:
            at = at + np.array(host.centre)
            if host.on not in by_name or host.on in seen:
                break
            seen.add(host.on)
            host = by_name[host.on]
        limb, _, link = host.on.partition("/")
        if limb != arm.limb or link not in BODY_OF:
            continue
        along, raising, sideways = at
        if link == "character_hand":
            along += arm.geometry.character_forearm
        base = along * direction(arm.geometry.mast_angle) if link == "mast" else along * HANGING
        local = (
            base + raising * np.array([1.0, 0.0, 0.0]) + sideways * np.array([0.0, arm.geometry.outward, 0.0])
        )
        items.append(_item(part.name, part.mass, BODY_OF[link], local))
    return items
