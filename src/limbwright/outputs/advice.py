"""What to do first about a finding that does not hold."""

from collections.abc import Sequence
from typing import Final

from limbwright.core.finding import SEVERITY, Finding

# By the start of what follows limb and side in a finding's key; the longest match counts.
_FALLS_SHORT: Final = {
    "range.usable": "see in the rows below what it is lost to; `limbwright fit` proposes crank angles",
    "poses.taken": "change the poses named there, or measure the performer's own limits and write them down",
    "lock.least": "widen that stage's stops so that the arm never comes so near, or turn its crank angle",
    "lock.named": "turn that stage's crank angle (`limbwright fit` proposes one), or ease the pose",
    "effort": "take mass off the far end first (hand, then forearm), or shorten the character's arm",
    "suit.mass": "lighten the heaviest items first",
}
_UNKNOWN: Final = {
    "lock": "state tighter lengths and trim the rods: the band from the lengths' +/- crosses the limit",
    "effort": "weigh the parts: the band from their masses crosses the limit",
    "suit.mass": "weigh the parts: the band from their masses crosses the limit",
}
_OTHERWISE: Final = "measure what it rests on: {weakest}"


def rest_of(finding: Finding) -> str:
    """A finding's key without limb and side; keys of the whole suit stay as they are."""
    first, *rest = finding.key.split(".")
    if first == "suit" or not rest:
        return finding.key
    return ".".join(rest[1:] if rest[0] in ("right", "left") and len(rest) > 1 else rest)


def worst_finding(findings: Sequence[Finding]) -> Finding | None:
    """The one to mend first: falls short before unknown, then by margin as a share of the limit."""
    judged = [f for f in findings if f.verdict in ("falls short", "unknown")]
    return min(judged, key=_urgency, default=None)


def advice_for(finding: Finding) -> str:
    """One sentence a builder can act on."""
    table = _FALLS_SHORT if finding.verdict == "falls short" else _UNKNOWN
    if finding.value is None and finding.verdict == "unknown":
        table = {}
    key = rest_of(finding)
    known = [start for start in table if key == start or key.startswith(f"{start}.")]
    sentence = table[max(known, key=len)] if known else _OTHERWISE
    return sentence.format(weakest=finding.weakest_input)


def _urgency(finding: Finding) -> tuple[int, float]:
    rank = SEVERITY.index(finding.verdict) if finding.verdict else 0
    share = (finding.margin or 0.0) / max(abs(finding.limit or 0.0), 1e-12)
    return (-rank, share)
