"""Everything a suit has to plot: its parts, and the skeleton over the silhouette from front and side."""

import difflib
from collections.abc import Iterator, Sequence
from typing import Final

from limbwright.core.errors import LimbwrightError
from limbwright.limbs.arm_points import BARS, arm_points
from limbwright.limbs.cut_parts import cut_parts
from limbwright.limbs.parallel_arm import Drive, pose_of
from limbwright.limbs.worn_arm import WornArm, wear_arms
from limbwright.model.body import complete_body
from limbwright.model.suit import Suit
from limbwright.outputs.drawing import Drawing
from limbwright.outputs.outline import Point
from limbwright.outputs.part_drawing import part_drawing
from limbwright.outputs.silhouette import read_silhouette
from limbwright.outputs.skeleton_drawing import SkeletonLine, SkeletonMark, skeleton_drawing
from limbwright.outputs.title_block import SheetInfo

VIEWS: Final = ("front", "side")
_MARKS: Final = {"shoulder": "shoulder", "elbow": "elbow", "wrist": "wrist", "hand_tip": "hand tip"}


class PartError(LimbwrightError):
    """A part or pose that the suit has not got."""


def suit_drawings(suit: Suit, info: SheetInfo, *, pose: str | None = None) -> tuple[Drawing, ...]:
    """Every drawing of a suit: parts in the order they are made, then the skeleton.

    Args:
        suit: the suit.
        info: what every sheet says.
        pose: named pose the skeleton is drawn in; None is the assembled one.

    Raises:
        LimbwrightError: the suit cannot be assembled, a silhouette cannot be read, or there is no
            such pose, or an arm cannot take it up.
    """
    body = complete_body(suit.active)
    parts = [part_drawing(part, info) for part in cut_parts(suit, body)]
    return (*parts, *_skeletons(suit, wear_arms(suit, body), info, pose or suit.assembled))


def pick_drawings(drawings: Sequence[Drawing], wanted: Sequence[str]) -> tuple[Drawing, ...]:
    """The drawings that are asked for by name; all of them when none is.

    `carrier` is the carrier of every side and limb, `right crank` whatever has both words in it.

    Raises:
        PartError: a name that fits nothing.
    """
    if not wanted:
        return tuple(drawings)
    picked: list[Drawing] = []
    for name in wanted:
        words = " ".join(name.lower().split())
        fits = [d for d in drawings if words and f" {d.name.lower()}".endswith(f" {words}")]
        fits = fits or [d for d in drawings if words and set(words.split()) <= set(d.name.lower().split())]
        if not fits:
            raise PartError(f"no part '{name}'; {_nearest(name, [d.name for d in drawings])}")
        picked += [d for d in fits if d not in picked]
    return tuple(picked)


def _nearest(name: str, known: Sequence[str]) -> str:
    near = difflib.get_close_matches(name.lower(), known, n=3, cutoff=0.4)
    return f"did you mean {' or '.join(repr(n) for n in near)}?" if near else f"use one of {', '.join(known)}"


def _skeletons(suit: Suit, arms: Sequence[WornArm], info: SheetInfo, pose: str) -> Iterator[Drawing]:
    if pose not in suit.poses:
        raise PartError(f"no pose '{pose}'; {_nearest(pose, list(suit.poses))}")
    at = suit.poses[pose]
    placed = [(arm, _places(arm, Drive(at.swing, at.elevation, at.elbow), pose)) for arm in arms]
    for view in VIEWS:
        column = 1 if view == "front" else 0
        lines = [line for arm, places in placed for line in _lines(arm, places, column)]
        drawn = getattr(suit.character.silhouettes, view)
        outlines = () if drawn is None else read_silhouette(drawn, suit.folder).runs
        seen = "front" if view == "front" else "the performer's right"
        yield skeleton_drawing(
            f"skeleton {view}",
            lines,
            outlines,
            list(_marks(suit, view)),
            info,
            notes=(f"Pose: {pose}, performer {suit.performer.active}. Seen from {seen}.",),
        )


def _places(arm: WornArm, drive: Drive, pose: str) -> dict[str, tuple[float, float, float]]:
    q = pose_of(arm.mechanism, drive)
    if q is None:
        raise PartError(f"the {arm.label} arm cannot take up '{pose}'; draw another pose (--pose)")
    points = arm_points(arm.mechanism, arm.geometry, q)
    return {name: (float(p[0]), float(p[1]), float(p[2])) for name, p in points.items()}


def _lines(
    arm: WornArm, places: dict[str, tuple[float, float, float]], column: int
) -> Iterator[SkeletonLine]:
    """The arm's members; only the right arm's, or a lone one's, are named."""
    named = arm.side == "right"
    for bar in BARS:
        ends = tuple(_flat(places[name], column) for name in (bar.start, bar.end))
        unnamed = bar.kind == "crank" or bar.name == "relay, outer arm" or not named
        label = "" if unnamed else bar.name.partition(",")[0]
        yield SkeletonLine(label, ends, "rod" if bar.kind == "rod" else "link")


def _flat(place: tuple[float, float, float], column: int) -> Point:
    return (place[column], place[2])


def _marks(suit: Suit, view: str) -> Iterator[SkeletonMark]:
    """The character's marks; the right side is drawn to the left in the front view."""
    if suit.character.marks is None:
        return
    for field, words in _MARKS.items():
        out, forward, up = getattr(suit.character.marks, field)
        yield SkeletonMark(words, (-out, up) if view == "front" else (forward, up))
