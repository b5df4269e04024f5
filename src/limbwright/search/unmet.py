"""Honest sentences: what cannot be met, by how much, and why."""

import math
from collections.abc import Iterator

from limbwright.search.arm_fields import ANGLES
from limbwright.search.crank_lengths import LONGEST_CRANK, MATCHING
from limbwright.search.drawn_arm import FIELDS as PROPORTIONS
from limbwright.search.drawn_arm import JOINTS, DrawnArm, Miss
from limbwright.search.fit_words import Story
from limbwright.search.outlook import PARK_PIN, stage_floors
from limbwright.search.performer_grid import SLACK
from limbwright.search.pose_limits import beyond_performer, pose_excess
from limbwright.search.proposal import StageOutlook
from limbwright.search.sizes import NEAR_ANGLE, NEAR_LENGTH, angle_text, length_text, near, signed_text

NEAR_SWING = 1e-4  # [rad] from the end of the swivel's range; the search stops this near to it


def unmet_wishes(story: Story) -> tuple[str, ...]:
    """One sentence for each wish that cannot be met."""
    task = story.task
    return (
        *_missing_marks(story),
        *_missed_marks(story),
        *_unmet_margins(story),
        *beyond_performer(task.suit, task.base, task.body.limits),
        *_poor_matching(story),
        *_short_share(story),
    )


def _missing_marks(story: Story) -> Iterator[str]:
    task = story.task
    lacking = [field for field in PROPORTIONS if field in task.wanted]
    if task.seen is not None or not lacking:
        return
    yield (
        f"{', '.join(lacking)}: there are no marks to fit to; write character.marks with shoulder, elbow, "
        "wrist and hand_tip, each [out, forward, up] from the floor between the feet"
    )
    if story.after is None:
        yield "crank angles and lengths wait for the mast's lean: write the marks, or mast.lean"


def _missed_marks(story: Story) -> Iterator[str]:
    for miss in story.drawn.misses if story.drawn else ():
        if miss.away > NEAR_LENGTH:
            assert story.drawn is not None
            yield _missed(story, story.drawn, miss)


def _missed(story: Story, drawn: DrawnArm, miss: Miss) -> str:
    system = story.task.suit.show
    out, forward, up = (signed_text(v, system) for v in miss.offset)
    causes: list[str] = []
    low, high = story.task.base.swing_range
    end = low if drawn.swing - low < high - drawn.swing else high
    if abs(drawn.swing - end) < NEAR_SWING:
        causes.append(f"the swivel's range ends at {angle_text(end)} and the arm is drawn beyond it")
    elif abs(miss.across) > 0.5 * miss.away:
        causes.append(
            "the arm's plane holds the swivel's axis and the mark lies beside it: move swivel.out or "
            "swivel.forward, or the mark"
        )
    causes += [*_mast_causes(story), *_bone_causes(story, miss.joint)]
    if miss.joint == "hand_tip" and drawn.bent_wrist > NEAR_ANGLE:
        bend = math.degrees(drawn.bent_wrist)
        causes.append(f"the hand is fixed in line with the forearm and is drawn bent by {bend:.0f} deg")
    if drawn.backwards > NEAR_ANGLE:
        causes.append(f"the elbow is drawn bent backwards by {math.degrees(drawn.backwards):.0f} deg")
    why = "; ".join(causes) if causes else "the joints beside it are off, and this is the nearest pose"
    return (
        f"the {miss.joint.replace('_', ' ')} mark is missed by {length_text(miss.away, system)} "
        f"(it lies {out} out, {forward} forward, {up} up from the joint): {why}"
    )


def _mast_causes(story: Story) -> Iterator[str]:
    """What mast and lean leave of the way to the shoulder mark."""
    seen, known, system = story.task.seen, story.known, story.task.suit.show
    assert seen is not None
    out, up = seen.shoulder
    length, lean = known["mast.length"], known["mast.lean"]
    if math.hypot(out - length * math.sin(lean), up - length * math.cos(lean)) <= NEAR_LENGTH:
        return
    yield (
        f"a mast of {length_text(length, system)} leaning {angle_text(lean)} does not end at the shoulder "
        f"mark; {length_text(math.hypot(out, up), system)} at {angle_text(math.atan2(out, up))} would"
    )


def _bone_causes(story: Story, joint: str) -> Iterator[str]:
    """Lengths between the shoulder and a joint that are not as drawn."""
    seen, system = story.task.seen, story.task.suit.show
    assert seen is not None
    for field, drawn in list(zip(PROPORTIONS[2:], seen.bones, strict=True))[: JOINTS.index(joint)]:
        held = story.known[field]
        if not near(held, drawn):
            name = field.partition(".")[0].replace("_", " ")
            yield f"the {name} is {length_text(held, system)} long and drawn {length_text(drawn, system)}"


def _unmet_margins(story: Story) -> Iterator[str]:
    """Poses that do not keep the margin, and the two that are too far apart where that is why."""
    if story.after is None:
        return
    task = story.task
    for k, floor in enumerate(stage_floors(task.suit, task.arm)):
        stage = story.after.stages[k]
        if stage.margin >= floor - SLACK:
            continue
        places, names = task.demand.places[:, k], task.demand.names
        low, high = int(places.argmin()), int(places.argmax())
        apart, room = float(places[high] - places[low]), math.pi - 2.0 * floor
        short = _short(stage, floor)
        if apart > room + SLACK:
            yield (
                f"{stage.stage} stage: poses '{names[low]}' and '{names[high]}' are "
                f"{math.degrees(apart):.1f} deg apart in {stage.coordinate}, and at that margin one window "
                f"holds {math.degrees(room):.0f} deg, {math.degrees(apart - room):.1f} deg too little: "
                f"{short}"
            )
        elif f"cranks.{stage.stage}.angle" in task.wanted:
            yield f"{stage.stage} stage: {short}; no whole degree serves every pose"
        else:
            yield f"{stage.stage} stage: {short}; another cranks.{stage.stage}.angle would serve every pose"


def _short(stage: StageOutlook, floor: float) -> str:
    if stage.margin < 0.0:
        return f"'{stage.tightest}' lies {math.degrees(-stage.margin):.1f} deg beyond the lock"
    kept, asked = math.degrees(stage.margin), math.degrees(floor)
    return f"'{stage.tightest}' keeps {kept:.1f} deg of the {asked:.0f} deg asked for"


def drawn_pose(story: Story) -> Iterator[str]:
    """What forbids the pose of the silhouette: for the shop to know, since nobody asked for it by name."""
    if story.drawn is None:
        return
    task, pose = story.task, story.drawn.pose
    shown = "/".join(f"{math.degrees(v):.0f}" for v in pose)
    named = f"the drawn pose (swing/elevation/elbow {shown} deg)"
    for excess in pose_excess(task.base, task.body.limits, pose):
        yield f"{named} {excess}"
    if story.after is None:
        return
    places = (pose[1], pose[1] + pose[2], pose[2])
    floors = stage_floors(task.suit, task.arm)
    for place, stage, floor in zip(places, story.after.stages, floors, strict=True):
        margin = min(place - stage.low, stage.high - place)
        if margin < floor - SLACK:
            away = "beyond" if margin < 0.0 else "from"
            yield (
                f"{named} is {math.degrees(abs(margin)):.1f} deg {away} the {stage.stage} stage's lock, and "
                f"{math.degrees(floor):.0f} deg are asked for; name it among the poses to have it counted"
            )


def _poor_matching(story: Story) -> Iterator[str]:
    for pose in story.after.poses if story.after else ():
        if pose.name != PARK_PIN and pose.likely_turn > MATCHING + SLACK:
            turn, most = math.degrees(pose.likely_turn), math.degrees(MATCHING)
            yield (
                f"in '{pose.name}' the forearms are likely to be {turn:.1f} deg out of parallel with every "
                f"length at its +/- (limit {most:.0f} deg, assumed): "
                f"tighten the lengths, or lengthen the cranks, at most to {1e3 * LONGEST_CRANK:.0f} mm"
            )


def _short_share(story: Story) -> Iterator[str]:
    target, after = story.task.suit.targets.usable_share, story.after
    if after is None or target is None or after.share >= target:
        return
    open_angles = all(field in story.task.wanted for field in ANGLES[1:])
    why = "these poses leave no better crank angles" if open_angles else "some crank angles are kept"
    yield (
        f"the usable share at the lock margin is {100.0 * after.share:.1f} %, "
        f"{100.0 * (target - after.share):.1f} % short of the target: {why}"
    )
