"""Whether a parallel arm, as written, can be put together at all."""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from limbwright.core.units import show
from limbwright.model.limb import LINKS, PIN_MEMBERS, STAGES, Link, ParallelArm, PinName, StageName
from limbwright.model.quantity import Toleranced
from limbwright.model.suit import Pose, Suit
from limbwright.model.yaml_text import Path_

LEAST_ASSEMBLED = math.radians(1.0)  # nearer to a change point, the way a stage folds is a guess


class ArmProblem(NamedTuple):
    """Something wrong, at a path under the limb."""

    path: Path_
    problem: str
    remedy: str


def check_arm(name: str, arm: ParallelArm, suit: Suit) -> Iterator[ArmProblem]:
    """What is wrong with an arm whose fields are each well formed; `fit` fields are passed over."""
    yield from _check_place(name, arm)
    yield from _check_stock(arm)
    yield from _check_reach(arm, suit)
    yield from _check_pins(arm, suit)
    pose = suit.poses.get(suit.assembled)
    if pose is not None:
        yield from _check_assembled(arm, suit.assembled, pose)


def _check_place(name: str, arm: ParallelArm) -> Iterator[ArmProblem]:
    if arm.on.partition("/")[0] == name:
        yield ArmProblem(("on",), f"'{name}' hangs on itself", "write on: harness")
    elif arm.on != "harness":
        yield ArmProblem(("on",), f"a parallel arm cannot hang on '{arm.on}'", "write on: harness")
    low, high = arm.swivel.range
    if not low < high:
        yield ArmProblem(("swivel", "range"), "does not rise", "write [least, greatest]")


def _stock(arm: ParallelArm) -> Iterator[tuple[Path_, Link]]:
    for link in LINKS:
        yield (link,), getattr(arm, link)
    for stage in STAGES:
        yield ("rods", stage), getattr(arm.rods, stage)


def _check_stock(arm: ParallelArm) -> Iterator[ArmProblem]:
    for path, link in _stock(arm):
        if link.mass is None and (link.section is None or link.material is None):
            lacking = "section" if link.section is None else "material"
            yield ArmProblem(
                path,
                f"has neither a mass nor a {lacking} to compute it from",
                "add mass, or section and material",
            )
    if arm.relay.mass is None and arm.relay.material is None:
        yield ArmProblem(
            ("relay",), "has neither a mass nor a material to compute it from", "add mass or material"
        )
    plate_pins: list[PinName] = [name for name, members in PIN_MEMBERS.items() if "relay" in members]
    if arm.relay.rim <= 0.5 * max(_diameter(arm, name) for name in plate_pins):
        yield ArmProblem(
            ("relay", "rim"), "leaves no metal around a pin's hole", "write more than half the diameter"
        )


def _check_reach(arm: ParallelArm, suit: Suit) -> Iterator[ArmProblem]:
    mast, carrier, relay_at = (_typed(v) for v in (arm.mast.length, arm.carrier.length, arm.relay_at))
    if relay_at is None and arm.relay_at == "performer":
        relay_at = _typed(arm.driver.length)
    outer = None if carrier is None or relay_at is None else carrier - relay_at
    if outer is not None and carrier is not None and relay_at is not None and outer <= 0.0:
        long, at = show(carrier, "length", suit.show), show(relay_at, "length", suit.show)
        yield ArmProblem(("relay_at",), f"the relay at {at} is outside the carrier", f"place it under {long}")
        return
    sides: dict[StageName, float | None] = {"shoulder": mast, "forearm": mast, "relay": outer}
    for stage in STAGES:
        side, rod = sides[stage], _typed(getattr(arm.rods, stage).length)
        crank = _typed(getattr(arm.cranks, stage).length)
        if side is None or crank is None:
            continue
        if rod is not None and not side - 2.0 * crank < rod < side + 2.0 * crank:
            yield _unreachable(stage, side, rod, crank, suit)
        trim = getattr(arm.rods, stage).trim
        if trim >= (rod or side):
            yield ArmProblem(("rods", stage, "trim"), "is as long as the rod", "write the thread's travel")


def _unreachable(stage: str, side: float, rod: float, crank: float, suit: Suit) -> ArmProblem:
    length, least, most = (
        show(v, "length", suit.show) for v in (rod, max(side - 2.0 * crank, 0.0), side + 2.0 * crank)
    )
    wrong = "short" if rod < side else "long"
    return ArmProblem(
        ("rods", stage, "length"),
        f"{length} is too {wrong} to assemble",
        f"its cranks reach {least} to {most}; match copies its side",
    )


def _check_pins(arm: ParallelArm, suit: Suit) -> Iterator[ArmProblem]:
    spans = _spans(arm)
    for name, pin in arm.pins.each.items():
        at: Path_ = ("pins", "each", name)
        members = PIN_MEMBERS[name]
        if sorted(pin.stack) != sorted(members):
            wanted = ", ".join(sorted(members, key=lambda m: spans[m][0]))
            yield ArmProblem((*at, "stack"), f"this pin joins {wanted}", f"write stack: [{wanted}]")
            continue
        faces = [spans[member] for member in pin.stack]
        if any(a[0] + a[1] > b[0] + b[1] for a, b in pairwise(faces)):
            order = ", ".join(sorted(pin.stack, key=lambda m: sum(spans[m])))
            yield ArmProblem(
                (*at, "stack"), "is not in the order of the layers", f"write [{order}], or change layers"
            )
            continue
        (low, top), (foot, high) = faces[0], faces[-1]
        if top > foot + 1e-9:
            overlap = show(top - foot, "length", suit.show)
            yield ArmProblem(
                (*at, "stack"), f"its members overlap by {overlap}", "move their layers further apart"
            )
        elif high - low > pin.length + 1e-9:
            least = show(high - low, "length", suit.show)
            yield ArmProblem((*at, "length"), "is shorter than its stack", f"write at least {least}")


def _spans(arm: ParallelArm) -> dict[str, tuple[float, float]]:
    """Lower and upper face of every member, sideways [m]."""
    layers: dict[str, tuple[float, float]] = {"relay": (arm.relay.layer, arm.relay.plate)}
    for path, link in _stock(arm):
        member = path[0] if path[0] != "rods" else f"{path[1]}_rod"
        layers[str(member)] = (link.layer, link.section.depth if link.section else 0.0)
    return {m: (layer - 0.5 * depth, layer + 0.5 * depth) for m, (layer, depth) in layers.items()}


def _check_assembled(arm: ParallelArm, name: str, pose: Pose) -> Iterator[ArmProblem]:
    """A stage at a change point may fold either way: the assembled pose must not be there."""
    lean, angles = arm.mast.lean, {stage: getattr(arm.cranks, stage).angle for stage in STAGES}
    for stage in STAGES:
        if angles[stage] == "fit" or (lean == "fit" and stage != "relay"):
            continue
        mast = math.pi - (lean if isinstance(lean, float) else 0.0)
        angle = {
            "shoulder": pose.elevation - mast,
            "forearm": pose.elevation + pose.elbow - mast,
            "relay": pose.elbow,
        }[stage] + angles[stage]
        if abs(math.sin(angle)) < math.sin(LEAST_ASSEMBLED):
            yield ArmProblem(
                ("cranks", stage, "angle"),
                f"puts the {stage} rod in line with its cranks in the assembled pose '{name}'",
                "change it, or assemble in another pose",
            )


def _typed(written: Toleranced | str) -> float | None:
    return written.value if isinstance(written, Toleranced) else None


def _diameter(arm: ParallelArm, pin: PinName) -> float:
    own = arm.pins.each[pin].diameter if pin in arm.pins.each else None
    return arm.pins.diameter if own is None else own
