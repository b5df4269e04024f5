"""Which poses of an assessed suit are worth a picture, and what is said about each."""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from limbwright.analyses.assess import Assessment
from limbwright.analyses.assess_results import ArmResults, pose_words
from limbwright.core.finding import Finding
from limbwright.engine.closure import stage_angles
from limbwright.outputs.advice import rest_of
from limbwright.outputs.finding_words import band_words, limit_words, value_words
from limbwright.outputs.findings_table import SIGNS

Drive = tuple[float, float, float]  # swing, elevation, elbow [rad]


class ArmShown(NamedTuple):
    """One arm in the pose: coordinates, and the stage that locks first with its margin [rad]."""

    result: ArmResults
    q: np.ndarray
    stage: str
    margin: float


class PoseShown(NamedTuple):
    """A pose to draw, with the arms that can take it up and the lines of its caption."""

    title: str
    arms: tuple[ArmShown, ...]
    says: tuple[tuple[str, str], ...]


def poses_to_show(found: Assessment) -> tuple[PoseShown, ...]:
    """The usable poses nearest to a lock and heaviest to hold, then the named poses that are reached."""
    return (*_nearest_to_lock(found), *_most_effort(found), *_named(found))


def _named(found: Assessment) -> Iterator[PoseShown]:
    for number, first in enumerate(found.arms[0].named if found.arms else ()):
        name = first.name
        arms: list[ArmShown] = []
        says: list[tuple[str, str]] = []
        for result in found.arms:
            pose = result.named[number]
            if pose.q is None:
                says.append((f"{result.arm.label}: not drawn", pose.obstacle))
            else:
                arms.append(ArmShown(result, pose.q, pose.stage, pose.margin))
        if arms:
            drive = found.arms[0].named[number].drive
            yield PoseShown(name, tuple(arms), ((pose_words(*drive), ""), *says, *_about(found, arms, name)))


def _nearest_to_lock(found: Assessment) -> Iterator[PoseShown]:
    """The pose that the finding on the least lock margin names, on every arm that shares it."""
    known = [(result, result.least) for result in found.arms if result.least is not None]
    if not known:
        return
    _, nearest = min(known, key=lambda one: round(one[1].value, 9))
    arms = tuple(
        ArmShown(result, least.q, least.stage, float(stage_angles(result.arm.mechanism, least.q).min()))
        for result, least in known
        if np.allclose(least.drive, nearest.drive, atol=1e-6)
    )
    says = (finding_words(found, f) for f in found.findings if rest_of(f) == "lock.least")
    yield PoseShown("nearest to a lock", arms, ((pose_words(*nearest.drive), ""), *says))


def _most_effort(found: Assessment) -> Iterator[PoseShown]:
    """The usable pose that asks most of a shoulder."""
    worst = [r.effort.worst["shoulder"] for r in found.arms if r.effort is not None]
    if worst:
        pose = max(worst, key=lambda p: abs(p.asked["shoulder"].value))
        yield _at_node(found, "most effort", pose.drive, "effort.shoulder.worst")


def _at_node(found: Assessment, title: str, drive: Drive, key: str) -> PoseShown:
    """Every arm that can take up a pose of the sweep, and the findings about it."""
    arms: list[ArmShown] = []
    for result in found.arms:
        usable = result.reach.usable
        if not len(usable):
            continue
        away = np.abs(result.reach.flood.driven(usable) - np.array(drive)).max(axis=1)
        if float(away.min()) < 1e-6:
            node = int(usable[int(away.argmin())])
            flood = result.reach.flood
            stage = result.arm.mechanism.stage_names[int(flood.stage[node])].partition(",")[0]
            q = result.reach.poses(np.array([node]))[0]
            arms.append(ArmShown(result, q, stage, float(flood.margin[node])))
    says = (finding_words(found, f) for f in found.findings if rest_of(f) == key)
    return PoseShown(title, tuple(arms), ((pose_words(*drive), ""), *says))


def _about(found: Assessment, arms: Sequence[ArmShown], name: str) -> Iterator[tuple[str, str]]:
    """Margins of each arm, then the findings of this pose; sides that agree are told once."""
    told = [f"{math.degrees(a.margin):.1f} deg to the nearest lock, {a.stage} stage" for a in arms]
    for number, words in enumerate(told):
        if words in told[:number]:
            continue
        sides = "" if told.count(words) == len(told) else f"{arms[number].result.arm.side}: "
        yield f"{sides}{words}", "from lengths as written; no estimate of a band here"
    for finding in found.findings:
        parts = rest_of(finding).split(".")
        if parts[0] == "effort" and parts[-1] == name.replace(" ", "_") and parts[1] != "swing":
            yield finding_words(found, finding, name)


def finding_words(found: Assessment, finding: Finding, pose: str = "") -> tuple[str, str]:
    """A finding in two lines: its name without the pose's, then value, band, limit, verdict, basis."""
    units = found.suit.show
    said = [value_words(finding, units), band_words(finding, units)]
    if finding.verdict is not None:
        said += [limit_words(finding, units), f"{SIGNS[finding.verdict]} {finding.verdict}"]
    return finding.name.replace(f": {pose}", "") if pose else finding.name, "; ".join((*said, finding.basis))
