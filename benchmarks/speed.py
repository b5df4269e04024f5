"""Solved poses a second."""

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from benchmarks.library_loop import LibraryLoop
from benchmarks.row import Row, thousands
from benchmarks.tree import Tree, build, sweep
from limbwright.engine.closure import Poses, follow_drive
from limbwright.engine.mechanism import Mechanism
from limbwright.engine.outcome import Outcome
from limbwright.engine.statics import holding_moments, no_masses

BAR, RATIO = 500_000, 40
DEMO = Path(__file__).resolve().parents[1] / "examples" / "orchard-warden" / "suit.yaml"


def best_rates(works: list[tuple[Callable[[], object], int]], repeats: int) -> list[float]:
    """Items a second of each work, taken in turn so that all meet the same weather; best of the repeats."""
    best = [np.inf] * len(works)
    for turn in range(repeats + 1):
        for i, (work, items) in enumerate(works):
            start = time.perf_counter()
            work()
            if turn > 0:  # the first warms up
                best[i] = min(best[i], (time.perf_counter() - start) / items)
    return [1.0 / seconds for seconds in best]


def closed(poses: Poses) -> Poses:
    if np.any(poses.outcome != Outcome.CLOSED):
        raise RuntimeError("the path of the benchmark leaves the usable range")
    return poses


def rate_of(mechanism: Mechanism, drive: np.ndarray, repeats: int) -> float:
    return best_rates([(lambda: closed(follow_drive(mechanism, drive)), len(drive))], repeats)[0]


def speed_rows(poses: int, repeats: int) -> list[Row]:
    drive = sweep(poses)
    tree = build("bodies")
    loop, part = LibraryLoop(tree), drive[:2000]
    same, miss = loop.follow(part)
    here = closed(follow_drive(tree.mechanism, part))
    if np.abs(same - here.q).max() > 1e-9:
        raise RuntimeError("engine and library loop find different poses")
    rate, slow = best_rates(
        [
            (lambda: closed(follow_drive(tree.mechanism, drive)), len(drive)),
            (lambda: loop.follow(part), len(part)),
        ],
        repeats,
    )
    rows = [
        Row(
            "solved poses a second: nine pins, three point closures, rods as built",
            f">= {BAR:,}",
            f"{thousands(rate)} (miss <= {max(here.miss.max(), miss):.0e} m)",
            rate >= BAR,
        ),
        Row(
            "the same in a Python loop over Pinocchio, same residual",
            "",
            f"{thousands(slow)}",
            None,
        ),
        Row("ratio of the two, in one run", f">= {RATIO}", f"{rate / slow:.0f}", rate >= RATIO * slow),
    ]
    for what, other in (
        ("the same tree with exact rods", build("bodies", (0.0, 0.0, 0.0))),
        ("the same arm with each rod one row", build("rows")),
    ):
        rows.append(Row(what, "", thousands(rate_of(other.mechanism, drive, repeats)), None))
    rows.append(_demo_row(drive, repeats))
    rows.append(_holding_row(tree, drive, repeats))
    return rows


def _demo_row(drive: np.ndarray, repeats: int) -> Row:
    from limbwright.limbs.worn_arm import wear_arms
    from limbwright.model.body import complete_body
    from limbwright.model.suit_file import load_suit

    suit = load_suit(DEMO)
    arm = wear_arms(suit, complete_body(suit.active))[0]
    home = arm.mechanism.driven_values(arm.mechanism.assembled)
    near = home + 0.15 * (drive - drive.mean(axis=0))
    rate = rate_of(arm.mechanism, near, repeats)
    return Row("the demo suit's arm, poses a second", "", thousands(rate), None)


def _holding_row(tree: Tree, drive: np.ndarray, repeats: int) -> Row:
    masses = no_masses(tree.mechanism)
    masses.mass[1:], masses.centre[1:, 2] = 0.5, -0.1
    q = closed(follow_drive(tree.mechanism, drive)).q
    rate = best_rates([(lambda: holding_moments(tree.mechanism, masses, q), len(q))], repeats)[0]
    return Row("holding moments and forces of poses already solved, a second", "", thousands(rate), None)
