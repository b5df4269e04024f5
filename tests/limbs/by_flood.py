"""A second flood, in plain NumPy over the closed form (`by_trig`): no solver, no kernels.

It follows design section 5: nodes of a grid of swing, elevation and elbow; an edge counts if both ends and
its middle keep every stage on its side and off its floor; what hangs together with the start is reached.
"""

from collections.abc import Callable, Sequence

import numpy as np

from limbwright.limbs.parallel_arm import Drive

Sines = Callable[[np.ndarray, np.ndarray], np.ndarray]  # (elevation, elbow) to signed sines of every stage


def sound(sines: Sines, floor: np.ndarray, elevation: np.ndarray, elbow: np.ndarray) -> np.ndarray:
    """Whether every stage keeps its floor [rad] on its own side; False where a loop cannot close."""
    with np.errstate(invalid="ignore"):
        angles = np.arcsin(np.clip(sines(elevation, elbow), -1.0, 1.0))
        return np.all(angles >= floor - 1e-9, axis=-1)


def reached(
    axes: Sequence[np.ndarray],
    home: Drive,
    sines: Sines,
    floor: np.ndarray,
    allowed: np.ndarray,
    tied: np.ndarray | None = None,
) -> np.ndarray:
    """Nodes reached from the sound, allowed one nearest to `home`; no swing edges between tied nodes."""
    swing, elevation, elbow = np.meshgrid(*axes, indexing="ij")
    shape = swing.shape
    nodes = sound(sines, floor, elevation, elbow) & allowed.reshape(shape)
    loose = np.ones(shape, dtype=bool) if tied is None else ~tied.reshape(shape)
    edges = []
    for axis in range(3):
        low, high = _sides(axis)
        middle = sound(
            sines, floor, 0.5 * (elevation[low] + elevation[high]), 0.5 * (elbow[low] + elbow[high])
        )
        edge = nodes[low] & nodes[high] & middle
        edges.append(edge & (loose[low] | loose[high]) if axis == 0 else edge)
    away = np.sqrt((swing - home.swing) ** 2 + (elevation - home.elevation) ** 2 + (elbow - home.elbow) ** 2)
    away[~nodes] = np.inf
    found = np.zeros(shape, dtype=bool)
    if not nodes.any():
        return found.ravel()
    found[np.unravel_index(np.argmin(away), shape)] = True
    while True:
        before = found.sum()
        for axis, edge in enumerate(edges):
            low, high = _sides(axis)
            found[high] |= found[low] & edge
            found[low] |= found[high] & edge
        if found.sum() == before:
            return found.ravel()


def _sides(axis: int) -> tuple[tuple[slice, ...], tuple[slice, ...]]:
    """Both ends of every edge along an axis, as index expressions."""
    low, high = [slice(None)] * 3, [slice(None)] * 3
    low[axis], high[axis] = slice(0, -1), slice(1, None)
    return tuple(low), tuple(high)


def neighbours(node: int, shape: tuple[int, ...]) -> list[int]:
    """Flat numbers of the nodes beside a node."""
    at = np.unravel_index(node, shape)
    found = []
    for axis in range(len(shape)):
        for step in (-1, 1):
            other = list(at)
            other[axis] += step
            if 0 <= other[axis] < shape[axis]:
                found.append(int(np.ravel_multi_index(other, shape)))
    return found


def nearest_kinds(shape: tuple[int, ...], labels: np.ndarray, through: np.ndarray) -> list[set[int]]:
    """For every node of `through`, the labels (0 or more) that lie nearest, walking through such nodes only.

    Breadth first, one label at a time, so ties keep every label.
    """
    distance = {int(k): np.full(labels.size, np.inf) for k in np.unique(labels[labels >= 0])}
    for kind, far in distance.items():
        ring = [int(n) for n in np.flatnonzero(labels == kind)]
        for n in ring:
            far[n] = 0
        while ring:
            fresh: list[int] = []
            for n in ring:
                for other in neighbours(n, shape):
                    if through[other] and far[other] == np.inf:
                        far[other] = far[n] + 1
                        fresh.append(other)
            ring = fresh
    found: list[set[int]] = []
    for n in range(labels.size):
        if not through[n] or not distance:
            found.append(set())
            continue
        least = min(far[n] for far in distance.values())
        found.append({k for k, far in distance.items() if far[n] == least} if np.isfinite(least) else set())
    return found
