"""A picture of the suit in a pose: front and side by side on one floor, to scale, on an A3 sheet.

It says which pose, how near to a lock, and how high things are; the shop gets its sizes from the plots.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

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


class Spread(NamedTuple):
    """What one or several scenes take up: ends of the front and side views, and the top [m]."""

    front: tuple[float, float]
    side: tuple[float, float]
    top: float


def draw_pictures(scenes: Sequence[Scene]) -> tuple[Page, ...]:
    """One page for each scene, all at one scale and place, so that they can be laid over each other."""
    spreads = [spread_of(scene) for scene in scenes]
    if not spreads:
        return ()
    common = Spread(
        (min(s.front[0] for s in spreads), max(s.front[1] for s in spreads)),
        (min(s.side[0] for s in spreads), max(s.side[1] for s in spreads)),
        max(s.top for s in spreads),
    )
    return tuple(draw_picture(scene, common) for scene in scenes)


def spread_of(scene: Scene) -> Spread:
    """What a scene takes up."""
    (f0, f1, front_top), (s0, s1, side_top) = extent(scene, "front"), extent(scene, "side")
    return Spread((f0, f1), (s0, s1), max(front_top, side_top))


def fitting_reduction(spread: Spread) -> int:
    """The least reduction that fits the sheet."""
    for reduction in REDUCTIONS:
        scale = 1000.0 / reduction
        if _spare(spread, scale) >= 0.0 and scale * spread.top <= FLOOR - 2.2 * EDGE:
            return reduction
    return REDUCTIONS[-1]


def draw_picture(scene: Scene, spread: Spread) -> Page:
    """The page of one scene, at the least reduction that fits a spread."""
    reduction = fitting_reduction(spread)
    scale = 1000.0 / reduction
    left, right = EDGE + STAFF, WIDTH - EDGE - PANEL - 0.5 * _GAP
    spare = max(0.0, _spare(spread, scale)) / 3.0
    front = View("front", left + spare - scale * spread.front[0], FLOOR, scale)
    beside = left + 2.0 * spare + _GAP + scale * (spread.front[1] - spread.front[0])
    side = View("side", beside - scale * spread.side[0], FLOOR, scale)
    ink: list[Ink] = [
        *heights(scene, scale, spread.top, left, right),
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


def _spare(spread: Spread, scale: float) -> float:
    """Width of the sheet that both views leave over [mm]."""
    views = scale * (spread.front[1] - spread.front[0] + spread.side[1] - spread.side[0])
    return WIDTH - 2 * EDGE - PANEL - STAFF - 2 * _GAP - views
