"""What stands around the views of a picture: height staff, floor, scale, caption and legend."""

import math
from collections.abc import Iterator, Sequence
from typing import Final

from limbwright.core.units import shown
from limbwright.outputs.cautions import PICTURE_CAUTION
from limbwright.outputs.ink import WHITE, Area, Disc, Ink, Spot, Stroke, Words
from limbwright.outputs.lettering import fit_text, plain_line, text_width, wrap_text
from limbwright.outputs.picture_scene import Scene, members_room
from limbwright.outputs.picture_view import (
    BODY,
    BODY_EDGE,
    BOX_DASH,
    FAINT,
    HARNESS,
    INK,
    LINES,
    PIN,
    QUIET,
    SHADOW,
    SHADOW_EDGE,
    View,
    draw_member,
    frame,
    paler,
)

WIDTH, HEIGHT = 420.0, 297.0  # A3 lying [mm]
EDGE: Final = 10.0
PANEL: Final = 92.0
STAFF: Final = 24.0  # room for the height staff [mm]
FLOOR: Final = 262.0  # where the floor lies on the page [mm]


def heights(scene: Scene, scale: float, top: float, left: float, right: float) -> Iterator[Ink]:
    """The staff at the left, faint lines across, and the character's height."""
    inches = scene.units != "mm"
    block = 0.3048 if inches else 0.5
    count = math.ceil(max(top, scene.height) / block + 1e-9)
    x0, wide = left - 8.0, 3.2
    for k in range(count + 1):
        y = FLOOR - scale * block * k
        if k and y > EDGE:
            yield Stroke(((x0 + wide, y), (right, y)), FAINT, 0.18)
        if k < count:
            high = scale * block
            corners = ((x0, y), (x0 + wide, y), (x0 + wide, y - high), (x0, y - high))
            yield Area(corners, INK if k % 2 == 0 else WHITE, INK, 0.25)
        words = f"{k} ft" if inches else (f"{500 * k}" if k else "0 mm")
        yield Words((x0 - 1.5, y + 0.9), words, 2.0, INK, "end")


def character_height(scene: Scene, views: Sequence[View], left: float, right: float) -> Iterator[Ink]:
    """A line at the character's height, named where nothing else lies."""
    y = FLOOR - views[0].scale * scene.height
    yield Stroke(((left - 3.8, y), (right, y)), QUIET, 0.25, (5.0, 1.2, 1.2, 1.2))
    words = f"character {shown(scene.height, 'length', scene.units).text}"
    wide, x = text_width(words, 2.2), right
    rooms = [members_room(scene, view, scene.arms) for view in views]
    while x > left + wide and not all(r.free(frame(x - wide - 4, y - 6, x + 4, y + 6)) for r in rooms):
        x -= 5.0
    yield Words((x, y - 1.2), words, 2.2, INK, "end", halo=True)


def floor(left: float, right: float) -> Iterator[Ink]:
    """The shop floor."""
    x0, x1 = left - 8.0, right
    yield Stroke(((x0, FLOOR), (x1, FLOOR)), INK, 0.5)
    x = x0 + 2.0
    while x < x1:
        yield Stroke(((x, FLOOR + 0.4), (x - 1.6, FLOOR + 2.0)), QUIET, 0.2)
        x += 3.0


def view_title(title: str, words: str, view: View) -> Iterator[Ink]:
    """What a view is and where it is seen from."""
    y = FLOOR + 7.5
    whole = text_width(title, 2.6, bold=True) + 2.0 + text_width(words, 2.2)
    x = view.middle - 0.5 * whole
    yield Words((x, y), title, 2.6, INK, bold=True)
    yield Words((x + text_width(title, 2.6, bold=True) + 2.0, y), words, 2.2, INK)


def scale_bar(scene: Scene, scale: float, reduction: int, right: float) -> Iterator[Ink]:
    """One metre (or four feet) in pieces, and the scale."""
    inches = scene.units != "mm"
    piece, name = (0.3048, "4 ft") if inches else (0.25, "1 m")
    x0, y = EDGE + STAFF - 8.0, HEIGHT - 16.5
    for k in range(4):
        a, b = x0 + scale * piece * k, x0 + scale * piece * (k + 1)
        yield Area(((a, y), (b, y), (b, y + 2.0), (a, y + 2.0)), INK if k % 2 == 0 else WHITE, INK, 0.25)
    x = x0 + 4 * scale * piece + 2.0
    words = (
        f"{name}; scale 1:{reduction} on A3 printed at 100 %. For reading; the plots give the sizes to cut."
    )
    yield Words((x, y + 1.9), fit_text(words, 2.2, right - x)[0], 2.2, INK)


def panel(scene: Scene) -> Iterator[Ink]:
    """Pose, facts, what the lines mean, caution."""
    x, width = WIDTH - EDGE - PANEL, PANEL
    y = EDGE + 6.0
    text, size = fit_text(plain_line(scene.pose), 5.0, width, bold=True)
    yield Words((x, y), text, size, INK, bold=True)
    y += 6.0
    text, size = fit_text(plain_line(f"{scene.suit}, revision {scene.revision}"), 2.8, width)
    yield Words((x, y), text, size, INK)
    y += 3.0
    yield Stroke(((x, y), (x + width, y)), INK, 0.35)
    y += 5.5
    legend = HEIGHT - 40.0 - 6.2 * (len(LINES) + 4)
    yield from _caption(scene, x, y, legend - 6.0)
    y = legend
    yield Stroke(((x, y), (x + width, y)), QUIET, 0.2)
    y += 6.0
    yield from _legend(x, y)
    y = HEIGHT - 32.0
    for line in wrap_text(PICTURE_CAUTION, 2.0, width):
        yield Words((x, y), line, 2.0, INK)
        y += 3.7


def _caption(scene: Scene, x: float, y: float, end: float) -> Iterator[Ink]:
    """What is said about the pose, as far as there is room."""
    for told, (head, body) in enumerate(scene.says):
        lines = [(0.0, line) for line in wrap_text(plain_line(head), 2.3, PANEL - 3.0)]
        lines += [(3.0, line) for line in wrap_text(plain_line(body), 2.3, PANEL - 3.0)]
        if y + 4.2 * (len(lines) + 1) > end and told < len(scene.says) - 1:
            yield Words((x, y), f"and {len(scene.says) - told} more: see the findings", 2.3, INK)
            return
        for indent, line in lines:
            yield Words((x + indent, y), line, 2.3, INK)
            y += 4.2
        y += 1.4


def _legend(x: float, y: float) -> Iterator[Ink]:
    """A sample of every line and patch."""
    step, end = 6.2, x + 15.0
    for kind, line in LINES.items():
        samples: tuple[Spot, Spot] = ((x + 1.0, y - 1.0), (end, y - 1.0))
        if kind == "relay":
            plate = ((x + 3.0, y + 0.5), (end - 2.0, y - 0.3), (x + 8.0, y - 3.2))
            yield Area(plate, paler(line.colour, 0.45), line.colour, 1.3)
            for spot in plate:
                yield Disc(spot, PIN, WHITE, INK, 0.3)
        else:
            yield from draw_member(samples, line, line.colour)
        yield Words((end + 4.0, y), line.words, 2.2, INK)
        y += step
    for fill, edge, words in (
        (BODY, BODY_EDGE, "performer"),
        (HARNESS, QUIET, "harness"),
        (SHADOW, SHADOW_EDGE, "character's silhouette as drawn"),
    ):
        corners = frame(x + 1.0, y - 2.6, end, y + 0.6)
        yield Area(corners, fill)
        yield Stroke((*corners, corners[0]), edge, 0.3, BOX_DASH if fill == HARNESS else ())
        yield Words((end + 4.0, y), words, 2.2, INK)
        y += step
