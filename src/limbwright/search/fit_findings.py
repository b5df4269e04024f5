"""A proposal's numbers as findings: the same form as every other answer."""

import math
from collections.abc import Iterator

from limbwright.analyses.assess_results import LENGTHS_INPUT
from limbwright.core.finding import Finding, Input, judge
from limbwright.model.body import complete_body
from limbwright.model.suit import Suit
from limbwright.search.crank_lengths import MATCHING
from limbwright.search.fit_task import worst_turn
from limbwright.search.outlook import PARK_PIN
from limbwright.search.performer_grid import STEP, STEP_SWING
from limbwright.search.proposal import Outlook, Proposal

DETERMINANT = "b0 b1 b2 sin(th+c0-mu) sin(ph+c1-mu) sin(ph+c2-th), exact lengths"


def fit_findings(suit: Suit, proposal: Proposal) -> tuple[Finding, ...]:
    """What would come of a proposal, against the suit's targets."""
    return (
        *_share_findings(suit, proposal),
        *_pose_findings(suit, proposal),
        *_mark_findings(suit, proposal),
    )


def _share_findings(suit: Suit, proposal: Proposal) -> Iterator[Finding]:
    limits = complete_body(suit.active).limits
    inputs = (Input("performer's joint limits", limits.basis), LENGTHS_INPUT)
    step = f"step {math.degrees(STEP_SWING):.0f}/{math.degrees(STEP):.0f}/{math.degrees(STEP):.0f} deg"
    target = suit.targets.usable_share
    cases: tuple[tuple[str, str, Outlook | None], ...] = (
        ("share", "usable share at the lock margin, as proposed", proposal.after),
        ("share_before", "the same as it was", proposal.before),
    )
    for key, name, outlook in cases:
        judged = key == "share" and target is not None
        floors = "/".join(f"{math.degrees(s.floor):.0f}" for s in outlook.stages) if outlook else "unknown"
        yield judge(
            f"{proposal.limb}.fit.{key}",
            name,
            None if outlook is None else 100.0 * outlook.share,
            "%",
            inputs=inputs,
            limit=100.0 * target if judged and target is not None else None,
            limit_kind="at least" if judged else None,
            where=f"margin of the stages {floors} deg, {step}",
            source="usable nodes / nodes within the performer's limits, weight sin(elevation)",
        )


def _pose_findings(suit: Suit, proposal: Proposal) -> Iterator[Finding]:
    after, asked = proposal.after, suit.targets.lock_margin
    for pose in after.poses if after else ():
        key = "park_pin" if pose.name == PARK_PIN else f"margin.{pose.name}"
        yield judge(
            f"{proposal.limb}.fit.{key}",
            f"lock margin of '{pose.name}'",
            math.degrees(pose.margin),
            "deg",
            inputs=(LENGTHS_INPUT,),
            limit=None if asked is None else math.degrees(asked),
            limit_kind=None if asked is None else "at least",
            where=f"{pose.stage} stage",
            source=DETERMINANT,
        )
    if after is not None:
        yield judge(
            f"{proposal.limb}.fit.matching",
            "likely angle between the forearms, worst named pose",
            math.degrees(worst_turn(after)),
            "deg",
            inputs=(Input("+/- of the lengths", "assumed"),),
            where=f"{math.degrees(MATCHING):.0f} deg is what crank lengths are chosen for, assumed",
            source="every length at its own +/-, root sum of squares",
        )


def _mark_findings(suit: Suit, proposal: Proposal) -> Iterator[Finding]:
    body = complete_body(suit.active)
    inputs = (
        Input("performer's shoulder height", body.shoulder_up.basis),
        Input("performer's shoulder breadth", body.shoulder_out.basis),
        Input("marks", "measured"),
    )
    spread = 2e3 * max(body.shoulder_up.sd or 0.0, body.shoulder_out.sd or 0.0)
    for miss in proposal.drawn.misses if proposal.drawn else ():
        away = 1e3 * miss.away
        yield judge(
            f"{proposal.limb}.fit.mark.{miss.joint}",
            f"distance from the {miss.joint.replace('_', ' ')} mark, drawn pose",
            away,
            "mm",
            inputs=inputs,
            band=(max(away - spread, 0.0), away + spread),
            where=f"across the arm's plane {1e3 * miss.across:+.1f} mm",
            source="nearest pose of the arm to all four marks",
        )
