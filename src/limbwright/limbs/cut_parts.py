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
EYE = 1.25  # half width of a rod end's eye, in pin diameters; common practice, no source
ROD_NOTE = "eye to eye; the tube is shorter by both rod ends: take them from their maker's drawing"
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
    rods = arm.rods
    return [
        _bar(arm, g, "mast", arm.mast, g.mast, ("S", "shoulder"), ("S'", "character_shoulder")),
        _bar(arm, g, "driver", arm.driver, g.drive, ("S", "shoulder"), ("E", "elbow"), _fixings(arm, "S")),
        _bar(
            arm,
            g,
            "performer forearm link",
            arm.performer_forearm,
            g.performer_forearm,
            ("E", "elbow"),
            ("W", None),
            _fixings(arm, "E"),
        ),
        _bar(
            arm,
            g,
            "carrier",
            arm.carrier,
            g.carrier,
            ("S'", "character_shoulder"),
            ("E'", "character_elbow"),
            (*_fixings(arm, "S'"), Hole(g.relay_at, 0.0, _pin(arm, "relay"), "E1")),
        ),
        _bar(
            arm,
            g,
            "character forearm",
            arm.character_forearm,
            g.character_forearm,
            ("E'", "character_elbow"),
            ("W'", None),
            _fixings(arm, "E'"),
        ),
        _crank(
            arm, g, "driver crank", "shoulder", g.crank_driver, "S", "A", "shoulder_rod_lower", arm.driver
        ),
        _crank(
            arm,
            g,
            "carrier crank",
            "shoulder",
            g.crank_carrier,
            "S'",
            "A'",
            "shoulder_rod_upper",
            arm.carrier,
        ),
        _crank(
            arm,
            g,
            "performer forearm crank",
            "forearm",
            g.crank_forearm,
            "E",
            "B",
            "forearm_rod_lower",
            arm.performer_forearm,
        ),
        _crank(
            arm,
            g,
            "character forearm crank",
            "relay",
            g.crank_character,
            "E'",
            "C'",
            "relay_rod_outer",
            arm.character_forearm,
        ),
        _relay(arm, g),
        _bar(
            arm,
            g,
            "shoulder rod",
            rods.shoulder,
            g.rod_shoulder,
            ("A", "shoulder_rod_lower"),
            ("A'", "shoulder_rod_upper"),
            trim=rods.shoulder.trim,
        ),
        _bar(
            arm,
            g,
            "forearm rod",
            rods.forearm,
            g.rod_forearm,
            ("B", "forearm_rod_lower"),
            ("B'", "forearm_rod_upper"),
            trim=rods.forearm.trim,
        ),
        _bar(
            arm,
            g,
            "relay rod",
            rods.relay,
            g.rod_relay,
            ("C", "relay_rod_inner"),
            ("C'", "relay_rod_outer"),
            trim=rods.relay.trim,
        ),
    ]


def _bar(
    arm: ParallelArm,
    g: ArmGeometry,
    name: str,
    link: Link,
    length: float,
    start: tuple[str, PinName | None],
    end: tuple[str, PinName | None],
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
    pivot: str,
    pin: str,
    pin_name: PinName,
    host: Link,
) -> CutPart:
    """A plate bolted to its link at the pivot and at two fixings along the link."""
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
