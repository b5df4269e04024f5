"""Finding a free place for words and dimension lines, so that nothing is written over."""

import math

from limbwright.outputs.outline import Point

Polygon = tuple[Point, ...]


def overlap(one: Polygon, other: Polygon) -> bool:
    """Whether two convex polygons (or segments) share more than a touch: separating axis theorem."""
    for polygon in (one, other):
        for k, (ax, ay) in enumerate(polygon):
            bx, by = polygon[(k + 1) % len(polygon)]
            nx, ny = by - ay, ax - bx
            size = math.hypot(nx, ny)
            if size == 0.0:
                continue
            spans = [[(nx * x + ny * y) / size for x, y in shape] for shape in (one, other)]
            if max(spans[0]) <= min(spans[1]) + 1e-9 or max(spans[1]) <= min(spans[0]) + 1e-9:
                return False
    return True


def strip(start: Point, end: Point, width: float) -> Polygon:
    """The rectangle around a segment, `width` wide [m]."""
    run = math.dist(start, end) or 1.0
    nx, ny = (end[1] - start[1]) / run * 0.5 * width, (start[0] - end[0]) / run * 0.5 * width
    return (
        (start[0] + nx, start[1] + ny),
        (start[0] - nx, start[1] - ny),
        (end[0] - nx, end[1] - ny),
        (end[0] + nx, end[1] + ny),
    )


def ring(centre: Point, radius: float, sides: int = 16) -> Polygon:
    """A polygon around a circle (corners on the circle of the given radius / cos(pi / sides))."""
    out = radius / math.cos(math.pi / sides)
    turns = [math.tau * (k + 0.5) / sides for k in range(sides)]
    return tuple((centre[0] + out * math.cos(a), centre[1] + out * math.sin(a)) for a in turns)


class Room:
    """What is taken already."""

    def __init__(self) -> None:
        self.taken: list[Polygon] = []

    def free(self, *wanted: Polygon) -> bool:
        """Whether none of the wanted polygons overlaps what is taken."""
        return not any(overlap(polygon, there) for polygon in wanted for there in self.taken)

    def take(self, *polygons: Polygon) -> None:
        """Mark polygons as taken."""
        self.taken.extend(polygons)
