"""The performer as a quiet figure for pictures, drawn through the body's own dimensions.

Heights, breadths and depths are the performer's, measured or estimated. What lies between them (how
a thigh tapers, how round a head is) is drawing, by eye; nothing is computed from it.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from limbwright.model.body import Body

Flat = tuple[float, float]  # right and up in a view [m]
Outline = tuple[Flat, ...]


@dataclass(frozen=True)
class Figure:
    """Outlines of one view from the back to the front [m]: legs, trunk, head; arms apart."""

    outlines: tuple[Outline, ...]


def front_figure(body: Body, lift: float) -> Figure:
    """The performer seen from the front, standing on stilts that lift the feet by `lift` [m]."""
    d = {name: estimate.value for name, estimate in body.dimensions.items()}
    tall, mid = d["stature"], 0.5 * d["hip_breadth"]
    shoulder, chest = 0.5 * d["biacromial_breadth"], 0.5 * d["chest_breadth"]
    base, point = d["suprasternale_height"], d["acromial_height"]
    half = [
        (0.024 * tall, base + 0.070 * tall),
        (0.027 * tall, base + 0.040 * tall),
        (0.050 * tall, base + 0.014 * tall),
        (0.80 * shoulder, point + 0.004 * tall),
        (1.02 * shoulder, point - 0.016 * tall),
        (1.05 * shoulder, point - 0.05 * tall),
        (chest, d["axilla_height"] - 0.015 * tall),
        (0.84 * chest, 0.5 * (d["axilla_height"] + d["iliocristale_height"])),
        (0.88 * mid, d["iliocristale_height"] + 0.03 * tall),
        (mid, d["trochanterion_height"] + 0.01 * tall),
        (0.97 * mid, d["crotch_height"] - 0.02 * tall),
    ]
    trunk = _both_halves(half, lift)
    return Figure((*_front_legs(d, lift), trunk, _head(0.0, 0.047 * tall, tall, lift)))


def _front_legs(d: dict[str, float], lift: float) -> tuple[Outline, ...]:
    tall, hip, knee = d["stature"], 0.5 * d["hip_breadth"], d["knee_height_midpatella"]
    centre = 0.5 * hip
    ankle = d["lateral_malleolus_height"]
    inner = [(0.004, d["crotch_height"]), (centre - 0.030 * tall, knee), (centre - 0.030 * tall, 0.72 * knee)]
    outer = [
        (hip, d["trochanterion_height"]),
        (centre + 0.031 * tall, knee),
        (centre + 0.033 * tall, 0.72 * knee),
    ]
    foot = [(centre - 0.019 * tall, ankle), (centre - 0.026 * tall, 0.0), (centre + 0.028 * tall, 0.0)]
    leg = (
        smooth([*outer, (centre + 0.020 * tall, ankle)], 6)
        + tuple(reversed(foot))
        + smooth([foot[0], *reversed(inner)], 6)
    )
    right = tuple((-u, v + lift) for u, v in leg)
    return right, tuple((u, v + lift) for u, v in leg)


def side_figure(body: Body, lift: float) -> Figure:
    """The performer seen from the right, facing right."""
    d = {name: estimate.value for name, estimate in body.dimensions.items()}
    tall, deep = d["stature"], 0.5 * d["chest_depth"]
    back = [
        (-0.042 * tall, d["suprasternale_height"] + 0.05 * tall),
        (-0.050 * tall, d["acromial_height"] + 0.01 * tall),
        (-1.02 * deep, d["axilla_height"]),
        (-0.66 * deep, d["iliocristale_height"] + 0.04 * tall),
        (-1.06 * deep, d["trochanterion_height"] + 0.01 * tall),
        (-0.62 * deep, d["crotch_height"] - 0.05 * tall),
    ]
    front = [
        (0.58 * deep, d["crotch_height"] - 0.05 * tall),
        (0.72 * deep, d["trochanterion_height"] + 0.02 * tall),
        (0.72 * deep, d["iliocristale_height"]),
        (0.95 * deep, d["axilla_height"] - 0.02 * tall),
        (0.45 * deep, d["suprasternale_height"] - 0.01 * tall),
        (0.016 * tall, d["suprasternale_height"] + 0.03 * tall),
    ]
    trunk = smooth([*back, *front], 6, closed=True)
    leg = _side_leg(d, deep)
    lifted = [tuple((u, v + lift) for u, v in part) for part in (leg, trunk)]
    return Figure((*lifted, _head(0.004 * tall, 0.056 * tall, tall, lift, nose=0.012 * tall)))


def _side_leg(d: dict[str, float], deep: float) -> Outline:
    tall, knee, ankle = d["stature"], d["knee_height_midpatella"], d["lateral_malleolus_height"]
    foot = d["foot_length"]
    back = [
        (-0.66 * deep, d["crotch_height"]),
        (-0.034 * tall, knee),
        (-0.042 * tall, 0.72 * knee),
        (-0.022 * tall, ankle),
    ]
    front = [
        (0.018 * tall, ankle + 0.01 * tall),
        (0.026 * tall, 0.72 * knee),
        (0.032 * tall, knee),
        (0.62 * deep, d["crotch_height"]),
    ]
    sole = [(-0.26 * foot, 0.25 * ankle), (-0.25 * foot, 0.0), (0.74 * foot, 0.0), (0.72 * foot, 0.2 * ankle)]
    return smooth(back, 6) + tuple(sole) + smooth(front, 6)


def _head(ahead: float, wide: float, tall: float, lift: float, nose: float = 0.0) -> Outline:
    """An egg, narrower at the chin, with a nose in the side view."""
    middle, high = tall * (1.0 - 0.066), 0.066 * tall
    points: list[Flat] = []
    for k in range(48):
        a = math.tau * k / 48
        narrow = 1.0 - 0.16 * max(0.0, -math.sin(a))
        bump = nose * math.exp(-((((math.degrees(a) + 8.0 + 180.0) % 360.0 - 180.0) / 11.0) ** 2))
        points.append((ahead + wide * narrow * math.cos(a) + bump, lift + middle + high * math.sin(a)))
    return tuple(points)


def limb_outline(points: Sequence[Flat], radii: Sequence[float]) -> tuple[Outline, ...]:
    """A limb through some points with a radius at each: tapered pieces with round joints [m]."""
    pieces = [_disc(at, r) for at, r in zip(points, radii, strict=True)]
    for (a, ra), (b, rb) in itertools.pairwise(zip(points, radii, strict=True)):
        run = math.dist(a, b)
        if run > 1e-6:
            nx, ny = -(b[1] - a[1]) / run, (b[0] - a[0]) / run
            pieces.append(
                (
                    (a[0] + ra * nx, a[1] + ra * ny),
                    (b[0] + rb * nx, b[1] + rb * ny),
                    (b[0] - rb * nx, b[1] - rb * ny),
                    (a[0] - ra * nx, a[1] - ra * ny),
                )
            )
    return tuple(pieces)


def smooth(points: Sequence[Flat], pieces: int, *, closed: bool = False) -> Outline:
    """A Catmull-Rom curve through points, each stretch in some straight pieces."""
    count = len(points)
    stretches = count if closed else count - 1
    drawn: list[Flat] = []
    for k in range(stretches):
        around = [k - 1, k, k + 1, k + 2]
        picks = [i % count if closed else min(max(i, 0), count - 1) for i in around]
        p0, p1, p2, p3 = (points[i] for i in picks)
        for step in range(pieces):
            t = step / pieces
            drawn.append((_spline(p0[0], p1[0], p2[0], p3[0], t), _spline(p0[1], p1[1], p2[1], p3[1], t)))
    if not closed:
        drawn.append(points[-1])
    return tuple(drawn)


def _spline(a: float, b: float, c: float, d: float, t: float) -> float:
    return 0.5 * (
        2.0 * b + (c - a) * t + (2.0 * a - 5.0 * b + 4.0 * c - d) * t**2 + (3.0 * b - a - 3.0 * c + d) * t**3
    )


def _both_halves(half: Sequence[Flat], lift: float) -> Outline:
    """The right half of the drawing and its mirror image as one outline."""
    curve = smooth(half, 6)
    return tuple((u, v + lift) for u, v in curve) + tuple((-u, v + lift) for u, v in reversed(curve))


def _disc(at: Flat, radius: float) -> Outline:
    turns = [math.tau * k / 24 for k in range(24)]
    return tuple((at[0] + radius * math.cos(a), at[1] + radius * math.sin(a)) for a in turns)
