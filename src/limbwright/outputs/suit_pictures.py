"""Pictures of an assessed suit in its worst and named poses, as files."""

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from limbwright.analyses.assess import Assessment
from limbwright.core.units import show
from limbwright.limbs.arm_points import BARS, arm_points
from limbwright.model.character import Silhouette
from limbwright.model.suit import Suit
from limbwright.outputs.performer_figure import Flat
from limbwright.outputs.picture import Member, PosedArm, Scene, draw_pictures
from limbwright.outputs.poses_shown import ArmShown, PoseShown, poses_to_show
from limbwright.outputs.sheets import file_stems
from limbwright.outputs.silhouette import read_silhouette

LIST = "pictures.txt"
MEMBERS = tuple(Member(bar.name, bar.kind, bar.start, bar.end) for bar in BARS)


class Outlines(NamedTuple):
    """The character's silhouettes as points [m]; empty where there are none."""

    front: tuple[tuple[Flat, ...], ...]
    side: tuple[tuple[Flat, ...], ...]


def read_outlines(suit: Suit) -> Outlines:
    """Both silhouettes of a suit.

    Raises:
        SilhouetteError: a file that cannot be read.
    """

    def runs(drawn: Silhouette | None) -> tuple[tuple[Flat, ...], ...]:
        return () if drawn is None else read_silhouette(drawn, suit.folder).runs

    return Outlines(runs(suit.character.silhouettes.front), runs(suit.character.silhouettes.side))


def write_pictures(found: Assessment, outlines: Outlines, folder: Path) -> list[Path]:
    """Draw every pose that can be drawn, each as SVG and PNG.

    Pictures of the run before that are not made again are removed, so that none shows a pose as if
    it could still be taken up; `pictures.txt` lists them, and nothing else in the folder is touched.

    Returns:
        The files in order, the list last.
    """
    poses = poses_to_show(found)
    pages = draw_pictures([suit_scene(found, pose, outlines) for pose in poses])
    stems = file_stems([f"{found.suit.name} {pose.title}" for pose in poses])
    files: list[Path] = []
    for page, stem in zip(pages, stems, strict=True):
        drawing, picture = folder / f"{stem}.svg", folder / f"{stem}.png"
        _put(drawing, page.svg().encode())
        _put(picture, page.png())
        files += [drawing, picture]
    names = [file.name for file in files]
    for stale in _listed(folder) - set(names):
        (folder / stale).unlink(missing_ok=True)
    _put(folder / LIST, "".join(f"{name}\n" for name in names).encode())
    return [*files, folder / LIST]


def _put(file: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    part = file.with_name(f".{file.name}.part")
    try:
        part.write_bytes(content)
        part.replace(file)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def _listed(folder: Path) -> set[str]:
    """Pictures of the run before: plain names only."""
    file = folder / LIST
    lines = file.read_text(encoding="utf-8", errors="replace").splitlines() if file.is_file() else []
    return {line for line in lines if re.fullmatch(r"[a-z0-9-]+\.(?:svg|png)", line)}


def suit_scene(found: Assessment, pose: PoseShown, outlines: Outlines) -> Scene:
    """One pose as plain data for the picture."""
    suit = found.suit
    box = suit.harness.shape
    says = [*pose.says, *_hand_heights(found, pose)]
    if suit.lean:
        says.append(("trunk drawn upright", f"it leans {math.degrees(suit.lean):.0f} deg in the reckoning"))
    return Scene(
        suit=suit.name,
        revision=suit.revision,
        pose=pose.title,
        says=tuple(says),
        units=suit.show,
        body=found.body,
        members=MEMBERS,
        arms=tuple(_posed(arm) for arm in pose.arms),
        height=suit.character.height,
        lift=suit.stilts.height if suit.stilts else 0.0,
        stilt_foot=suit.stilts.foot if suit.stilts else None,
        harness=(suit.harness.centre, (box.size[0], box.size[1], box.size[2]))
        if box is not None and box.kind == "box"
        else None,
        front=outlines.front,
        side=outlines.side,
    )


def _posed(arm: ArmShown) -> PosedArm:
    worn = arm.result.arm
    points = {
        name: (float(at[0]), float(at[1]), float(at[2]))
        for name, at in arm_points(worn.mechanism, worn.geometry, arm.q).items()
    }
    return PosedArm(worn.side, points, (arm.stage, f"{math.degrees(arm.margin):.1f} deg"))


def _hand_heights(found: Assessment, pose: PoseShown) -> Iterator[tuple[str, str]]:
    """How high each hand tip is; both sides in one line where they agree."""
    up, units = found.body.shoulder_up, found.suit.show
    band = "no estimate" if up.sd is None else f"+/- {show(2.0 * up.sd, 'length', units)}"
    told: dict[str, list[str]] = {}
    for arm in pose.arms:
        height = show(round(_posed(arm).points["T'"][2], 3), "length", units)
        told.setdefault(height, []).append(arm.result.arm.side)
    for height, sides in told.items():
        which = "hand tips" if len(sides) > 1 else f"{sides[0]} hand tip"
        yield f"{which} above the floor", f"{height}, {band} for the shoulder's height; {up.basis}"
