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


def _box(polygon: Polygon) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in polygon], [y for _, y in polygon]
    return min(xs), min(ys), max(xs), max(ys)


class Room:
    """What is taken already."""

    def __init__(self) -> None:
        self._taken: list[tuple[tuple[float, float, float, float], Polygon]] = []

    def free(self, *wanted: Polygon) -> bool:
        """Whether none of the wanted polygons overlaps what is taken."""
        for polygon in wanted:
            x0, y0, x1, y1 = _box(polygon)
            for (a0, b0, a1, b1), there in self._taken:
                if a0 < x1 and x0 < a1 and b0 < y1 and y0 < b1 and overlap(polygon, there):
                    return False
        return True

    def take(self, *polygons: Polygon) -> None:
        """Mark polygons as taken; a level or upright line counts as a hair wide."""
        for polygon in polygons:
            x0, y0, x1, y1 = _box(polygon)
            self._taken.append(((x0 - 1e-9, y0 - 1e-9, x1 + 1e-9, y1 + 1e-9), polygon))
