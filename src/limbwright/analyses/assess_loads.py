"""Findings on matching, hand travel, effort and mobility. Values in deg, mm, N m."""

import math
from collections.abc import Iterator, Sequence

import numpy as np

from limbwright.analyses.assess_results import LENGTHS_INPUT, ArmResults, pose_words, upright
from limbwright.analyses.effort import AXES, Axis, PoseEffort
from limbwright.analyses.matching import worst_corner
from limbwright.analyses.travel import LEAST_LEADER
from limbwright.core.finding import Finding, Input, judge
from limbwright.limbs.arm_geometry import LENGTHS, SHOP_TOLERANCE, TRIM_LEFT
from limbwright.limbs.arm_masses import MassItem
from limbwright.model.suit import Suit

BOUNDED = f"where the performer's grip moves {1e3 * LEAST_LEADER:g} mm a radian or more every way"
EXACT = 1e-6  # [deg]
ZERO = "zero for exact rods, which only checks the arithmetic"
TOO_FAR = 45.0  # [deg] past this a linear estimate says nothing
VIRTUAL_WORK = "virtual work on the closed linkage; own arm after de Leva 1996; no friction"


def matching_findings(found: ArmResults) -> Iterator[Finding]:
    """How far the two forearms go out of parallel."""
    matching = found.matching
    if matching is None:
        return
    cut = _length_inputs(found)
    trimmed = (Input(f"rods trimmed to {1e3 * TRIM_LEFT:g} mm", "common practice"), *cut)
    one, other = matching.shares, matching.trimmed_shares
    rows = [
        ("worst", "forearms out of parallel, worst case as cut", matching.worst, one, cut),
        ("likely", "the same, root-sum-square as cut", matching.likely, one, cut),
    ]
    if found.arm.geometry.trimmed:
        worst, likely = matching.trimmed_worst, matching.trimmed_likely
        rows += [
            ("trimmed", "the same, worst case once the rods are trimmed", worst, other, trimmed),
            ("trimmed_likely", "the same, root-sum-square once trimmed", likely, other, trimmed),
        ]
    for key, name, values, shares, rests_on in rows:
        at = int(np.argmax(values))
        elevation, elbow = (math.degrees(v) for v in matching.drive[at])
        most = LENGTHS[int(np.argmax(shares[at]))]
        apart = math.degrees(float(values[at]))
        beyond = "; errors this large may not close at all" if apart > TOO_FAR else ""
        if key in ("worst", "trimmed"):
            corner = worst_corner(found.arm, matching, at, trimmed=key == "trimmed")
            apart = max(apart, math.degrees(corner.offset)) if math.isfinite(corner.offset) else apart
            beyond += "; one such combination locks the arm on the way" if corner.locks else ""
        yield judge(
            found.key(f"matching.{key}"),
            name,
            apart if apart <= TOO_FAR else None,
            "deg",
            inputs=rests_on,
            where=f"elevation {elevation:.0f}, elbow {elbow:.0f} deg; most from {most}{beyond}",
            source="linear: dq_d = -(dc/dq_d)^+ (dc/dL) dL; the worst combination also solved exactly",
        )
    apart = math.degrees(float(np.abs(matching.offset).max()))
    yield judge(
        found.key("matching.as_written"),
        "forearms out of parallel, lengths exactly as written",
        apart,
        "deg",
        inputs=(LENGTHS_INPUT,),
        where=f"over the usable range; {'rods or relay as typed are not exact' if apart > EXACT else ZERO}",
        source="solved poses",
    )


def _length_inputs(found: ArmResults) -> tuple[Input, ...]:
    """What the lengths' errors rest on, where the suit leaves a +/- out and where it states them all."""
    unstated = [name for name, said in found.arm.geometry.stated.items() if not said]
    half = f"+/- {1e3 * SHOP_TOLERANCE:g} mm on lengths that state none ({', '.join(unstated)})"
    return (Input(half if unstated else "the stated +/- of every length", "common practice"), LENGTHS_INPUT)


def travel_findings(suit: Suit, found: ArmResults) -> Iterator[Finding]:
    """Where the character's hand goes, and its speed against the performer's."""
    travel = found.travel
    if travel is None:
        return
    reach = found.reach
    inputs = (
        LENGTHS_INPUT,
        Input("the performer's shoulder height", found.arm.body.shoulder_up.basis),
        found.limits_input,
    )
    driven = reach.flood.driven(reach.usable)
    tip = "character's hand tip,"
    rows = (
        ("highest", f"{tip} highest above the floor", travel.highest, travel.highest_at, True),
        ("lowest", f"{tip} lowest above the floor", travel.lowest, travel.lowest_at, True),
        ("widest", f"{tip} farthest from the shoulder, level", travel.widest, travel.widest_at, False),
    )
    for key, name, value, at, above_floor in rows:
        yield judge(
            found.key(f"hand.{key}"),
            name,
            1e3 * value,
            "mm",
            inputs=inputs,
            band=_height_band(found, value) if above_floor else None,
            where=pose_words(*driven[at]) + upright(suit),
            source="solved poses over the usable range",
        )
    speed = "hand speed, character to performer,"
    for key, name, value, at in (
        ("ratio_greatest", f"{speed} greatest", travel.ratio_greatest, travel.ratio_greatest_at),
        ("ratio_least", f"{speed} least", travel.ratio_least, travel.ratio_least_at),
    ):
        where = pose_words(*driven[at]) if math.isfinite(value) else "nowhere bounded"
        yield judge(
            found.key(f"hand.{key}"),
            name,
            value,
            "",
            inputs=inputs,
            where=f"{where}; over the {100.0 * travel.ratio_share:.0f} % of poses {BOUNDED}",
            source="singular values of the character hand's velocity by the performer hand's",
        )


def _height_band(found: ArmResults, height: float) -> tuple[float, float] | None:
    """A height give and take two standard deviations of the performer's shoulder height [mm]."""
    sd = found.arm.body.shoulder_up.sd
    return None if sd is None else (1e3 * (height - 2.0 * sd), 1e3 * (height + 2.0 * sd))


def effort_findings(suit: Suit, found: ArmResults) -> Iterator[Finding]:
    """Holding moments: the worst usable pose about each axis, then every named pose."""
    effort = found.effort
    if effort is None:
        return
    inputs = _mass_inputs(found.items, effort.unstated)
    for axis in AXES:
        pose = effort.worst[axis]
        where = f"worst usable pose: {pose_words(*pose.drive)}"
        yield _moment(
            suit, found, axis, pose, f"effort.{axis}.worst", f"holding moment, {_about(axis)}", where, inputs
        )
    for pose in effort.named:
        for axis in AXES:
            yield _moment(
                suit,
                found,
                axis,
                pose,
                f"effort.{axis}.{pose.name.replace(' ', '_')}",
                f"holding moment, {_about(axis)}: {pose.name}",
                pose_words(*pose.drive),
                inputs,
            )


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
        found.key(key),
        name,
        abs(asked.value),
        "N m",
        inputs=inputs,
        band=(low, high),
        limit=limit,
        limit_kind=None if limit is None else "at most",
        where=f"{where}; own arm {abs(asked.own_arm):.1f} N m of it",
        source=VIRTUAL_WORK,
    )


def _about(axis: Axis) -> str:
    return {"swing": "swing", "shoulder": "shoulder elevation", "elbow": "elbow"}[axis]


def _mass_inputs(items: Sequence[MassItem], unstated: Sequence[str]) -> tuple[Input, ...]:
    """The masses, weakest named: without a range first, then by how much they weigh."""
    ordered = sorted(items, key=lambda i: (i.name not in unstated, -i.mass))
    return tuple(
        Input(f"mass of {i.name}" + (" (no range)" if i.name in unstated else ""), i.basis) for i in ordered
    )


def mobility_findings(found: ArmResults) -> Iterator[Finding]:
    """Mobility counted two ways."""
    count = found.mobility
    rows = (
        ("mobility.counted", "mobility by the Grübler-Kutzbach count", float(count.counted)),
        ("mobility.true", "mobility by rank", float(count.true)),
        ("mobility.redundant", "redundant constraints", float(count.redundant)),
    )
    for key, name, value in rows:
        yield judge(
            found.key(key),
            name,
            value,
            "",
            inputs=(LENGTHS_INPUT,),
            where="every rod a body on pins; redundant ones vanish only while the pins stay parallel",
            source="freedoms minus rows; freedoms minus rank of the closure Jacobian",
        )
