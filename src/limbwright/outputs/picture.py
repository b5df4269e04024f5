"""A picture of the suit in a pose: front and side by side on one floor, to scale, on an A3 sheet.

It says which pose, how near to a lock, and how high things are; the shop gets its sizes from the plots.
"""

from collections.abc import Sequence
from typing import Final

from limbwright.outputs.ink import Ink, Page
from limbwright.outputs.picture_frame import (
    EDGE,
    FLOOR,
    HEIGHT,
    PANEL,
    STAFF,
    WIDTH,
    character_height,
    floor,
    heights,
    panel,
    scale_bar,
    view_title,
)
from limbwright.outputs.picture_scene import Scene as Scene
from limbwright.outputs.picture_scene import draw_view, extent
from limbwright.outputs.picture_view import Member as Member
from limbwright.outputs.picture_view import PosedArm as PosedArm
from limbwright.outputs.picture_view import View

# Reductions of ISO 5455 and 1:25, which the stage uses; from memory.
REDUCTIONS: Final = (10, 20, 25, 50, 100)
_GAP: Final = 14.0


def draw_pictures(scenes: Sequence[Scene]) -> tuple[Page, ...]:
    """One page for each scene, all at the same scale, so that they can be laid over each other."""
    reduction = max((fitting_reduction(scene) for scene in scenes), default=REDUCTIONS[0])
    return tuple(draw_picture(scene, reduction) for scene in scenes)


def fitting_reduction(scene: Scene) -> int:
    """The least reduction that fits a scene on the sheet."""
    (f0, f1, top), (s0, s1, side_top) = extent(scene, "front"), extent(scene, "side")
    width = WIDTH - 2 * EDGE - PANEL - STAFF - 2 * _GAP
    for reduction in REDUCTIONS:
        scale = 1000.0 / reduction
        if scale * (f1 - f0 + s1 - s0) <= width and scale * max(top, side_top) <= FLOOR - 2.2 * EDGE:
            return reduction
    return REDUCTIONS[-1]


def draw_picture(scene: Scene, reduction: int) -> Page:
    """The page of one scene at 1:`reduction`."""
    scale = 1000.0 / reduction
    (f0, f1, top), (s0, s1, side_top) = extent(scene, "front"), extent(scene, "side")
    left = EDGE + STAFF
    spare = max(0.0, WIDTH - 2 * EDGE - PANEL - STAFF - 2 * _GAP - scale * (f1 - f0 + s1 - s0)) / 3.0
    front = View("front", left + spare - scale * f0, FLOOR, scale)
    side = View("side", left + 2.0 * spare + _GAP + scale * (f1 - f0 - s0), FLOOR, scale)
    right = WIDTH - EDGE - PANEL - 0.5 * _GAP
    ink: list[Ink] = [
        *heights(scene, scale, max(top, side_top), left, right),
        *character_height(scene, (front, side), left, right),
        *draw_view(scene, front),
        *draw_view(scene, side),
        *floor(left, right),
        *view_title("FRONT", "performer's right arm on the left", front),
        *view_title("SIDE", "from the performer's right", side),
        *scale_bar(scene, scale, reduction, right),
        *panel(scene),
    ]
    title = f"{scene.suit}, revision {scene.revision}: {scene.pose}"
    return Page(WIDTH, HEIGHT, title, tuple(ink))
