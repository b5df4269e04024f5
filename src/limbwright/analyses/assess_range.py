"""Findings on range and lock-up. Values in the units people read: deg, mm, %."""

import math
from collections.abc import Iterator

import numpy as np

from limbwright.analyses.assess_results import DETERMINANT, LENGTHS_INPUT, ArmResults, pose_words
from limbwright.analyses.matching import margin_spread
from limbwright.analyses.reach import CAUSE_WORDS, Cause
from limbwright.core.finding import Finding, Input, judge
from limbwright.engine.closure import stage_angles
from limbwright.model.suit import Suit

# without a target nothing says how near is near enough, so even a good margin is no pass
NO_LOCK_TARGET = Input("no lock margin target is set", "assumed")
SPREAD = "root-sum-square of the lengths' +/-, linear; the worst combination goes about twice as far"


def range_findings(suit: Suit, found: ArmResults) -> Iterator[Finding]:
    """What the arm keeps of the performer's range, and what takes the rest."""
    reach = found.reach
    steps = "/".join(f"{math.degrees(s):g}" for s in reach.steps)
    inputs = (found.limits_input, LENGTHS_INPUT)
    low, high = (math.degrees(v) for v in found.arm.geometry.swing_range)
    over = f"swing {low:.0f} to {high:.0f} deg, step {steps} deg"
    target = suit.targets.usable_share
    yield judge(
        found.key("range.usable"),
        "usable share of the performer's range",
        100.0 * reach.usable_share,
        "%",
        inputs=inputs,
        band=(100.0 * reach.share_band[0], 100.0 * reach.share_band[1]),
        limit=None if target is None else 100.0 * target,
        limit_kind=None if target is None else "at least",
        where=over,
        source="usable nodes / nodes within the performer's limits, weight sin(elevation)",
    )
    yield judge(
        found.key("range.without_rotation"),
        "the same if the forearm could leave the arm's plane",
        100.0 * reach.share_without_rotation,
        "%",
        inputs=inputs,
        where=over,
        source="second flood that leaves the dictated rotation out",
    )
    for loss in reach.losses:
        name = Cause(loss.cause).name.lower()
        behind = f"; of it {100.0 * loss.behind:.1f} % cut off behind it" if loss.behind > 0.0 else ""
        yield judge(
            found.key(f"range.lost.{name}"),
            f"lost: {CAUSE_WORDS[loss.cause]}",
            100.0 * (loss.at_barrier + loss.behind),
            "%",
            inputs=inputs,
            where=over + behind,
            source=DETERMINANT,
        )
    missing = [p for p in found.named if p.q is None]
    blocked = "; ".join(f"{p.name}: {p.obstacle}" for p in missing)
    yield judge(
        found.key("poses.taken"),
        "named poses the arm can take up",
        float(len(found.named) - len(missing)),
        "poses",
        inputs=inputs,
        limit=float(len(found.named)),
        limit_kind="at least",
        where=blocked or ", ".join(p.name for p in found.named),
        source="followed by continuity from the nearest usable pose of the flood",
    )


def lock_findings(suit: Suit, found: ArmResults) -> Iterator[Finding]:
    """How near the arm comes to a lock."""
    target = suit.targets.lock_margin
    limit = None if target is None else round(math.degrees(target), 9)
    yield _least_lock(found, limit)
    yield from _named_locks(found, limit)
    if target is not None:
        yield judge(
            found.key("range.with_margin"),
            f"share of the range that keeps {limit:g} deg from any lock",
            100.0 * found.reach.share_with_margin(target),
            "%",
            inputs=(found.limits_input, LENGTHS_INPUT),
            source=DETERMINANT,
        )


def _least_lock(found: ArmResults, limit: float | None) -> Finding:
    """How near the arm comes to a lock anywhere in its usable range."""
    least = found.least
    value, band, where = None, None, "nothing is usable"
    if least is not None:
        value = round(math.degrees(least.value), 9)
        band = (math.degrees(least.band[0]), math.degrees(least.band[1]))
        where = f"{least.stage} stage by {pose_words(*least.drive)}"
        where += f"; {least.why}" if least.why else ""
    return judge(
        found.key("lock.least"),
        "least lock margin in the usable range",
        value,
        "deg",
        inputs=(LENGTHS_INPUT,) if limit is not None else (NO_LOCK_TARGET,),
        band=band,
        limit=0.0 if limit is None else limit,
        limit_kind="at least",
        where=where,
        source=f"{DETERMINANT}; band: {SPREAD}",
    )


def _named_locks(found: ArmResults, limit: float | None) -> Iterator[Finding]:
    """The named pose nearest to a lock, and the one with the least lever about the swivel."""
    taken = [(p, p.q) for p in found.named if p.q is not None]
    if not taken:
        return
    least, q = min(taken, key=lambda one: one[0].margin)
    value = round(math.degrees(least.margin), 6)  # so that a pose on its stop stands on it
    yield judge(
        found.key("lock.named"),
        "least lock margin of the named poses",
        value,
        "deg",
        inputs=(LENGTHS_INPUT,),
        band=_margin_band(found, q, value),
        limit=limit,
        limit_kind=None if limit is None else "at least",
        where=f"{least.name}, {least.stage} stage",
        source=f"{DETERMINANT}; band: {SPREAD}",
    )
    slack = min((p for p, _ in taken), key=lambda p: p.lever)
    yield judge(
        found.key("swivel.lever"),
        "least lever of a cuff about the swivel, named poses",
        1e3 * slack.lever,
        "mm",
        inputs=(LENGTHS_INPUT,),
        where=f"{slack.name}; near 0 the arm swings with wind and lean",
        source="greatest distance of a cuff from the swivel's axis",
    )


def _margin_band(found: ArmResults, q: np.ndarray, value: float) -> tuple[float, float]:
    """The margin give and take what length errors move it by, of the stage they move most."""
    angles = stage_angles(found.arm.mechanism, q)
    spread = margin_spread(found.arm, q[None, :])[0]
    return (
        math.degrees(float((angles - spread).min())),
        value + math.degrees(float(spread[int(angles.argmin())])),
    )
