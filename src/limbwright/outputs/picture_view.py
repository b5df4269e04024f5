"""One view of the posed suit: silhouette, performer, stilts, linkage, letters."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from limbwright.outputs.ink import WHITE, Area, Disc, Ink, Spot, Stroke, Words
from limbwright.outputs.lettering import text_width
from limbwright.outputs.performer_figure import Flat, Outline, limb_outline
from limbwright.outputs.placement import Room, ring, strip

ViewName = Literal["front", "side"]
Place = tuple[float, float, float]  # forward, left, up [m]

INK: Final = "#1a1a1a"
QUIET: Final = "#8a8a8a"
FAINT: Final = "#e3e3e3"
SHADOW: Final = "#ededea"
SHADOW_EDGE: Final = "#b9b9b4"
BODY: Final = "#d3d8dc"
BODY_EDGE: Final = "#7c858c"
HARNESS: Final = "#f6f6f4"
BOX_DASH: Final = (1.6, 0.9)
PIN: Final = 0.62  # radius on paper [mm]
LETTER: Final = 2.3  # capitals [mm]


class Line(NamedTuple):
    """How a kind of member is drawn: colour and width, and what runs along its middle.

    The colours are Okabe and Ito's; the core tells the members apart without colour.
    """

    words: str
    colour: str
    width: float  # [mm]
    core: tuple[float, ...] | None  # dashes of a white core; () is a whole one, None is none
    dash: tuple[float, ...] = ()


LINES: Final[dict[str, Line]] = {
    "mast": Line("mast, on the swivel", "#4d4d4d", 2.0, ()),
    "driver": Line("driver, along the performer's upper arm", "#0072b2", 1.7, None),
    "performer": Line("performer's forearm link", "#56b4e9", 1.7, (0.35, 0.9)),
    "carrier": Line("carrier, the character's upper arm", "#d55e00", 2.0, (3.2, 1.8)),
    "character": Line("character's forearm and hand", "#e69f00", 2.0, (1.0, 1.2)),
    "relay": Line("relay, a three-pin plate", "#cc79a7", 0.9, None),
    "rod": Line("rods", "#000000", 0.5, None, (2.2, 1.1)),
}
_CRANK_OF: Final = {"driver crank": "driver", "carrier crank": "carrier", "forearm crank": "performer"}
_STAGE_ENDS: Final = {"shoulder": ("S'", "A'"), "forearm": ("E", "B"), "relay": ("E1", "C")}
_LETTERED: Final = ("S", "E", "W", "S'", "E1", "E'", "W'", "T'")


class Member(NamedTuple):
    """A straight member between two named points; kinds as in `LINES`, or `crank` or `hand`."""

    name: str
    kind: str
    start: str
    end: str


@dataclass(frozen=True)
class PosedArm:
    """Where one arm's named points are [m].

    `nearest` is the stage that comes to its lock first, and how far it is from it, such as
    ("forearm", "37.0 deg"); None where that is not known.
    """

    side: Literal["right", "left"]
    points: Mapping[str, Place]
    nearest: tuple[str, str] | None = None


@dataclass(frozen=True)
class View:
    """A window on the suit: where its middle plane and floor fall on the page, and its scale."""

    name: ViewName
    middle: float  # [mm]
    floor: float  # [mm]
    scale: float  # mm on the page for a metre

    def flat(self, place: Place) -> Flat:
        """A place in the view's own right and up [m]: from the front, or from the performer's right."""
        return (place[1], place[2]) if self.name == "front" else (place[0], place[2])

    def spot(self, flat: Flat) -> Spot:
        """On the page [mm]."""
        return (self.middle + self.scale * flat[0], self.floor - self.scale * flat[1])

    def spots(self, outline: Sequence[Flat]) -> tuple[Spot, ...]:
        """A run of points on the page [mm]."""
        return tuple(self.spot(flat) for flat in outline)

    def at(self, place: Place) -> Spot:
        """A place in the world on the page [mm]."""
        return self.spot(self.flat(place))


def paler(colour: str, share: float) -> str:
    """A colour moved towards white by a share."""
    parts = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
    return "#" + "".join(f"{round(p + (255 - p) * share):02x}" for p in parts)


def draw_outlines(view: View, outlines: Sequence[Outline], fill: str, edge: str) -> Iterator[Ink]:
    """Closed outlines as one shape with a thin edge: where they overlap no edge is seen."""
    for outline in outlines:
        yield Area(view.spots(outline), fill, edge, 0.5)
    for outline in outlines:
        yield Area(view.spots(outline), fill)


def draw_flesh(view: View, arm: PosedArm, tall: float) -> Iterator[Ink]:
    """The performer's own arm, from shoulder to grip, in the figure's quiet grey."""
    places = [arm.points[name] for name in ("S", "E", "W", "G")]
    flats = [view.flat(place) for place in places]
    pieces = limb_outline(flats, [r * tall for r in (0.030, 0.023, 0.017, 0.022)])
    yield from draw_outlines(view, pieces, BODY, BODY_EDGE)


def draw_arm(view: View, arm: PosedArm, members: Sequence[Member], pale: float = 0.0) -> Iterator[Ink]:
    """The linkage of one arm; `pale` for an arm on the far side."""
    spots = {name: view.at(place) for name, place in arm.points.items()}

    def colour(kind: str) -> str:
        return paler(LINES[kind].colour, pale)

    order = ("mast", "carrier", "driver", "performer", "hand", "character", "crank", "relay", "rod")
    plates = [m for m in members if m.kind == "relay"]
    for kind in order:
        if kind == "relay" and plates:
            corners = tuple(spots[n] for n in dict.fromkeys(p for m in plates for p in (m.start, m.end)))
            yield Area(corners, paler(LINES["relay"].colour, max(pale, 0.45)), colour("relay"), 1.3)
            continue
        for member in members:
            if member.kind != kind:
                continue
            start, end = spots[member.start], spots[member.end]
            if kind == "crank":
                holder = _CRANK_OF.get(member.name, "character")
                yield Stroke((start, end), colour(holder), 1.1)
            elif kind == "hand":
                if member.end == "T'":
                    yield Area(_blade(start, end), paler(LINES["character"].colour, max(pale, 0.45)),
                               colour("character"), 0.5)  # fmt: skip
            else:
                yield from draw_member((start, end), LINES[kind], colour(kind))
    for name, spot in spots.items():
        if name not in ("G", "T'"):
            yield Disc(spot, PIN, WHITE, paler(INK, pale), 0.3)


def draw_member(points: tuple[Spot, ...], line: Line, colour: str) -> Iterator[Ink]:
    """A member in its line style."""
    yield Stroke(points, colour, line.width, line.dash)
    if line.core is not None:
        yield Stroke(points, WHITE, 0.32 * line.width, line.core)


def _blade(start: Spot, end: Spot) -> tuple[Spot, ...]:
    """A hand: a leaf from the wrist to the tip."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    return tuple(
        (start[0] + along * dx - across * dy, start[1] + along * dy + across * dx)
        for along, across in ((0.0, 0.05), (0.3, 0.16), (1.0, 0.0), (0.3, -0.16), (0.0, -0.05))
    )


def draw_letters(view: View, arm: PosedArm, members: Sequence[Member], taken: Room) -> Iterator[Ink]:
    """Letters beside the pins, as in the drawings of the documentation; none over another."""
    spots = {name: view.at(place) for name, place in arm.points.items()}
    for member in members:
        taken.take(strip(spots[member.start], spots[member.end], 1.6))
    if arm.nearest is not None:
        yield from _nearest(spots, arm.nearest, taken)
    for name in _LETTERED:
        place = _free_place(spots[name], name.replace("'", "′"), LETTER, 2.6, taken)
        if place is not None:
            yield Words(place, name.replace("'", "′"), LETTER, INK, "middle", bold=True, halo=True)


def _nearest(spots: Mapping[str, Spot], nearest: tuple[str, str], room: Room) -> Iterator[Ink]:
    """A ring around the crank that is nearest to its lock, and how many degrees are left."""
    stage, left = nearest
    if stage not in _STAGE_ENDS:
        return
    a, b = (spots[name] for name in _STAGE_ENDS[stage])
    middle, radius = (0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])), 0.5 * math.dist(a, b) + 2.2
    turns = [math.tau * k / 48 for k in range(49)]
    circle = tuple((middle[0] + radius * math.cos(a), middle[1] + radius * math.sin(a)) for a in turns)
    yield Stroke(circle, WHITE, 0.9)
    yield Stroke(circle, INK, 0.4)
    room.take(ring(middle, radius))
    words = f"{left} to lock"
    place = _free_place(middle, words, 2.1, radius + 1.6, room)
    if place is not None:
        yield Words(place, words, 2.1, INK, "middle", halo=True)


def _free_place(spot: Spot, words: str, height: float, least: float, room: Room) -> Spot | None:
    """Where words beside a spot cover nothing: the middle of their baseline. Takes the place."""
    wide = text_width(words, height, bold=True)
    for away in (least, least + 1.0, least + 2.2, least + 4.0, least + 7.0):
        for degrees in (-45, 45, -135, 135, 0, 180, -90, 90):
            c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
            x, y = spot[0] + (away + 0.45 * wide) * c, spot[1] + away * s
            half = (0.5 * wide + 0.4, 0.5 * height + 0.5)
            if room.free(frame(x - half[0], y - half[1], x + half[0], y + half[1])):
                room.take(frame(x - half[0], y - half[1], x + half[0], y + half[1]))
                return (x, y + 0.5 * height)
    return None


def frame(x0: float, y0: float, x1: float, y1: float) -> tuple[Spot, ...]:
    """Corners of an upright rectangle."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
