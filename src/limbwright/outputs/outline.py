"""Outlines of flat parts: the convex hull of circles, as exact arcs joined by tangents.

The support of a circle in direction u(a) = (cos a, sin a) is centre . u + radius. The hull's boundary
follows the circle of greatest support as a runs once around. Circle j overtakes circle i where
d cos(a - f) = r_i - r_j, with d and f the length and heading of c_j - c_i: at
a = f - acos((r_i - r_j) / d). The straight edge there is the outer tangent of both.
"""

import math
from typing import NamedTuple

Point = tuple[float, float]
Bounds = tuple[float, float, float, float]
_SAME_ANGLE = 1e-9  # overtakings closer than this are one tangent [rad]


class Edge(NamedTuple):
    """One straight edge (sweep 0) or circular arc of a closed outline.

    Args:
        start: first end [m].
        end: second end [m].
        centre: of the arc [m]; for a straight edge the same as `start`.
        radius: of the arc [m]; 0 for a straight edge.
        angle: heading of `start` from the centre [rad].
        sweep: angle turned from start to end, counter-clockwise positive [rad].
    """

    start: Point
    end: Point
    centre: Point
    radius: float = 0.0
    angle: float = 0.0
    sweep: float = 0.0

    @property
    def bulge(self) -> float:
        """Tangent of a quarter of the sweep, as polylines of the DXF format carry arcs."""
        return math.tan(0.25 * self.sweep)

    def bounds(self) -> Bounds:
        """Least x, least y, greatest x, greatest y [m]; exact for arcs."""
        xs, ys = [self.start[0], self.end[0]], [self.start[1], self.end[1]]
        low, high = sorted((self.angle, self.angle + self.sweep))
        for quarter in range(math.ceil(low / (0.5 * math.pi)), math.floor(high / (0.5 * math.pi)) + 1):
            if self.sweep:
                xs.append(self.centre[0] + self.radius * math.cos(0.5 * math.pi * quarter))
                ys.append(self.centre[1] + self.radius * math.sin(0.5 * math.pi * quarter))
        return min(xs), min(ys), max(xs), max(ys)

    def points(self, step: float) -> list[Point]:
        """Points on the edge from start to end, at most `step` [rad] apart on an arc."""
        count = max(1, math.ceil(abs(self.sweep) / step))
        inner = [
            (
                self.centre[0] + self.radius * math.cos(self.angle + self.sweep * k / count),
                self.centre[1] + self.radius * math.sin(self.angle + self.sweep * k / count),
            )
            for k in range(1, count)
        ]
        return [self.start, *inner, self.end]


class Outline(NamedTuple):
    """A closed outline, counter-clockwise: each edge starts where the one before it ends."""

    edges: tuple[Edge, ...]

    def area(self) -> float:
        """Enclosed area [m^2]: the polygon of the corners plus the circular segments."""
        total = 0.0
        for edge in self.edges:
            total += 0.5 * (edge.start[0] * edge.end[1] - edge.end[0] * edge.start[1])
            total += 0.5 * edge.radius**2 * (edge.sweep - math.sin(edge.sweep))
        return total

    def length(self) -> float:
        """Length of the boundary [m]."""
        return sum(
            edge.radius * abs(edge.sweep) if edge.sweep else math.dist(edge.start, edge.end)
            for edge in self.edges
        )

    def bounds(self) -> Bounds:
        """Least x, least y, greatest x, greatest y [m]."""
        boxes = [edge.bounds() for edge in self.edges]
        return (
            min(b[0] for b in boxes),
            min(b[1] for b in boxes),
            max(b[2] for b in boxes),
            max(b[3] for b in boxes),
        )

    def depth(self, point: Point) -> float:
        """How far inside the (convex) outline a point lies, negative outside [m].

        Inside it is the distance to the boundary; outside it is a lower bound of that distance, negated.
        """
        least = math.inf
        for edge in self.edges:
            if edge.sweep:
                reach = math.dist(point, edge.centre)
                heading = math.atan2(point[1] - edge.centre[1], point[0] - edge.centre[0])
                turned = (heading - edge.angle) % math.tau
                if turned <= edge.sweep or reach == 0.0:
                    least = min(least, edge.radius - reach)
            else:
                run = math.dist(edge.start, edge.end)
                ux, uy = (edge.end[0] - edge.start[0]) / run, (edge.end[1] - edge.start[1]) / run
                least = min(least, ux * (point[1] - edge.start[1]) - uy * (point[0] - edge.start[0]))
        return least


def hull_of_circles(circles: tuple[tuple[float, float, float], ...]) -> Outline:
    """Convex hull of circles (x, y, radius) [m] as arcs and outer tangents, counter-clockwise.

    Circles inside others do not matter. One circle (or nested ones) gives two half circles.

    Raises:
        ValueError: without a circle, or with a radius that is not positive.
    """
    if not circles or min(radius for _, _, radius in circles) <= 0.0:
        raise ValueError("an outline needs at least one circle, each of positive radius")
    kept = _drop_contained(circles)
    if len(kept) == 1:
        x, y, radius = kept[0]
        return Outline(_join([_arc(x, y, radius, a, math.pi) for a in (0.0, math.pi)]))
    angle = 0.1  # any heading at which no two circles tie would do; the first stretch is not recorded
    current = max(range(len(kept)), key=lambda i: _support(kept[i], angle))
    angle, current = _overtaking(kept, current, angle)
    first, turned, edges = current, 0.0, list[Edge]()
    while turned < math.tau - _SAME_ANGLE:
        following, successor = _overtaking(kept, current, angle)
        sweep = following - angle
        x, y, radius = kept[current]
        arc = _arc(x, y, radius, angle, sweep)
        tip_x, tip_y, tip = kept[successor]
        far = (tip_x + tip * math.cos(following), tip_y + tip * math.sin(following))
        if sweep > _SAME_ANGLE:
            edges.append(arc)
        edges.append(Edge(arc.end, far, arc.end))
        turned += sweep
        angle, current = following, successor
        if len(edges) > 4 * len(kept) + 8:
            raise ValueError("the circles' hull does not close")
    if current != first:
        raise ValueError("the circles' hull does not close")
    return Outline(_join(edges))


def _drop_contained(
    circles: tuple[tuple[float, float, float], ...],
) -> list[tuple[float, float, float]]:
    kept: list[tuple[float, float, float]] = []
    for circle in sorted(set(circles), key=lambda c: (-c[2], c[0], c[1])):
        if all(math.dist(circle[:2], big[:2]) > big[2] - circle[2] + 1e-12 for big in kept):
            kept.append(circle)
    return kept


def _support(circle: tuple[float, float, float], angle: float) -> float:
    return circle[0] * math.cos(angle) + circle[1] * math.sin(angle) + circle[2]


def _overtaking(circles: list[tuple[float, float, float]], current: int, angle: float) -> tuple[float, int]:
    """The next heading at which another circle takes over, and which; the farthest one on a tie."""
    x, y, radius = circles[current]
    candidates: list[tuple[float, float, int]] = []
    for other, (ox, oy, r) in enumerate(circles):
        if other == current:
            continue
        gap = math.hypot(ox - x, oy - y)
        at = math.atan2(oy - y, ox - x) - math.acos(max(-1.0, min(1.0, (radius - r) / gap)))
        ahead = (at - angle) % math.tau
        if ahead > math.tau - _SAME_ANGLE:
            ahead = 0.0
        candidates.append((ahead, math.sqrt(max(0.0, gap**2 - (radius - r) ** 2)), other))
    soonest = min(candidates)[0]
    tied = [c for c in candidates if c[0] <= soonest + _SAME_ANGLE]
    ahead, _, successor = max(tied, key=lambda c: c[1])
    return angle + ahead, successor


def _arc(x: float, y: float, radius: float, angle: float, sweep: float) -> Edge:
    start = (x + radius * math.cos(angle), y + radius * math.sin(angle))
    end = (x + radius * math.cos(angle + sweep), y + radius * math.sin(angle + sweep))
    return Edge(start, end, (x, y), radius, angle, sweep)


def _join(edges: list[Edge]) -> tuple[Edge, ...]:
    """Make each edge start exactly where the one before it ends (they agree to rounding)."""
    return tuple(edge._replace(end=edges[(k + 1) % len(edges)].start) for k, edge in enumerate(edges))
