"""The suit in one pose as plain data, and everything that one view of it shows."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from limbwright.core.units import System
from limbwright.model.body import Body
from limbwright.outputs.ink import Area, Ink, Stroke
from limbwright.outputs.performer_figure import Flat, front_figure, limb_outline, side_figure
from limbwright.outputs.picture_view import (
    BODY,
    BODY_EDGE,
    BOX_DASH,
    HARNESS,
    INK,
    QUIET,
    SHADOW,
    SHADOW_EDGE,
    Member,
    PosedArm,
    View,
    ViewName,
    draw_arm,
    draw_flesh,
    draw_letters,
    draw_outlines,
    frame,
    paler,
)
from limbwright.outputs.placement import Room, strip


@dataclass(frozen=True)
class Scene:
    """The suit in one pose, as plain data; lengths in metres.

    Args:
        suit: its name.
        revision: of the suit file.
        pose: what the picture shows, such as `greet`.
        says: the caption: what is said, and the line below it (may be empty).
        units: how lengths are shown.
        body: the performer.
        members: of every arm.
        arms: right, left or both.
        height: of the character.
        lift: height of the stilts; 0 without any.
        stilt_foot: length and width; None without stilts.
        harness: centre [forward, left, up] and box [forward, left, up]; None where not stated.
        front: the silhouette's outlines, right and up.
        side: the same, seen from the performer's right.
    """

    suit: str
    revision: str
    pose: str
    says: tuple[tuple[str, str], ...]
    units: System
    body: Body
    members: tuple[Member, ...]
    arms: tuple[PosedArm, ...]
    height: float
    lift: float = 0.0
    stilt_foot: tuple[float, float] | None = None
    harness: tuple[tuple[float, float, float], tuple[float, float, float]] | None = None
    front: tuple[tuple[Flat, ...], ...] = ()
    side: tuple[tuple[Flat, ...], ...] = ()


def extent(scene: Scene, name: ViewName) -> tuple[float, float, float]:
    """Least and greatest right, greatest up of everything in a view [m]."""
    view = View(name, 0.0, 0.0, 1.0)
    flats = [view.flat(place) for arm in scene.arms for place in arm.points.values()]
    flats += [flat for run in (scene.front if name == "front" else scene.side) for flat in run]
    half = 0.5 * scene.body.dimensions["bideltoid_breadth"].value
    flats += [(-half, 0.0), (half, scene.height), (0.0, scene.lift + scene.body.stature.value)]
    return min(u for u, _ in flats), max(u for u, _ in flats), max(v for _, v in flats)


def draw_view(scene: Scene, view: View) -> Iterator[Ink]:
    """Everything in one view, from the back to the front."""
    front = view.name == "front"
    yield from draw_outlines(view, scene.front if front else scene.side, SHADOW, SHADOW_EDGE)
    near, far = _near_and_far(scene, view)
    for arm in far:
        yield from draw_arm(view, arm, scene.members, pale=0.6)
    yield from _harness(scene, view)
    yield from _stilts(scene, view)
    figure = (front_figure if front else side_figure)(scene.body, scene.lift)
    yield from draw_outlines(view, figure.outlines, BODY, BODY_EDGE)
    yield from _idle_arms(scene, view)
    for arm in near:
        yield from draw_flesh(view, arm, scene.body.stature.value)
    for arm in near:
        yield from draw_arm(view, arm, scene.members)
    if near:
        yield from draw_letters(view, near[0], scene.members, members_room(scene, view, near[1:]))


def members_room(scene: Scene, view: View, arms: Sequence[PosedArm]) -> Room:
    """Where the members of some arms lie on the page."""
    room = Room()
    for arm in arms:
        spots = {name: view.at(place) for name, place in arm.points.items()}
        room.take(*(strip(spots[m.start], spots[m.end], 3.0) for m in scene.members))
    return room


def _near_and_far(scene: Scene, view: View) -> tuple[list[PosedArm], list[PosedArm]]:
    """In the side view the left arm lies behind the performer."""
    ordered = sorted(scene.arms, key=lambda arm: arm.side != "right")
    if view.name == "front":
        return ordered, []
    near = [arm for arm in ordered if arm.side == "right"] or ordered
    return near, [arm for arm in ordered if arm not in near]


def _idle_arms(scene: Scene, view: View) -> Iterator[Ink]:
    """An arm of the performer that drives nothing hangs down."""
    body, tall = scene.body, scene.body.stature.value
    for side, sign in (("right", -1.0), ("left", 1.0)):
        if any(arm.side == side for arm in scene.arms) or (view.name == "side" and side == "left"):
            continue
        x, y = body.shoulder_forward.value, sign * body.shoulder_out.value
        z = scene.lift + body.shoulder_up.value
        drops = (0.0, body.upper_arm.value, body.upper_arm.value + body.forearm.value)
        flats = [view.flat((x, y + sign * 0.02 * k, z - drop)) for k, drop in enumerate(drops)]
        pieces = limb_outline(flats, [r * tall for r in (0.030, 0.023, 0.017)])
        yield from draw_outlines(view, pieces, BODY, BODY_EDGE)


def _harness(scene: Scene, view: View) -> Iterator[Ink]:
    """The harness's box: it is a place and a size, not a design."""
    if scene.harness is None:
        return
    (x, y, z), (deep, wide, tall) = scene.harness
    middle, half = (y, 0.5 * wide) if view.name == "front" else (x, 0.5 * deep)
    box = frame(middle - half, z - 0.5 * tall, middle + half, z + 0.5 * tall)
    yield Area(view.spots(box), HARNESS)
    yield Stroke(view.spots((*box, box[0])), QUIET, 0.35, BOX_DASH)


def _stilts(scene: Scene, view: View) -> Iterator[Ink]:
    """Posts, platforms and feet; posts run up the shin, where stilts are strapped."""
    if scene.stilt_foot is None or scene.lift <= 0.0:
        return
    d = {name: estimate.value for name, estimate in scene.body.dimensions.items()}
    if view.name == "front":
        stands = [-0.25 * d["hip_breadth"], 0.25 * d["hip_breadth"]]
        foot, platform, shift = 0.5 * scene.stilt_foot[1], 0.055, 0.0
    else:
        stands, shift = [0.0], 0.24 * d["foot_length"]
        foot, platform = 0.5 * scene.stilt_foot[0], 0.5 * d["foot_length"]
    colour, shin = paler(INK, 0.35), scene.lift + 0.8 * d["knee_height_midpatella"]
    under = scene.lift - 0.008
    for u in stands:
        yield Stroke(view.spots(((u, 0.012), (u, shin))), colour, 1.1)
        yield Stroke(view.spots(((u + shift - platform, under), (u + shift + platform, under))), colour, 0.9)
        yield Stroke(view.spots(((u - foot, 0.012), (u + foot, 0.012))), colour, 1.2)
