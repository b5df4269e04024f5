"""limbwright.outputs.outline: hulls of circles against formulas and against a hull library."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from limbwright.outputs.outline import hull_of_circles

place = st.floats(-1.0, 1.0, allow_subnormal=False)
size = st.one_of(st.just(0.1), st.floats(0.01, 0.8))


def test_one_circle_is_itself():
    outline = hull_of_circles(((0.3, -0.2, 0.05),))
    assert outline.area() == pytest.approx(math.pi * 0.05**2, rel=1e-14)
    assert outline.bounds() == pytest.approx((0.25, -0.25, 0.35, -0.15), abs=1e-15)
    assert [edge.bulge for edge in outline.edges] == pytest.approx([1.0, 1.0])


@pytest.mark.parametrize(
    ("large", "small", "gap"), [(0.02, 0.02, 0.62), (0.05, 0.02, 0.30), (0.2, 0.01, 0.195)]
)
def test_two_circles_are_an_open_belt(large, small, gap):
    # Length of an open belt over two pulleys: any machine design textbook (from memory).
    beta = math.asin((large - small) / gap)
    belt = 2 * gap * math.cos(beta) + large * (math.pi + 2 * beta) + small * (math.pi - 2 * beta)
    outline = hull_of_circles(((0.1, 0.2, large), (0.1 + gap * 0.6, 0.2 - gap * 0.8, small)))
    assert outline.length() == pytest.approx(belt, rel=1e-12)
    assert len(outline.edges) == 4


def test_three_equal_circles_follow_steiners_formula():
    # Steiner: area of a parallel body = area + perimeter * r + pi r^2 (from memory).
    r, corners = 0.015, [(0.0, 0.0), (0.4, 0.03), (0.1, 0.25)]
    sides = [math.dist(corners[k], corners[k - 1]) for k in range(3)]
    half = sum(sides) / 2
    triangle = math.sqrt(half * math.prod(half - s for s in sides))  # Heron
    outline = hull_of_circles(tuple((x, y, r) for x, y in corners))
    assert outline.area() == pytest.approx(triangle + sum(sides) * r + math.pi * r**2, rel=1e-12)
    assert outline.length() == pytest.approx(sum(sides) + math.tau * r, rel=1e-12)


def test_a_middle_circle_on_the_line_leaves_no_broken_edge():
    outline = hull_of_circles(((0.0, 0.0, 0.02), (0.3, 0.0, 0.02), (0.7, 0.0, 0.02)))
    assert sorted(round(abs(e.sweep), 12) for e in outline.edges) == pytest.approx([0, 0, math.pi, math.pi])


def test_a_circle_inside_another_does_not_matter():
    alone = hull_of_circles(((0.0, 0.0, 0.1), (1.0, 0.0, 0.05)))
    assert hull_of_circles(((0.0, 0.0, 0.1), (1.0, 0.0, 0.05), (0.03, 0.0, 0.07), (1.0, 0.0, 0.05))) == alone


@given(st.lists(st.tuples(place, place, size), min_size=1, max_size=6))
def test_against_the_hull_of_many_points(circles):
    # Reference: Qhull (scipy.spatial.ConvexHull) over 2,000 points a circle. A chord polygon of step
    # s falls short of its circle by s^2 / 6 of the area, here 2e-6.
    outline = hull_of_circles(tuple(circles))
    turn = np.linspace(0.0, math.tau, 2001)
    points = np.concatenate([np.c_[x + r * np.cos(turn), y + r * np.sin(turn)] for x, y, r in circles])
    hull = ConvexHull(points)
    assert outline.area() == pytest.approx(hull.volume, rel=5e-6)
    assert outline.length() == pytest.approx(hull.area, rel=5e-6)
    assert outline.bounds() == pytest.approx((*points.min(0), *points.max(0)), abs=3e-6)
    assert min(outline.depth((x, y)) - r for x, y, r in circles) > -1e-9


@given(st.lists(st.tuples(place, place, size), min_size=2, max_size=6))
def test_edges_join_and_none_is_empty(circles):
    edges = hull_of_circles(tuple(circles)).edges
    for k, edge in enumerate(edges):
        assert edge.end == edges[(k + 1) % len(edges)].start
        assert edge.sweep > 0.0 or math.dist(edge.start, edge.end) > 0.0
    assert sum(edge.sweep for edge in edges) == pytest.approx(math.tau, abs=1e-7)


def test_nothing_to_outline_is_refused():
    with pytest.raises(ValueError, match="at least one circle"):
        hull_of_circles(())
    with pytest.raises(ValueError, match="positive radius"):
        hull_of_circles(((0.0, 0.0, 0.0),))
