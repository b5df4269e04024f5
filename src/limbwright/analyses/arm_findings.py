"""The findings of one arm, from its results. Values in the units people read: mm, deg, kg, N m, %."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from limbwright.analyses.effort import AXES, Axis, Effort, PoseEffort
from limbwright.analyses.matching import Matching, matching_at
from limbwright.analyses.named_poses import NamedPose
from limbwright.analyses.reach import CAUSE_WORDS, Cause, Reach, has_stops
from limbwright.analyses.travel import Travel
from limbwright.core.estimate import weakest
from limbwright.core.finding import Finding, Input, judge
from limbwright.engine.mobility import Mobility
from limbwright.limbs.arm_masses import MassItem
from limbwright.limbs.worn_arm import WornArm
from limbwright.model.suit import Suit

LENGTHS_INPUT = Input("lengths as written, not yet measured on the build", "common practice")
DETERMINANT = "closure determinant b0 b1 b2 sin(th+c0-mu) sin(ph+c1-mu) sin(ph+c2-th), flooded from the assembled pose"
VIRTUAL_WORK = "virtual work on the closed linkage; own arm after de Leva 1996; no friction"


@dataclass(frozen=True)
class ArmResults:
    """Everything found about one arm."""

    arm: WornArm
    reach: Reach
    named: tuple[NamedPose, ...]
    matching: Matching | None
    travel: Travel | None
    effort: Effort | None
    mobility: Mobility
    items: tuple[MassItem, ...]  # what the effort rests on


def arm_findings(suit: Suit, found: ArmResults) -> tuple[Finding, ...]:
    """Every finding of one arm, in the order people read them."""
    return (
        *_range_findings(suit, found),
        *_lock_findings(suit, found),
        *_matching_findings(found),
        *_travel_findings(found),
        *_effort_findings(suit, found),
        *_mobility_findings(found),
    )


def pose_words(swing: float, elevation: float, elbow: float) -> str:
    """A pose in words a handler can set."""
    return f"swing {math.degrees(swing):.0f}, elevation {math.degrees(elevation):.0f}, elbow {math.degrees(elbow):.0f} deg"


def _key(found: ArmResults, rest: str) -> str:
    return f"{found.arm.limb}.{found.arm.side}.{rest}"


def _limits_input(found: ArmResults) -> Input:
    limits = found.arm.body.limits
    return Input("the performer's joint limits", weakest(e.basis for e in limits))


def _range_findings(suit: Suit, found: ArmResults) -> Iterator[Finding]:
    reach = found.reach
    steps = "/".join(f"{math.degrees(s):g}" for s in reach.steps)
    inputs = (_limits_input(found), LENGTHS_INPUT)
    low, high = (math.degrees(v) for v in found.arm.geometry.swing_range)
    over = f"swing {low:.0f} to {high:.0f} deg, step {steps} deg"
    target = suit.targets.usable_share
    yield judge(
        _key(found, "range.usable"), "usable share of the performer's range", 100.0 * reach.usable_share, "%",
        inputs=inputs, limit=None if target is None else 100.0 * target,
        limit_kind=None if target is None else "at least", where=over,
        source="usable nodes / nodes within the performer's limits, weight sin(elevation)",
    )  # fmt: skip
    yield judge(
        _key(found, "range.without_rotation"), "the same if the forearm could leave the arm's plane",
        100.0 * reach.share_without_rotation, "%", inputs=inputs, where=over,
        source="second flood that leaves the dictated rotation out",
    )  # fmt: skip
    for loss in reach.losses:
        name = Cause(loss.cause).name.lower()
        behind = f"; of it {100.0 * loss.behind:.1f} % cut off behind it" if loss.behind > 0.0 else ""
        yield judge(
            _key(found, f"range.lost.{name}"), f"lost: {CAUSE_WORDS[loss.cause]}",
            100.0 * (loss.at_barrier + loss.behind), "%", inputs=inputs, where=over + behind, source=DETERMINANT,
        )  # fmt: skip
    missing = [p for p in found.named if p.q is None]
    blocked = "; ".join(f"{p.name}: {p.obstacle}" for p in missing)
    yield judge(
        _key(found, "poses.taken"), "named poses the arm can take up", float(len(found.named) - len(missing)), "poses",
        inputs=inputs, limit=float(len(found.named)), limit_kind="at least",
        where=blocked or ", ".join(p.name for p in found.named),
        source="followed by continuity from the nearest usable pose of the flood",
    )  # fmt: skip


def _lock_findings(suit: Suit, found: ArmResults) -> Iterator[Finding]:
    reach, target = found.reach, suit.targets.lock_margin
    limit = None if target is None else math.degrees(target)
    kind = None if target is None else "at least"
    margins = reach.flood.margin
    usable = reach.usable
    value, band, where = None, None, "nothing is usable"
    if len(usable):
        node = int(usable[int(np.nanargmin(margins[usable]))])
        value = math.degrees(float(margins[node]))
        band = _margin_band(found, reach.poses(np.array([node])), value)
        stage = found.arm.mechanism.stage_names[int(reach.flood.stage[node])].partition(",")[0]
        where = f"{stage} stage at {pose_words(*reach.flood.driven(np.array([node]))[0])}"
        if not has_stops(found.arm):
            where += "; no stop holds it off: fit stops"
    yield judge(
        _key(found, "lock.least"), "least lock margin in the usable range", value, "deg",
        inputs=(LENGTHS_INPUT,), band=band, limit=limit, limit_kind=kind, where=where, source=DETERMINANT,
    )  # fmt: skip
    taken = [p for p in found.named if p.q is not None]
    if taken:
        least = min(taken, key=lambda p: p.margin)
        value = math.degrees(least.margin)
        assert least.q is not None
        yield judge(
            _key(found, "lock.named"), "least lock margin of the named poses", value, "deg",
            inputs=(LENGTHS_INPUT,), band=_margin_band(found, least.q[None, :], value), limit=limit, limit_kind=kind,
            where=f"{least.name}, {least.stage} stage", source=DETERMINANT,
        )  # fmt: skip
        slack = min(taken, key=lambda p: p.lever)
        yield judge(
            _key(found, "swivel.lever"), "least lever of a cuff about the swivel, named poses", 1e3 * slack.lever, "mm",
            inputs=(LENGTHS_INPUT,), where=f"{slack.name}; near 0 the arm swings with wind and lean",
            source="greatest distance of a cuff from the swivel's axis",
        )  # fmt: skip
    if target is not None:
        yield judge(
            _key(found, "range.with_margin"), f"share of the range that keeps {limit:g} deg from any lock",
            100.0 * reach.share_with_margin(target), "%", inputs=(_limits_input(found), LENGTHS_INPUT), source=DETERMINANT,
        )  # fmt: skip


def _margin_band(found: ArmResults, q: np.ndarray, value: float) -> tuple[float, float]:
    """The margin with the forearm turned by the worst length errors either way: more than any stage turns."""
    turn = math.degrees(float(matching_at(found.arm, q).stage_turn[0]))
    return (value - turn, value + turn)


def _matching_findings(found: ArmResults) -> Iterator[Finding]:
    matching = found.matching
    if matching is None:
        return
    at = matching.worst_pose
    elevation, elbow = matching.drive[at]
    unstated = [name for name, said in found.arm.geometry.stated.items() if not said]
    inputs = (
        Input(f"+/- 0.5 mm on lengths that state none ({', '.join(unstated)})", "assumed")
        if unstated
        else Input("the stated +/- of every length", "common practice"),
        LENGTHS_INPUT,
    )
    where = f"elevation {math.degrees(elevation):.0f}, elbow {math.degrees(elbow):.0f} deg; most from {matching.driver_of_worst()}"
    for key, name, value in (
        ("matching.worst", "forearms out of parallel, worst case before trimming", matching.worst[at]),
        ("matching.likely", "forearms out of parallel, root-sum-square", matching.likely[at]),
    ):
        yield judge(
            _key(found, key), name, math.degrees(float(value)), "deg", inputs=inputs, where=where,
            source="linear: dq_d = -(dc/dq_d)^+ (dc/dL) dL",
        )  # fmt: skip
    yield judge(
        _key(found, "matching.as_written"), "forearms out of parallel, lengths exactly as written",
        math.degrees(float(np.abs(matching.offset).max())), "deg", inputs=(LENGTHS_INPUT,),
        where="over the usable range; zero for exact rods, which only checks the arithmetic", source="solved poses",
    )  # fmt: skip


def _travel_findings(found: ArmResults) -> Iterator[Finding]:
    travel = found.travel
    if travel is None:
        return
    reach = found.reach
    inputs = (LENGTHS_INPUT, Input("the performer's shoulder height", found.arm.body.shoulder_up.basis), _limits_input(found))
    driven = reach.flood.driven(reach.usable)
    sd = found.arm.body.shoulder_up.sd
    rows = (
        ("hand.highest", "character's hand tip, highest above the floor", travel.highest, travel.highest_at, sd),
        ("hand.lowest", "character's hand tip, lowest above the floor", travel.lowest, travel.lowest_at, sd),
        ("hand.widest", "character's hand tip, farthest from the shoulder, level", travel.widest, travel.widest_at, None),
    )
    for key, name, value, at, spread in rows:
        band = None if spread is None else (1e3 * (value - 2.0 * spread), 1e3 * (value + 2.0 * spread))
        yield judge(
            _key(found, key), name, 1e3 * value, "mm", inputs=inputs, band=band,
            where=pose_words(*driven[at]), source="solved poses over the usable range",
        )  # fmt: skip
    for key, name, value, at in (
        ("hand.ratio_greatest", "hand speed, character to performer, greatest", travel.ratio_greatest, travel.ratio_greatest_at),
        ("hand.ratio_least", "hand speed, character to performer, least", travel.ratio_least, travel.ratio_least_at),
    ):
        where = pose_words(*driven[at]) if math.isfinite(value) else "nowhere bounded"
        yield judge(
            _key(found, key), name, value, "", inputs=inputs,
            where=f"{where}; over the {100.0 * travel.ratio_share:.0f} % of poses where it is bounded",
            source="singular values of the character hand's velocity by the performer hand's",
        )  # fmt: skip


def _effort_findings(suit: Suit, found: ArmResults) -> Iterator[Finding]:
    effort = found.effort
    if effort is None:
        return
    inputs = _mass_inputs(found.items, effort.unstated)
    for axis in AXES:
        pose = effort.worst[axis]
        where = f"worst usable pose: {pose_words(*pose.drive)}"
        yield _moment(suit, found, axis, pose, f"effort.{axis}.worst", f"holding moment, {_about(axis)}", where, inputs)
    for pose in effort.named:
        for axis in AXES:
            yield _moment(
                suit, found, axis, pose, f"effort.{axis}.{pose.name}", f"holding moment, {_about(axis)}: {pose.name}",
                pose_words(*pose.drive), inputs,
            )  # fmt: skip


def _moment(
    suit: Suit,
    found: ArmResults,
    axis: Axis,
    pose: PoseEffort,
    key: str,
    name: str,
    where: str,
    inputs: Sequence[Input],
) -> Finding:
    asked = pose.asked[axis]
    limit = getattr(suit.targets.holding_moment, axis)
    low, high = sorted(abs(end) for end in asked.band)
    if asked.band[0] < 0.0 < asked.band[1]:
        low = 0.0
    return judge(
        _key(found, key), name, abs(asked.value), "N m", inputs=inputs, band=(low, high), limit=limit,
        limit_kind=None if limit is None else "at most",
        where=f"{where}; own arm {abs(asked.own_arm):.1f} N m of it", source=VIRTUAL_WORK,
    )  # fmt: skip


def _about(axis: Axis) -> str:
    return {"swing": "swing", "shoulder": "shoulder elevation", "elbow": "elbow"}[axis]


def _mass_inputs(items: Sequence[MassItem], unstated: Sequence[str]) -> tuple[Input, ...]:
    """The masses, weakest named: without a range first, then by how much they weigh."""
    ordered = sorted(items, key=lambda i: (i.name not in unstated, -i.mass))
    return tuple(
        Input(f"mass of {i.name}" + (" (no range)" if i.name in unstated else ""), i.basis) for i in ordered
    )


def _mobility_findings(found: ArmResults) -> Iterator[Finding]:
    count = found.mobility
    rows = (
        ("mobility.counted", "mobility by the Grübler-Kutzbach count", float(count.counted)),
        ("mobility.true", "mobility by rank", float(count.true)),
        ("mobility.redundant", "redundant constraints", float(count.redundant)),
    )
    for key, name, value in rows:
        yield judge(
            _key(found, key), name, value, "", inputs=(LENGTHS_INPUT,),
            where="every rod a body on pins; redundant ones vanish only while the pins stay parallel",
            source="freedoms minus rows; freedoms minus rank of the closure Jacobian",
        )  # fmt: skip
