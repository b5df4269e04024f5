"""What an arm weighs, piece by piece, on which body of its mechanism."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from jaxtyping import Float

from limbwright.core.estimate import Basis
from limbwright.engine.mechanism import Masses, Mechanism
from limbwright.engine.statics import no_masses
from limbwright.limbs.arm_geometry import ArmGeometry, direction
from limbwright.limbs.parallel_arm import HANGING
from limbwright.limbs.worn_arm import WornArm
from limbwright.model.limb import STAGES, Link, ParallelArm, Relay
from limbwright.model.quantity import Mass
from limbwright.model.suit import Suit
from limbwright.reference.materials import material

UNSTATED_SPREAD = 0.30  # of a mass whose range nobody stated; assumed
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


def mass_ends(mass: float, stated: tuple[float, float] | None) -> tuple[float, float]:
    """A mass's range, or UNSTATED_SPREAD about it where none is stated: knowing less is no narrower."""
    if stated is not None:
        return stated
    return (mass * (1.0 - UNSTATED_SPREAD), mass * (1.0 + UNSTATED_SPREAD))


@dataclass(frozen=True)
class MassItem:
    """One thing that weighs.

    `body` names the mechanism's body that carries it and `centre` is in that body's frame [m]. What
    is on a rod names its closure instead and is shared to the rod's two pins, which is exact for
    gravity: `along` of it at the upper pin, the rest at the lower, both moved sideways by `centre`.
    """

    name: str
    mass: float  # [kg]
    range: tuple[float, float] | None  # least and greatest [kg]; None: no estimate
    basis: Basis
    body: str
    centre: Float[np.ndarray, " 3"]
    rod: bool = False
    along: float = 0.5

    @property
    def ends(self) -> tuple[float, float]:
        """Least and greatest mass, an assumed spread where none is stated [kg]."""
        return mass_ends(self.mass, self.range)


def arm_items(suit: Suit, arm: WornArm) -> tuple[MassItem, ...]:
    """Every link, rod, plate, pin and part that the arm's mechanism carries, without the performer."""
    limb, g = suit.limbs[arm.limb], arm.geometry
    lengths = {
        "mast": g.mast,
        "driver": g.drive,
        "performer_forearm": g.performer_forearm,
        "carrier": g.carrier,
        "character_forearm": g.character_forearm,
        "character_hand": g.character_hand,
    }
    items: list[MassItem] = []
    for name, length in lengths.items():
        link: Link = getattr(limb, name)
        middle = _on_link(g, name, (0.5 * length, 0.0, link.layer))
        items.append(_item(name.replace("_", " "), _stock_mass(link, length), BODY_OF[name], middle))
    items += [*_plates(limb, g), *_pins(limb, g), *_parts(suit, arm)]
    for stage in STAGES:
        rod: Link = getattr(limb.rods, stage)
        mass = _stock_mass(rod, getattr(g, f"rod_{stage}"))
        aside = np.array([0.0, g.outward * rod.layer, 0.0])
        items.append(_item(f"{stage} rod", mass, f"{stage}_rod", aside, rod=True))
    return tuple(item for item in items if item.mass > 0.0)


def own_arm_items(arm: WornArm) -> tuple[MassItem, ...]:
    """The performer's own upper arm, forearm and hand, carried by the links they are strapped to."""
    body = arm.body
    share = (body.body_mass.sd or 0.0) * 2.0 / body.body_mass.value
    at_wrist = body.forearm.value  # the hand stays at the wrist, wherever the link's cuff sits
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
        for body, at, share in carried_at(mechanism, item):
            found.mass[body] += share * mass
            first[body] += share * mass * at
    heavy = found.mass > 0.0
    found.centre[heavy] = first[heavy] / found.mass[heavy, None]
    return found


def carried_at(
    mechanism: Mechanism, item: MassItem
) -> tuple[tuple[int, Float[np.ndarray, " 3"], float], ...]:
    """Where an item weighs: bodies, places in their frames [m] and shares of its mass."""
    if not item.rod:
        return ((mechanism.body(item.body), item.centre, 1.0),)
    linkage = mechanism.linkage
    k = mechanism.closure_names.index(item.body)
    return (
        (int(linkage.body_a[k]), linkage.point_a[k] + item.centre, 1.0 - item.along),
        (int(linkage.body_b[k]), linkage.point_b[k] + item.centre, item.along),
    )


def _on_link(
    g: ArmGeometry, link: str, place: tuple[float, float, float] | Float[np.ndarray, " 3"]
) -> Float[np.ndarray, " 3"]:
    """[along, towards raising, sideways] on a link, in the frame of the body that carries it [m]."""
    along, raising, sideways = place
    if link == "character_hand":
        along += g.character_forearm
    base = direction(g.mast_angle) if link == "mast" else HANGING
    return along * base + np.array([raising, g.outward * sideways, 0.0])


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
    """The relay and four crank plates: strips between their holes, with the rim around.

    All are cut from one sheet. Where only the relay was weighed, its weight tells the sheet's.
    """
    rim = limb.relay.rim

    def area(length: float) -> float:
        return 2.0 * rim * length + math.pi * rim * rim

    whole = area(g.crank_relay_lower) + area(g.crank_relay_outer)
    if limb.relay.material is not None:
        sheet = material(limb.relay.material).density.value * limb.relay.plate
    elif limb.relay.mass is not None:
        sheet = limb.relay.mass.value / whole
    else:
        return []
    relay = limb.relay.mass or computed_mass(sheet * whole)

    c0, c1, c2 = (direction(a) for a in (g.angle_shoulder, g.angle_forearm, g.angle_relay))
    cranks = (
        ("driver", "driver", g.crank_driver * c0),
        ("carrier", "carrier", g.crank_carrier * c0),
        ("performer forearm", "performer_forearm", g.crank_forearm * c1),
        ("character forearm", "character_forearm", g.crank_character * c2),
    )
    items: list[MassItem] = []
    for name, link, pin in cranks:
        mass = computed_mass(sheet * area(float(np.linalg.norm(pin))))
        aside = np.array([0.0, g.outward * getattr(limb, link).layer, 0.0])
        items.append(_item(f"{name} crank", mass, link, 0.5 * pin + aside))
    first = area(g.crank_relay_lower) * g.crank_relay_lower * c1
    second = area(g.crank_relay_outer) * g.crank_relay_outer * c2
    middle = 0.5 * (first + second) / whole
    middle[1] = g.outward * limb.relay.layer
    return [*items, _item("relay", relay, "relay", middle)]


def _pins(limb: ParallelArm, g: ArmGeometry) -> list[MassItem]:
    """Pins as round bars of their stated lengths, steel where not said, on the body that carries them."""
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
    stock = limb.pins.material
    density = PIN_DENSITY if stock is None else material(stock).density.value
    items: list[MassItem] = []
    for name, pin in limb.pins.each.items():
        d = pin.diameter or limb.pins.diameter
        mass = computed_mass(density * 0.25 * math.pi * d * d * pin.length)
        body, at = places[name]
        middle = sum(_layer(limb, member) for member in pin.stack) / len(pin.stack)
        at = at + np.array([0.0, g.outward * middle, 0.0])
        items.append(_item(f"{name.replace('_', ' ')} pin", mass, body, at))
    return items


def _layer(limb: ParallelArm, member: str) -> float:
    """Sideways offset of a member of a pin's stack [m]."""
    stage, is_rod, _ = member.partition("_rod")
    link: Link | Relay = getattr(limb.rods, stage) if is_rod else getattr(limb, member)
    return link.layer


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
        if limb != arm.limb:
            continue
        if link in BODY_OF:
            items.append(_item(part.name, part.mass, BODY_OF[link], _on_link(arm.geometry, link, at)))
        else:  # one of the rods, which may turn about its own line: only the sideways offset counts
            length: float = getattr(arm.geometry, f"rod_{link.removesuffix('_rod')}")
            aside = np.array([0.0, arm.geometry.outward * at[2], 0.0])
            on_rod = _item(part.name, part.mass, link, aside, rod=True)
            items.append(replace(on_rod, along=float(at[0]) / length))
    return items
