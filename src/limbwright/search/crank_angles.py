"""Crank angles that put the change points where the named poses never go.

An exact arm locks where th + c0 - mu, ph + c1 - mu or ph + c2 - th is a whole number of half turns,
so each crank angle gives its stage one window of 180 deg: in elevation, in elevation + elbow, and in
the elbow. The windows are chosen together; the order of wishes is written at `choose_angles`.
A crank turned by half a turn locks at the same poses: of the two, the one along its link is meant.
"""

import math
from typing import NamedTuple

import numpy as np
from jaxtyping import Bool, Float, Int

from limbwright.search.performer_grid import SLACK, PerformerGrid, Windows

HALF_TURN = math.pi
SHARE_SLACK = 0.005  # of the performer's range: less than the grid can tell
LEAST_USEFUL = math.radians(1.0)
TRIES = 12  # how many choices are looked at for whether their range hangs together


class Demand(NamedTuple):
    """Poses every stage has to serve; the first is the assembled one."""

    names: tuple[str, ...]
    swing: float  # of the assembled pose [rad]
    elevation: Float[np.ndarray, " pose"]
    elbow: Float[np.ndarray, " pose"]

    @property
    def places(self) -> Float[np.ndarray, "pose 3"]:
        """What each stage sees of a pose: elevation, elevation + elbow, elbow [rad]."""
        return np.stack([self.elevation, self.elevation + self.elbow, self.elbow], axis=-1)

    @property
    def start(self) -> tuple[float, float, float]:
        """Swing, elevation and elbow of the assembled pose [rad]."""
        return (self.swing, float(self.elevation[0]), float(self.elbow[0]))


class Options(NamedTuple):
    """Crank angles open to one stage."""

    angle: Float[np.ndarray, " c"]  # [rad]
    low: Float[np.ndarray, " c"]  # the lock below the assembled pose; the other is half a turn up [rad]
    margin: Float[np.ndarray, "c pose"]  # signed: negative beyond a lock [rad]
    floor: float  # margin asked of every pose, lowered where the poses cannot have it [rad]

    def only(self, keep: Bool[np.ndarray, " c"], floor: float) -> "Options":
        """Those to keep."""
        return Options(self.angle[keep], self.low[keep], self.margin[keep], floor)

    @property
    def least(self) -> Float[np.ndarray, " c"]:
        """Least margin among the poses that an option serves."""
        return np.where(self.margin > 0.0, self.margin, np.inf).min(axis=1)


class Choice(NamedTuple):
    """Crank angles and what they give."""

    angles: tuple[float, float, float]  # shoulder, forearm, relay [rad]
    lows: tuple[float, float, float]  # lower lock in the stage's own coordinate [rad]
    floors: tuple[float, float, float]  # margin at which the share is reckoned [rad]
    share: float


def low_locks(
    angle: Float[np.ndarray, " c"], mast_angle: float, stage: int, at: float
) -> Float[np.ndarray, " c"]:
    """The lock at or below a place `at`, for crank angles of a stage (0 shoulder, 1 forearm, 2 relay)."""
    lock = (mast_angle if stage < 2 else 0.0) - angle
    return lock + HALF_TURN * np.floor((at - lock) / HALF_TURN)


def pose_margins(
    low: Float[np.ndarray, " c"], places: Float[np.ndarray, " pose"]
) -> Float[np.ndarray, "c pose"]:
    """Signed angle of each pose from the nearer lock of a window [rad]."""
    above = places[None, :] - low[:, None]
    return np.minimum(above, HALF_TURN - above)


def stage_options(
    demand: Demand, mast_angle: float, stage: int, written: float | None, floor: float, stop: float
) -> Options:
    """The crank angles a stage may have: whole degrees that serve its poses best, or the one written.

    All poses at the floor if that can be; else all as far from the locks as can be; else, where one
    window cannot hold them all, as many as can be at the floor.
    """
    whole = np.arange(-89.0, 91.0)
    angle = np.radians(whole) if written is None else np.array([written])
    places = demand.places[:, stage]
    low = low_locks(angle, mast_angle, stage, float(places[0]))
    options = Options(angle, low, pose_margins(low, places), floor)
    served = options.margin >= floor - SLACK
    every = np.asarray(served.all(axis=1), dtype=np.bool_)
    if np.any(every):
        return options.only(every, floor)
    least = options.margin.min(axis=1)
    best = float(least.max())
    keep = np.asarray(least >= best - SLACK, dtype=np.bool_)
    if best < max(stop, LEAST_USEFUL):
        keep = served[:, 0] if np.any(served[:, 0]) else np.ones(len(angle), dtype=np.bool_)
        count = np.where(keep, served.sum(axis=1), -1)
        keep &= count == count.max()
    own = float(options.margin[keep, 0].min())
    return options.only(keep, max(min(floor, own), 0.0))


def choose_angles(grid: PerformerGrid, demand: Demand, stages: tuple[Options, Options, Options]) -> Choice:
    """The best three among each stage's options.

    First come the poses, which `stage_options` has seen to. Then the share of the performer's range
    that keeps the floors and hangs together; among choices within half a per cent of the best one,
    the greatest least margin of the poses; then the share again, and the smallest angles.
    """
    shares = _all_shares(grid.connected_to(demand.start), stages)
    best = _best_connected(grid, demand, stages, shares)
    picks = np.argwhere(shares >= best - SHARE_SLACK)
    ranked = _by_preference(picks, shares, stages)
    choice: Choice | None = None
    for pick in ranked[:TRIES]:
        found = _choice(grid, demand, stages, pick)
        if choice is None or found.share > choice.share:
            choice = found
        if found.share >= best - SHARE_SLACK:
            return found
    if choice is None:
        raise AssertionError("every stage has at least one option")
    return choice


def windows_of(lows: tuple[float, float, float], floors: tuple[float, float, float]) -> Windows:
    """Usable places of the three stages [rad], given lower locks and margins."""
    return np.array([(low + m, low + HALF_TURN - m) for low, m in zip(lows, floors, strict=True)])


def _choice(
    grid: PerformerGrid,
    demand: Demand,
    stages: tuple[Options, Options, Options],
    pick: Int[np.ndarray, " 3"],
) -> Choice:
    a, b, c = (float(s.angle[i]) for s, i in zip(stages, pick, strict=True))
    x, y, z = (float(s.low[i]) for s, i in zip(stages, pick, strict=True))
    floors = (stages[0].floor, stages[1].floor, stages[2].floor)
    share = grid.connected_share(windows_of((x, y, z), floors), demand.start)
    return Choice((a, b, c), (x, y, z), floors, share)


def _all_shares(grid: PerformerGrid, stages: tuple[Options, Options, Options]) -> Float[np.ndarray, "a b c"]:
    """Share of every combination, connected or not, by sums over elevation and elbow taken once."""
    e, f = len(grid.elevation), len(grid.elbow)
    first, last = _span(grid.elevation, stages[0])
    both = grid.step * np.arange(e + f - 1)
    fore_first, fore_last = _span(both, stages[1])
    near, far = _span(grid.elbow, stages[2])
    column = np.arange(f)
    start = np.maximum(first[:, None, None], fore_first[None, :, None] - column).clip(0, e)
    end = np.minimum(last[:, None, None], fore_last[None, :, None] - column).clip(0, e)
    upto = np.zeros((f, e + 1))
    upto[:, 1:] = grid.weight.T.cumsum(axis=1)
    strips = upto[column, np.maximum(end, start)] - upto[column, start]
    sums = np.zeros((*strips.shape[:2], f + 1))
    np.cumsum(strips, axis=2, out=sums[:, :, 1:])
    return (sums[:, :, far] - sums[:, :, near]) / grid.whole


def _span(axis: Float[np.ndarray, " n"], options: Options) -> tuple[np.ndarray, np.ndarray]:
    """First node inside each option's window and the one after the last."""
    first = np.searchsorted(axis, options.low + options.floor - SLACK, side="left")
    last = np.searchsorted(axis, options.low + HALF_TURN - options.floor + SLACK, side="right")
    return first, np.maximum(last, first)


def _best_connected(
    grid: PerformerGrid,
    demand: Demand,
    stages: tuple[Options, Options, Options],
    shares: Float[np.ndarray, "a b c"],
) -> float:
    """The greatest share that hangs together: from the greatest down until none can beat it."""
    order = np.argsort(-np.round(shares, 9), axis=None, kind="stable")[:TRIES]
    best = 0.0
    for flat in order:
        if shares.flat[flat] <= best + SLACK:
            break
        pick = np.array(np.unravel_index(int(flat), shares.shape))
        best = max(best, _choice(grid, demand, stages, pick).share)
    return best


def _by_preference(
    picks: Int[np.ndarray, "n 3"],
    shares: Float[np.ndarray, "a b c"],
    stages: tuple[Options, Options, Options],
) -> Int[np.ndarray, "n 3"]:
    least = np.stack([s.least[picks[:, k]] for k, s in enumerate(stages)], axis=-1)
    angle = np.stack([s.angle[picks[:, k]] for k, s in enumerate(stages)], axis=-1)
    keys: list[Float[np.ndarray, " n"]] = [
        *(angle[:, k] for k in (2, 1, 0)),
        np.round(np.abs(angle).sum(axis=1), 9),
        -np.round(least.sum(axis=1), 9),
        -np.round(shares[tuple(picks.T)], 9),
        -np.round(least.min(axis=1), 9),
    ]
    return picks[np.lexsort(keys)]
