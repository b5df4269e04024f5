"""Runs every analysis of a suit and gathers the findings: the one answer that all doors show."""

import hashlib
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from limbwright import __version__
from limbwright.analyses.assess_loads import (
    effort_findings,
    matching_findings,
    mobility_findings,
    travel_findings,
)
from limbwright.analyses.assess_range import lock_findings, range_findings
from limbwright.analyses.assess_results import ArmResults, upright
from limbwright.analyses.effort import effort_over
from limbwright.analyses.least_lock import least_lock
from limbwright.analyses.linkage_count import count_linkage
from limbwright.analyses.mass_budget import MassBudget, weigh
from limbwright.analyses.matching import matching_over
from limbwright.analyses.named_poses import take_up_poses
from limbwright.analyses.reach import Cause, sweep_reach
from limbwright.analyses.travel import hand_travel
from limbwright.core.finding import Finding, Input, Verdict, judge, worst
from limbwright.limbs.arm_masses import arm_items, own_arm_items
from limbwright.limbs.worn_arm import WornArm, wear_arms
from limbwright.model.body import Body, complete_body
from limbwright.model.suit import Suit

Progress = Callable[[int, int], None]
SAME = 1e-6  # relative; findings of two sides closer than this are shown once


@dataclass(frozen=True)
class Assessment:
    """Everything that `check` found."""

    suit: Suit
    body: Body
    findings: tuple[Finding, ...]
    verdict: Verdict
    notes: tuple[str, ...]
    arms: tuple[ArmResults, ...]
    budget: MassBudget
    poses_solved: int  # poses of the sweep that were settled, all arms
    run_id: str  # of the suit file's bytes and this version; the same input gives the same id


def assess(suit: Suit, *, progress: Progress | None = None) -> Assessment:
    """Check a suit against its targets.

    Args:
        progress: called with (poses settled, poses asked for) over all arms; may raise to cancel.

    Raises:
        SuitError: the suit cannot be assembled, or still has fields to be fitted.
    """
    body = complete_body(suit.active)
    arms = wear_arms(suit, body)
    results = tuple(
        _assess_arm(suit, arm, _part_of(progress, number, len(arms))) for number, arm in enumerate(arms)
    )
    budget = weigh(suit, arms)
    findings = (*_measure_findings(body), *_merge_sides(suit, results), *_mass_findings(suit, budget))
    return Assessment(
        suit=suit,
        body=body,
        findings=findings,
        verdict=worst(findings),
        notes=(*body.warnings, *_off_axis_notes(suit)),
        arms=results,
        budget=budget,
        poses_solved=sum(len(r.reach.cause) for r in results),
        run_id=_run_id(suit),
    )


def _assess_arm(suit: Suit, arm: WornArm, progress: Progress | None) -> ArmResults:
    steps = (suit.sweep.swing, suit.sweep.elevation, suit.sweep.elbow)
    reach = sweep_reach(arm, steps, progress)
    q = reach.poses(reach.usable)
    named = take_up_poses(suit, arm, reach.flood, reach.cause == Cause.USABLE)
    return ArmResults(
        arm=arm,
        reach=reach,
        least=least_lock(reach),
        named=named,
        matching=matching_over(arm, q) if len(q) else None,
        travel=hand_travel(arm, q),
        effort=effort_over(suit, arm, q, {p.name: p.q for p in named if p.q is not None}),
        mobility=count_linkage(arm),
        items=(*arm_items(suit, arm), *own_arm_items(arm)),
    )


def arm_findings(suit: Suit, found: ArmResults) -> tuple[Finding, ...]:
    """Every finding of one arm, in the order people read them."""
    return (
        *range_findings(suit, found),
        *lock_findings(suit, found),
        *matching_findings(found),
        *travel_findings(suit, found),
        *effort_findings(suit, found),
        *mobility_findings(found),
    )


def _merge_sides(suit: Suit, results: Sequence[ArmResults]) -> tuple[Finding, ...]:
    """Findings of every arm; what is the same on both sides is shown once."""
    merged: list[Finding] = []
    for limb in suit.limbs:
        sides = [r for r in results if r.arm.limb == limb]
        lists = [arm_findings(suit, r) for r in sides]
        by_rest = [{f.key.split(".", 2)[2]: f for f in found} for found in lists]
        order = list(dict.fromkeys(rest for found in by_rest for rest in found))
        for rest in order:
            ones = [found[rest] for found in by_rest if rest in found]
            if len(ones) == len(sides) > 1 and _same(ones):
                merged.append(
                    replace(ones[0], key=f"{limb}.{rest}", where=_also(ones[0].where, "both sides"))
                )
            else:
                merged += [
                    replace(f, name=f"{f.name} ({r.arm.side})" if len(sides) > 1 else f.name)
                    for r, found in zip(sides, by_rest, strict=True)
                    for f in [found.get(rest)]
                    if f is not None
                ]
    return tuple(merged)


def _also(where: str, more: str) -> str:
    return f"{where}; {more}" if where else more


def _same(findings: Sequence[Finding]) -> bool:
    first = findings[0]
    for other in findings[1:]:
        if (first.value is None) != (other.value is None) or first.verdict != other.verdict:
            return False
        pairs = [(first.value, other.value), *zip(first.band or (), other.band or (), strict=False)]
        for a, b in pairs:
            if a is not None and b is not None and abs(a - b) > SAME * max(abs(a), abs(b), 1.0):
                return False
    return True


def _measure_findings(body: Body) -> tuple[Finding, ...]:
    """Measures that cannot belong to one body: nothing that rests on them may pass."""
    if not body.warnings:
        return ()
    return (
        judge(
            "performer.measures",
            "tape measures that do not fit the others",
            float(len(body.warnings)),
            "measures",
            inputs=(Input("the tape sheet", "measured"),),
            limit=0.0,
            limit_kind="at most",
            where=f"measure again: {body.warnings[0]}",
            source="more than 4 standard deviations from what the others let one expect, ANSUR II",
        ),
    )


def _off_axis_notes(suit: Suit) -> tuple[str, ...]:
    """What is not worked out when a swivel stands off the performer's shoulder."""
    notes: list[str] = []
    for name, limb in suit.limbs.items():
        swivel = limb.swivel
        off = math.dist((swivel.out, swivel.forward, swivel.up), (0.0, 0.0, 0.0))
        if off > 0.0:
            slip = 2e3 * off * math.sin(math.radians(45.0))
            notes.append(
                f"{name}: the swivel stands {1e3 * off:.0f} mm off the shoulder's centre; the cuffs slip "
                f"about {slip:.0f} mm over 90 deg (2 e sin(p/2)), which range and moments here leave out"
            )
    return tuple(notes)


def _mass_findings(suit: Suit, budget: MassBudget) -> tuple[Finding, ...]:
    limit = suit.targets.suit_mass
    ordered = sorted(budget.items, key=lambda i: -i.mass)
    inputs = tuple(Input(f"mass of {i.name}", i.basis) for i in ordered)
    band = budget.band
    left_out = f"; +/- 30 % assumed, no range stated: {', '.join(budget.unstated)}" if budget.unstated else ""
    low, high = budget.height_band
    forward, left, up = (1e3 * float(v) for v in budget.centre)
    return (
        judge(
            "suit.mass",
            "suit mass without the performer",
            budget.total,
            "kg",
            inputs=inputs,
            band=band,
            limit=limit,
            limit_kind=None if limit is None else "at most",
            where=f"{len(budget.items)} items; heaviest: {ordered[0].name}{left_out}",
            source="sum of parts",
        ),
        judge(
            "suit.centre.up",
            "centre of the suit's mass above the floor",
            up,
            "mm",
            inputs=inputs,
            band=(1e3 * low, 1e3 * high),
            where=f"assembled pose; {forward:+.0f} mm forward, {left:+.0f} mm to the left{upright(suit)}",
            source="sum of parts",
        ),
    )


def _part_of(progress: Progress | None, number: int, count: int) -> Progress | None:
    """One arm's progress as a share of the whole; a node that is cut off still counts at the end."""
    if progress is None:
        return None

    def told(done: int, whole: int) -> None:
        progress(number * whole + done, count * whole)

    return told


def _run_id(suit: Suit) -> str:
    """Twelve hex digits of the suit and the version; of its values where it was read from no file."""
    content = suit.path.read_bytes() if suit.path.is_file() else repr(suit).encode()
    return hashlib.sha256(content + __version__.encode()).hexdigest()[:12]
