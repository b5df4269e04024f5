"""What single fields cannot show: references, geometry that cannot be put together, files beside the suit."""

import difflib
import math
from collections.abc import Collection, Iterator
from pathlib import Path
from typing import NamedTuple

from limbwright.core.units import show
from limbwright.model.arm_checks import check_arm
from limbwright.model.character import Silhouette
from limbwright.model.limb import MEMBERS
from limbwright.model.part import Part
from limbwright.model.suit import HARNESS, Suit, host_of
from limbwright.model.yaml_text import Path_


class Problem(NamedTuple):
    """Something wrong, at a field's path."""

    path: Path_
    problem: str
    remedy: str


def check_suit(suit: Suit, folder: Path) -> Iterator[Problem]:
    """Everything that is wrong with a suit whose fields are each well formed.

    Args:
        suit: as read.
        folder: where its silhouettes lie.
    """
    casting = suit.performer
    if casting.active not in casting.cast:
        yield _unknown(("performer", "active"), "performer", casting.active, casting.cast)
    yield from _check_character(suit, folder)
    for name, arm in suit.limbs.items():
        for problem in check_arm(name, arm, suit):
            yield Problem(("limbs", name, *problem.path), problem.problem, problem.remedy)
    yield from _check_parts(suit)
    yield from _check_poses(suit)


def _unknown(path: Path_, what: str, name: str, known: Collection[str]) -> Problem:
    near = difflib.get_close_matches(name, known, n=1)
    remedy = f"did you mean '{near[0]}'?" if near else f"use one of {', '.join(known)}"
    return Problem(path, f"no {what} '{name}'", remedy)


def _check_character(suit: Suit, folder: Path) -> Iterator[Problem]:
    character = suit.character
    for view in ("front", "side"):
        drawing: Silhouette | None = getattr(character.silhouettes, view)
        if drawing is not None:
            yield from _check_silhouette(("character", "silhouettes", view), drawing, folder)
    if character.marks is None:
        return
    for joint in ("shoulder", "elbow", "wrist", "hand_tip"):
        out, _, up = getattr(character.marks, joint)
        at = ("character", "marks", joint)
        if not 0.0 <= up <= character.height:
            height = show(character.height, "length", suit.show)
            yield Problem(at, f"lies {show(up, 'length', suit.show)} up", f"write 0 to {height}, the height")
        if out < 0.0:
            yield Problem(at, "has a negative 'out'", "write it for one arm, outward positive")


def _check_silhouette(at: Path_, drawing: Silhouette, folder: Path) -> Iterator[Problem]:
    if math.dist(drawing.start, drawing.end) == 0.0:
        yield Problem((*at, "to"), "is the same point as 'from'", "give the two ends of the known length")
    written = Path(drawing.file)
    if written.is_absolute() or "\\" in drawing.file or ".." in written.parts:
        yield Problem(
            (*at, "file"), f"'{drawing.file}' leaves the project folder", "put the SVG beside the suit"
        )
        return
    if written.suffix.lower() != ".svg":
        yield Problem((*at, "file"), f"'{drawing.file}' is not an SVG", "export the outline as .svg")
        return
    try:
        with (folder / written).open("rb") as stream:
            head = stream.read(65_536)
    except OSError:
        there = sorted(p.name for p in folder.glob("*.svg"))[:6]
        hint = f"there is {', '.join(there)}" if there else "put the SVG beside the suit"
        yield Problem((*at, "file"), f"no file '{drawing.file}'", hint)
        return
    if b"<svg" not in head:
        yield Problem((*at, "file"), f"'{drawing.file}' is not an SVG", "export the outline as .svg")


def _check_parts(suit: Suit) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for index, part in enumerate(suit.parts):
        if part.name == HARNESS or part.name in suit.limbs:
            yield Problem(("parts", index, "name"), f"'{part.name}' is already taken", "choose another name")
        elif part.name in first:
            yield Problem(
                ("parts", index, "name"),
                f"two parts are called '{part.name}'",
                f"rename one; the other is parts[{first[part.name]}]",
            )
        first.setdefault(part.name, index)
    by_name = {part.name: part for part in suit.parts}
    for index, part in enumerate(suit.parts):
        yield from _check_host(("parts", index, "on"), part, by_name, suit)


def _check_host(at: Path_, part: Part, by_name: dict[str, Part], suit: Suit) -> Iterator[Problem]:
    if part.on in by_name:
        yield from _check_carrier(at, part, by_name, suit)
        return
    host = part.on
    if host == HARNESS:
        yield from _check_side(at, part, host, suit)
        return
    limb, slash, member = host.partition("/")
    if limb not in suit.limbs:
        known = (HARNESS, *(f"{name}/<link>" for name in suit.limbs), *by_name)
        yield _unknown(at, "host", host, known)
    elif not slash:
        yield Problem(at, f"'{limb}' is a whole limb", f"name a link of it, such as {limb}/carrier")
    elif member not in MEMBERS:
        remedy = _unknown(at, "link", member, MEMBERS).remedy
        yield Problem(at, f"'{limb}' has no link '{member}'", remedy)
    else:
        yield from _check_side(at, part, host, suit)


def _check_carrier(at: Path_, part: Part, by_name: dict[str, Part], suit: Suit) -> Iterator[Problem]:
    """A part fastened to another part."""
    carrier, chain = by_name[part.on], _chain(part, by_name)
    if chain is not None:
        yield Problem(at, f"hangs on itself: {chain}", "fasten one of them to a link or the harness")
    elif carrier.side not in ("both", part.side):
        yield Problem(
            (*at[:-1], "side"),
            f"'{part.side}', while '{carrier.name}' is only on the {carrier.side}",
            f"write side: {carrier.side}",
        )
    else:
        yield from _check_side(at, part, host_of(suit, part), suit)


def _check_side(at: Path_, part: Part, host: str, suit: Suit) -> Iterator[Problem]:
    limb = host.partition("/")[0]
    arm = suit.limbs.get(limb)
    if arm is not None and part.side != "both" and part.side not in arm.sides:
        yield Problem((*at[:-1], "side"), f"'{limb}' has no {part.side} side", f"write {arm.side} or both")
    elif host == HARNESS and part.side != "both":
        yield Problem((*at[:-1], "side"), f"'{part.side}' has no meaning on the harness", "leave side out")


def _chain(part: Part, by_name: dict[str, Part]) -> str | None:
    """The ring of parts that a part hangs in or leads into, in words; None where there is none."""
    seen = [part.name]
    while (host := by_name[seen[-1]].on) in by_name:
        if host in seen:
            return " on ".join([*seen, host])
        seen.append(host)
    return None


def _check_poses(suit: Suit) -> Iterator[Problem]:
    if suit.assembled not in suit.poses:
        yield _unknown(("assembled",), "pose", suit.assembled, suit.poses)
    for name, pose in suit.poses.items():
        for limb, arm in suit.limbs.items():
            low, high = arm.swivel.range
            if not low - 1e-12 <= pose.swing <= high + 1e-12:
                reach = f"{show(low, 'angle')} to {show(high, 'angle')}"
                yield Problem(
                    ("poses", name, "swing"),
                    f"{show(pose.swing, 'angle')} is outside the swivel's range of '{limb}'",
                    f"write {reach}, or widen limbs.{limb}.swivel.range",
                )
