"""The flat parts of an arm that the shop cuts and drills, from the same numbers the engine moves.

Each part lies with its datum pin at the origin and its own direction along +x, seen from its outer
face: +y is towards raising or flexing on right arms, away from it on left ones. Bars are drawn as the
developed strip of their tube or flat.
"""

import math
from dataclasses import replace

from limbwright.limbs.arm_geometry import ArmGeometry, Side, resolve_arm
from limbwright.model.body import Body
from limbwright.model.cut_part import CutPart, Hole
from limbwright.model.limb import Link, ParallelArm, PinName, StageName
from limbwright.model.suit import Suit

FIXING = 2.5  # a crank plate's second fixing sits this many pin diameters out along its link
End = tuple[str, PinName | None]  # a hole's label and its pin
EYE = 1.25  # half width of a rod end's eye, in pin diameters; common practice, no source
ROD_NOTE = "eye to eye; the tube is shorter by both rod ends: take them from their maker's drawing"
FOREARM_LINK = "performer forearm link"
OWN_LENGTH = "a hole here is set by the performer's own arm, estimated: fit it on them before drilling"
NO_STOCK = "stock not stated"


def cut_parts(suit: Suit, body: Body) -> tuple[CutPart, ...]:
    """Every flat part of every arm; the other side's parts are mirror images of the side written down.

    Raises:
        SuitError: lengths that cannot be assembled, or fields still to be fitted.
    """
    parts: list[CutPart] = []
    for name, arm in suit.limbs.items():
        own = _arm_parts(arm, resolve_arm(suit, name, body, arm.side))
        if arm.side == "left":
            own = [replace(part.mirror_image(), side="left", mirrored=False) for part in own]
        parts += own
        if arm.mirrored:
            parts += [part.mirror_image() for part in own]
    return tuple(parts)


def _arm_parts(arm: ParallelArm, g: ArmGeometry) -> list[CutPart]:
    return [*_links(arm, g), *_cranks(arm, g), _relay(arm, g), *_rods(arm, g)]


def _links(arm: ParallelArm, g: ArmGeometry) -> list[CutPart]:
    """The five bars; a length that is the performer's own says so."""
    own = {"driver": arm.driver.length, "carrier": arm.relay_at, FOREARM_LINK: arm.performer_forearm.length}
    return [
        replace(bar, notes=(*bar.notes, OWN_LENGTH)) if own.get(bar.name) == "performer" else bar
        for bar in _bars(arm, g)
    ]


def _bars(arm: ParallelArm, g: ArmGeometry) -> list[CutPart]:
    s: End = ("S", "shoulder")
    s2: End = ("S'", "character_shoulder")
    e: End = ("E", "elbow")
    e2: End = ("E'", "character_elbow")
    relay = Hole(g.relay_at, 0.0, _pin(arm, "relay"), "E1")
    own, other = arm.performer_forearm, arm.character_forearm
    return [
        _bar(arm, g, "mast", arm.mast, g.mast, s, s2),
        _bar(arm, g, "driver", arm.driver, g.drive, s, e, _fixings(arm, "S")),
        _bar(arm, g, FOREARM_LINK, own, g.performer_forearm, e, ("W", None), _fixings(arm, "E")),
        _bar(arm, g, "carrier", arm.carrier, g.carrier, s2, e2, (*_fixings(arm, "S'"), relay)),
        _bar(arm, g, "character forearm", other, g.character_forearm, e2, ("W'", None), _fixings(arm, "E'")),
    ]


def _cranks(arm: ParallelArm, g: ArmGeometry) -> list[CutPart]:
    own, other = arm.performer_forearm, arm.character_forearm
    rows: tuple[tuple[str, StageName, float, tuple[str, str], PinName, Link], ...] = (
        ("driver", "shoulder", g.crank_driver, ("S", "A"), "shoulder_rod_lower", arm.driver),
        ("carrier", "shoulder", g.crank_carrier, ("S'", "A'"), "shoulder_rod_upper", arm.carrier),
        ("performer forearm", "forearm", g.crank_forearm, ("E", "B"), "forearm_rod_lower", own),
        ("character forearm", "relay", g.crank_character, ("E'", "C'"), "relay_rod_outer", other),
    )
    return [
        _crank(arm, g, f"{name} crank", stage, length, ends, pin, host)
        for name, stage, length, ends, pin, host in rows
    ]


def _rods(arm: ParallelArm, g: ArmGeometry) -> list[CutPart]:
    rows: tuple[tuple[StageName, float, tuple[str, PinName], tuple[str, PinName]], ...] = (
        ("shoulder", g.rod_shoulder, ("A", "shoulder_rod_lower"), ("A'", "shoulder_rod_upper")),
        ("forearm", g.rod_forearm, ("B", "forearm_rod_lower"), ("B'", "forearm_rod_upper")),
        ("relay", g.rod_relay, ("C", "relay_rod_inner"), ("C'", "relay_rod_outer")),
    )
    parts: list[CutPart] = []
    for stage, length, start, end in rows:
        rod = getattr(arm.rods, stage)
        parts.append(_bar(arm, g, f"{stage} rod", rod, length, start, end, trim=rod.trim))
    return parts


def _bar(
    arm: ParallelArm,
    g: ArmGeometry,
    name: str,
    link: Link,
    length: float,
    start: End,
    end: End,
    more: tuple[Hole, ...] = (),
    trim: float | None = None,
) -> CutPart:
    """A straight link: a hole at each end, as wide as its stock, with a rim past each hole."""
    width = link.section.width if link.section else 2.5 * arm.pins.diameter
    # a rod's eyes are wider than its tube; the outline shows the room they need
    half = max(0.5 * width, EYE * arm.pins.diameter if trim is not None else 0.0)
    holes = (
        Hole(0.0, 0.0, _pin(arm, start[1]), start[0]),
        Hole(length, 0.0, _pin(arm, end[1]), end[0]),
        *more,
    )
    notes = () if trim is None else (ROD_NOTE, f"trim {1e3 * trim:g} mm each way on its threads")
    return CutPart(
        name=name,
        limb=g.limb,
        side=_side(arm, g),
        circles=((0.0, 0.0, half), (length, 0.0, half)),
        holes=holes,
        datum=start[0],
        material=link.material or NO_STOCK,
        section=link.section.text if link.section else NO_STOCK,
        layer=link.layer,
        notes=notes,
    )


def _crank(
    arm: ParallelArm,
    g: ArmGeometry,
    name: str,
    stage: StageName,
    length: float,
    ends: tuple[str, str],
    pin_name: PinName,
    host: Link,
) -> CutPart:
    """A plate bolted to its link at the pivot and at two fixings along the link."""
    pivot, pin = ends
    angle = {"shoulder": g.angle_shoulder, "forearm": g.angle_forearm, "relay": g.angle_relay}[stage]
    x, y = length * math.cos(angle), length * math.sin(angle)
    rim = arm.relay.rim
    fixings = _fixings(arm, pivot)
    circles = [(0.0, 0.0, rim), (x, y, rim), *((f.x, f.y, rim) for f in fixings)]
    pivots: dict[str, PinName] = {
        "S": "shoulder",
        "S'": "character_shoulder",
        "E": "elbow",
        "E'": "character_elbow",
    }
    return CutPart(
        name=name,
        limb=g.limb,
        side=_side(arm, g),
        circles=tuple(circles),
        holes=(
            Hole(0.0, 0.0, _pin(arm, pivots[pivot]), pivot),
            Hole(x, y, _pin(arm, pin_name), pin),
            *fixings,
        ),
        datum=pivot,
        material=arm.relay.material or NO_STOCK,
        section=f"plate {1e3 * arm.relay.plate:g} mm",
        layer=host.layer,
        notes=("+x lies along its link", "bolt to the link at the pivot and both fixings"),
    )


def _relay(arm: ParallelArm, g: ArmGeometry) -> CutPart:
    """The three-pin plate: +x along the character's forearm when the stages are exact."""
    b = (g.crank_relay_lower * math.cos(g.angle_forearm), g.crank_relay_lower * math.sin(g.angle_forearm))
    c = (g.crank_relay_outer * math.cos(g.angle_relay), g.crank_relay_outer * math.sin(g.angle_relay))
    rim = arm.relay.rim
    return CutPart(
        name="relay",
        limb=g.limb,
        side=_side(arm, g),
        circles=((0.0, 0.0, rim), (*b, rim), (*c, rim)),
        holes=(
            Hole(0.0, 0.0, _pin(arm, "relay"), "E1"),
            Hole(*b, _pin(arm, "forearm_rod_upper"), "B'"),
            Hole(*c, _pin(arm, "relay_rod_inner"), "C"),
        ),
        datum="E1",
        material=arm.relay.material or NO_STOCK,
        section=f"plate {1e3 * arm.relay.plate:g} mm",
        layer=arm.relay.layer,
        notes=("+x lies along the forearms",),
    )


def _fixings(arm: ParallelArm, pivot: str) -> tuple[Hole, ...]:
    """Two holes along the link that keep a crank plate from turning on it."""
    d = arm.pins.diameter
    return tuple(Hole(FIXING * d * n, 0.0, 0.5 * d, f"{pivot} fix {n}") for n in (1, 2))


def _pin(arm: ParallelArm, name: PinName | None) -> float:
    pin = arm.pins.each.get(name) if name else None
    return pin.diameter if pin is not None and pin.diameter is not None else arm.pins.diameter


def _side(arm: ParallelArm, g: ArmGeometry) -> Side:
    return g.side if arm.mirrored else arm.side
