"""A flat part as the shop cuts it: plain geometry in metres, with the words that go beside it."""

import math
from dataclasses import dataclass, replace
from typing import Literal

from limbwright.core.errors import GeometryError

Side = Literal["right", "left", "both"]


@dataclass(frozen=True)
class Hole:
    """A round hole.

    Args:
        x: centre [m].
        y: centre [m].
        diameter: [m].
        label: the pin's name, such as `E1`; unique within its part.
    """

    x: float
    y: float
    diameter: float
    label: str


@dataclass(frozen=True)
class CutPart:
    """One flat, bend-free part, seen from its outer face (the face away from the performer).

    The outline is the convex hull of `circles`: exact arcs joined by tangents. Circles and holes
    are the geometry to cut as it stands; `mirrored` only says that the part is the mirror image
    of its twin on the other side, so that the plot can carry the mark.

    Args:
        name: what people call it, such as `carrier`.
        limb: the limb it belongs to.
        side: which side of the suit; `both` means that one outline serves both, turned over.
        circles: (x, y, radius) [m].
        holes: every pin hole [m].
        datum: label of the hole that all positions are measured from.
        material: in words, such as `6061-T6`.
        section: in words, such as `tube 25 x 1.5 mm`.
        layer: sideways offset of the part's middle plane from the arm's plane, outward positive [m].
        mirrored: this is the mirror image of the part on the other side.
        quantity: how many to cut.
        notes: further lines for the shop.

    Raises:
        GeometryError: if a number is not finite, a size is 0 or less, hole labels repeat, or the
            datum is not one of the holes.
    """

    name: str
    limb: str
    side: Side
    circles: tuple[tuple[float, float, float], ...]
    holes: tuple[Hole, ...]
    datum: str
    material: str
    section: str
    layer: float = 0.0
    mirrored: bool = False
    quantity: int = 1
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what could not be cut."""
        where = f"{self.limb}/{self.name}"
        numbers = [v for circle in self.circles for v in circle]
        numbers += [v for hole in self.holes for v in (hole.x, hole.y, hole.diameter)]
        if not self.circles:
            raise GeometryError(where, "has no outline", "give at least one circle")
        if not all(math.isfinite(v) for v in (*numbers, self.layer)):
            raise GeometryError(where, "has a size that is not a number", "give finite lengths")
        if min(radius for _, _, radius in self.circles) <= 0.0:
            raise GeometryError(where, "has an outline radius of 0 or less", "give radii greater than 0")
        if any(hole.diameter <= 0.0 for hole in self.holes):
            raise GeometryError(where, "has a hole of diameter 0 or less", "give diameters greater than 0")
        labels = [hole.label for hole in self.holes]
        if len(set(labels)) != len(labels):
            raise GeometryError(where, "has two holes of one name", "name every hole differently")
        if self.datum not in labels:
            known = ", ".join(labels) or "none"
            raise GeometryError(where, f"has no hole '{self.datum}' for its datum", f"use: {known}")
        if self.quantity < 1:
            raise GeometryError(where, "is cut fewer than once", "give a quantity of 1 or more")

    @property
    def datum_hole(self) -> Hole:
        """The hole that positions are measured from."""
        return next(hole for hole in self.holes if hole.label == self.datum)

    def mirror_image(self) -> "CutPart":
        """The twin for the other side: turned over about the x axis, sides and mark exchanged.

        A part for `both` sides stays as it is: it is turned over by hand.
        """
        if self.side == "both":
            return self
        return replace(
            self,
            side="left" if self.side == "right" else "right",
            circles=tuple((x, -y, radius) for x, y, radius in self.circles),
            holes=tuple(replace(hole, y=-hole.y) for hole in self.holes),
            mirrored=not self.mirrored,
        )
