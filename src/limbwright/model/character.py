"""The character: its height, its approved outline, and where its joints are drawn."""

import math

from pydantic import Field

from limbwright.model.base import Written
from limbwright.model.field import Coordinate, Height, Place, Size, Words


class Silhouette(Written):
    """An outline drawn in SVG and the one known length that gives its scale.

    Points are in the drawing's own units (its viewBox). The front view is seen from the front, so
    drawing-right is the performer's left; the side view faces right. `origin` is the point of the
    floor between the feet.
    """

    file: Words = Field(description="SVG file beside the suit file")
    known_length: Size
    start: tuple[Coordinate, Coordinate] = Field(alias="from")
    end: tuple[Coordinate, Coordinate] = Field(alias="to")
    origin: tuple[Coordinate, Coordinate]

    @property
    def scale(self) -> float:
        """Metres for one unit of the drawing."""
        return self.known_length / math.dist(self.start, self.end)


class Silhouettes(Written):
    """Front and side outlines."""

    front: Silhouette | None = None
    side: Silhouette | None = None


class Marks(Written):
    """Joints of the character's arm, [out, forward, up] from the floor between the feet [m]."""

    shoulder: Place
    elbow: Place
    wrist: Place
    hand_tip: Place


class Character(Written):
    """What the audience is to see."""

    height: Height
    silhouettes: Silhouettes = Silhouettes()
    marks: Marks | None = None
