"""Line drawings as SVG text: a millimetre or two of geometry, labels, arrows, angle arcs.

Points are (right, up) in drawing units. Colours are the Okabe-Ito palette, and every line that a
colour tells apart is also told apart by its width, its dashes or a label.
"""

import math
from html import escape
from pathlib import Path
from typing import NamedTuple

BLACK = "#000000"
GREY = "#6b6b6b"
BLUE = "#0072b2"
SKY = "#56b4e9"
ORANGE = "#e69f00"
VERMILION = "#d55e00"
PURPLE = "#cc79a7"
GREEN = "#009e73"


class Point(NamedTuple):
    """Right and up."""

    x: float
    y: float

    def toward(self, angle: float, distance: float) -> "Point":
        """The point `distance` away along a limb at `angle` [deg] from hanging, raising positive."""
        a = math.radians(angle)
        return Point(self.x + distance * math.sin(a), self.y - distance * math.cos(a))

    def turned(self, angle: float, distance: float) -> "Point":
        """The point `distance` away at `angle` [deg] counter-clockwise from right."""
        a = math.radians(angle)
        return Point(self.x + distance * math.cos(a), self.y + distance * math.sin(a))


class Sketch:
    """One drawing; each method adds to it in order."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self.width, self.height, self.title = width, height, title
        self.items: list[str] = []

    def _at(self, p: Point) -> str:
        return f"{p.x:.2f},{self.height - p.y:.2f}"

    def line(self, *points: Point, color: str = BLACK, width: float = 2.0, dash: str = "") -> None:
        """A polyline."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.items.append(
            f'<polyline points="{" ".join(self._at(p) for p in points)}" fill="none" stroke="{color}" '
            f'stroke-width="{width:g}" stroke-linecap="round" stroke-linejoin="round"{dashed}/>'
        )

    def plate(self, *points: Point, color: str = PURPLE) -> None:
        """A filled polygon with an outline."""
        self.items.append(
            f'<polygon points="{" ".join(self._at(p) for p in points)}" fill="{color}" fill-opacity="0.35" '
            f'stroke="{color}" stroke-width="2" stroke-linejoin="round"/>'
        )

    def circle(
        self, p: Point, radius: float, color: str = BLACK, fill: str = "none", width: float = 2.0
    ) -> None:
        """A circle."""
        x, y = self._at(p).split(",")
        self.items.append(
            f'<circle cx="{x}" cy="{y}" r="{radius:g}" fill="{fill}" stroke="{color}" '
            f'stroke-width="{width:g}"/>'
        )

    def pin(self, p: Point) -> None:
        """A pin joint."""
        self.circle(p, 5.0, fill="#ffffff")

    def arrow(self, start: Point, end: Point, color: str = BLACK, width: float = 2.0) -> None:
        """A line with a head at its end."""
        self.line(start, end, color=color, width=width)
        self._head(end, math.degrees(math.atan2(end.y - start.y, end.x - start.x)), color)

    def arc(
        self, centre: Point, radius: float, start: float, end: float, color: str = BLACK, label: str = ""
    ) -> None:
        """An angle's arc from `start` to `end` [deg, as a limb's angle], with a head at its end."""
        first, last = centre.toward(start, radius), centre.toward(end, radius)
        large = 1 if abs(end - start) > 180.0 else 0
        sweep = 0 if end > start else 1
        self.items.append(
            f'<path d="M {self._at(first)} A {radius:g} {radius:g} 0 {large} {sweep} {self._at(last)}" '
            f'fill="none" stroke="{color}" stroke-width="1.5"/>'
        )
        self._head(last, end if end > start else end + 180.0, color)
        if label:
            self.text(centre.toward((start + end) / 2.0, radius + 10.0), label, color=color)

    def _head(self, tip: Point, heading: float, color: str) -> None:
        wings = (tip.turned(heading + 160.0, 10.0), tip.turned(heading - 160.0, 10.0))
        self.items.append(
            f'<polygon points="{" ".join(self._at(p) for p in (tip, *wings))}" fill="{color}"/>'
        )

    def text(
        self, p: Point, words: str, *, color: str = BLACK, size: float = 13.0, anchor: str = "start"
    ) -> None:
        """Words whose baseline starts (or is centred, or ends) at a point."""
        x, y = self._at(p).split(",")
        self.items.append(
            f'<text x="{x}" y="{y}" font-size="{size:g}" fill="{color}" text-anchor="{anchor}">'
            f"{escape(words)}</text>"
        )

    def svg(self) -> str:
        """The whole drawing on white, so that it reads on a dark page too."""
        body = "\n".join(self.items)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:g} {self.height:g}" '
            f'width="{self.width:g}" height="{self.height:g}" font-family="DejaVu Sans, Helvetica, Arial, '
            f'sans-serif" role="img">\n<title>{escape(self.title)}</title>\n'
            f'<rect width="100%" height="100%" fill="#ffffff"/>\n{body}\n</svg>\n'
        )

    def save(self, folder: Path, name: str) -> None:
        """Write `name`.svg."""
        (folder / f"{name}.svg").write_text(self.svg(), encoding="utf-8", newline="\n")
