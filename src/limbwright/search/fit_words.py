"""Why each value is proposed, and what the shop should know."""

import math
from typing import NamedTuple

from limbwright.core.estimate import Basis, weakest
from limbwright.limbs.arm_geometry import direction
from limbwright.model.limb import STAGES
from limbwright.model.quantity import Toleranced
from limbwright.search.arm_fields import relay_place
from limbwright.search.crank_lengths import MATCHING
from limbwright.search.drawn_arm import FIELDS as PROPORTIONS
from limbwright.search.drawn_arm import DrawnArm
from limbwright.search.fit_task import Task, Values, relay_gap
from limbwright.search.outlook import PARK_PIN, stage_floors
from limbwright.search.proposal import Outlook, StageOutlook
from limbwright.search.sizes import length_text, near

ALONG_LINK = math.radians(15.0)  # a crank pin so near its link's line can be drilled into the link
BONE_ENDS = (("shoulder", "elbow"), ("elbow", "wrist"), ("wrist", "hand tip"))


class Story(NamedTuple):
    """Everything that sentences are made from."""

    task: Task
    drawn: DrawnArm | None
    before: Outlook | None
    after: Outlook | None
    known: Values


def reason(story: Story, field: str) -> str:
    """Why a value is proposed."""
    if field in PROPORTIONS:
        index = PROPORTIONS.index(field)
        return _mast_reason(story, field) if index < 2 else _bone_reason(story, field, index - 2)
    stage = next(k for k, name in enumerate(STAGES) if field.split(".")[1] == name)
    return _angle_reason(story, stage) if field.endswith("angle") else _crank_reason(story, stage)


def basis(story: Story, field: str) -> Basis:
    """How well founded a proposed value is."""
    body = story.task.body
    if field in PROPORTIONS[:2]:
        return weakest((body.shoulder_up.basis, body.shoulder_out.basis))
    if field in PROPORTIONS:
        return "measured"  # off the approved silhouette
    return body.limits.basis if field.endswith("angle") else "assumed"


def stage_words(stage: StageOutlook) -> str:
    """Where a stage locks, and which pose is nearest."""
    low, high, margin = (math.degrees(v) for v in (stage.low, stage.high, stage.margin))
    return (
        f"{stage.stage} stage locks at {stage.coordinate} {low:.0f} and {high:.0f} deg; "
        f"nearest is '{stage.tightest}', {margin:.0f} deg from it"
    )


def _mast_reason(story: Story, field: str) -> str:
    assert story.task.seen is not None
    system = story.task.suit.show
    out, up = story.task.seen.shoulder
    spread = length_text(2.0 * (story.task.body.shoulder_up.sd or 0.0), system)
    place = (
        f"the shoulder mark is {length_text(up, system)} above and {length_text(out, system)} outside the "
        f"performer's shoulder, whose height is known to +/- {spread}"
    )
    lean = field.endswith("lean")
    return f"{'points the mast at it' if lean else 'brings the shoulder to its mark'}: {place}"


def _bone_reason(story: Story, field: str, index: int) -> str:
    task = story.task
    assert task.seen is not None
    drawn, system = task.seen.bones[index], task.suit.show
    start, end = BONE_ENDS[index]
    told = f"{length_text(drawn, system)} from {start} mark to {end} mark"
    if story.known[field] > drawn and not near(story.known[field], drawn):
        place = length_text(relay_place(task.arm, task.body), system)
        return f"{told}; longer, since the relay's pin sits at {place} and the elbow's needs room beyond it"
    return told


def _angle_reason(story: Story, stage: int) -> str:
    assert story.after is not None
    told = stage_words(story.after.stages[stage])
    angle = story.known[f"cranks.{STAGES[stage]}.angle"]
    if abs(angle) < ALONG_LINK:
        return f"{told}; the crank lies along its link: drill its pin into the link, or bolt a plate to it"
    if direction(angle)[2] > 1e-9:
        return f"{told}; turned by half a turn, so that the relay's two rod pins stay apart"
    return told


def _crank_reason(story: Story, stage: int) -> str:
    assert story.after is not None
    length = story.known[f"cranks.{STAGES[stage]}.length"]
    floor = stage_floors(story.task.suit, story.task.arm)[stage]
    force = 1.0 / (length * math.sin(floor))
    told = (
        f"each N m on the stage puts {force:.0f} N into its rod {math.degrees(floor):.0f} deg from the lock"
    )
    poses = [p for p in story.after.poses if p.name != PARK_PIN and not math.isnan(p.likely_turn)]
    if not poses:
        return f"the shortest that can be drilled, since every named pose is at a lock; {told}"
    worst = max(poses, key=lambda pose: pose.likely_turn)
    return (
        f"likely angle between the forearms at most {math.degrees(worst.likely_turn):.1f} deg, in "
        f"'{worst.name}' (lengths at their +/-, root sum of squares; limit {math.degrees(MATCHING):.0f} deg, "
        f"assumed); {told}"
    )


def shop_notes(story: Story) -> tuple[str, ...]:
    """What else the shop should know."""
    task, notes = story.task, list[str]()
    system = task.suit.show
    for stage in STAGES:
        rod = getattr(task.arm.rods, stage).length
        if isinstance(rod, Toleranced):
            notes.append(
                f"the {stage} rod is written as {length_text(rod.value, system)}: margins here are those of "
                "a rod that matches its side"
            )
    gap = relay_gap(story.known)
    if gap < task.relay_room:
        notes.append(
            f"the relay's two rod pins are {length_text(gap, system)} apart and need "
            f"{length_text(task.relay_room, system)}: turn one of its cranks by 180 deg, which locks at the "
            "same poses"
        )
    return tuple(notes)
