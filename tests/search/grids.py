"""Small grids for the search's tests, and the same questions asked node by node."""

import math
from collections import deque
from collections.abc import Iterator

import numpy as np

from limbwright.limbs.performer_range import FREE_ELBOW
from limbwright.search.performer_grid import PerformerGrid

STEP = math.radians(15.0)


def even_grid(highest: float, most_elbow: float, step: float) -> PerformerGrid:
    """Every pair of elevation and elbow allowed and weighing the same, in one plane [deg]."""
    elevation = np.radians(np.arange(0.0, highest + 1e-9, step))
    elbow = np.radians(np.arange(0.0, most_elbow + 1e-9, step))
    allowed = np.ones((1, len(elevation)), dtype=np.bool_)
    pairs = np.ones((len(elevation), len(elbow)))
    driven = pairs > 0.0
    return PerformerGrid(
        math.radians(step), np.zeros(1), elevation, elbow, allowed, allowed, driven, pairs, pairs, pairs.size
    )


def ragged_grid(seed: int) -> PerformerGrid:
    """Bent elbows allowed in one random stretch of swing for each elevation, straight ones nearly always."""
    random = np.random.default_rng(seed)
    swing, elevation, elbow = (STEP * np.arange(n) for n in (5, 12, 10))
    straight = random.random((5, 12)) < 0.9
    bent = np.zeros((5, 12), dtype=np.bool_)
    for e in range(12):
        first = int(random.integers(0, 4))
        bent[first : first + int(random.integers(1, 4)), e] = True
    bent &= straight
    driven = np.ones((12, 10), dtype=np.bool_)
    driven[:2, :2] = False
    kinds = np.where(elbow < FREE_ELBOW - 1e-9, straight.sum(axis=0)[:, None], bent.sum(axis=0)[:, None])
    worth = np.sin(elevation)[:, None] * driven
    whole = float((np.sin(elevation) * straight.sum(axis=0)).sum() * len(elbow))
    return PerformerGrid(STEP, swing, elevation, elbow, straight, bent, driven, worth, worth * kinds, whole)


def margins(
    elevation: float, elbow: float, angles: tuple[float, float, float], mast_angle: float
) -> np.ndarray:
    """Signed angles whose sines make the closure's determinant [rad]."""
    c0, c1, c2 = angles
    inner = np.array([elevation + c0 - mast_angle, elevation + elbow + c1 - mast_angle, elbow + c2])
    return np.arcsin(np.sin(inner))


def walked_share(
    grid: PerformerGrid,
    angles: tuple[float, float, float],
    floors: tuple[float, float, float],
    mast_angle: float,
    start: tuple[float, float, float],
) -> float:
    """Share of the range reached from a pose, walking from node to node on one side of every lock."""
    side = np.sign(margins(start[1], start[2], angles, mast_angle))
    usable: dict[tuple[int, int, int], float] = {}
    for s, e, f in np.ndindex(len(grid.swing), len(grid.elevation), len(grid.elbow)):
        th, fl = float(grid.elevation[e]), float(grid.elbow[f])
        free = grid.straight[s, e] if fl < FREE_ELBOW - 1e-9 else grid.bent[s, e]
        if free and np.all(side * margins(th, fl, angles, mast_angle) >= np.array(floors) - 1e-9):
            usable[(s, e, f)] = math.sin(th) if grid.driven[e, f] else 0.0

    def away(node: tuple[int, int, int]) -> float:
        at = (grid.swing[node[0]], grid.elevation[node[1]], grid.elbow[node[2]])
        return sum((float(a) - b) ** 2 for a, b in zip(at, start, strict=True))

    if not usable:
        return 0.0
    first = min(usable, key=lambda node: (round(away(node), 12), node))
    seen, queue = {first}, deque([first])
    while queue:
        for node in _neighbours(grid, queue.popleft()):
            if node in usable and node not in seen:
                seen.add(node)
                queue.append(node)
    return sum(usable[node] for node in seen) / grid.whole


def _neighbours(grid: PerformerGrid, node: tuple[int, int, int]) -> Iterator[tuple[int, int, int]]:
    s, e, f = node
    for step in (-1, 1):
        yield (s, e + step, f)
        yield (s, e, f + step)
        if grid.driven[e, f]:
            yield (s + step, e, f)
