"""`fit`: dimensions and crank angles of one arm, from the marks, the performer and the named poses."""

from limbwright.model.suit import Suit
from limbwright.search.arm_fields import ALL_FIELDS, ANGLES, field_text, fill, spread_text
from limbwright.search.drawn_arm import FIELDS as PROPORTIONS
from limbwright.search.fit_task import (
    Task,
    draw_pose,
    fit_angles,
    fit_cranks,
    fit_proportions,
    open_task,
    part_relay_pins,
)
from limbwright.search.fit_words import Story, basis, reason, shop_notes
from limbwright.search.kept import kept_values
from limbwright.search.outlook import asked_margin
from limbwright.search.proposal import Proposal, Proposed
from limbwright.search.proposal import write_proposal as write_proposal
from limbwright.search.sizes import Size
from limbwright.search.unmet import drawn_pose, unmet_wishes


def fit_arm(suit: Suit, limb: str, *, refit: bool = False) -> Proposal:
    """Propose the fields of one arm that say `fit`.

    Proportions come from the character's marks, crank angles from the named poses and the
    performer's range, crank lengths from the lengths' +/-. Nothing is random.

    Args:
        suit: as loaded; it is not changed.
        limb: name of the arm.
        refit: propose the fields that have a value too.

    Raises:
        SuitError: no such arm, or the lengths that are written cannot be assembled.
    """
    task = open_task(suit, limb, refit)
    found = _found(task)
    known = _known(task, found)
    written = all(task.held[field].value is not None for field in ANGLES)
    before = task.outlook(task.base) if written else None
    after = task.outlook(task.geometry(known)) if "mast.lean" in known else None
    whole = after is not None and all(field in known for field in ALL_FIELDS)
    drawn = draw_pose(task, known) if all(field in known for field in PROPORTIONS) else None
    story = Story(task, drawn, before, after, known)
    return Proposal(
        limb=limb,
        values=tuple(_proposed(story, field, found[field]) for field in ALL_FIELDS if field in found),
        kept=kept_values(task, known, after),
        unmet=unmet_wishes(story),
        notes=(*drawn_pose(story), *shop_notes(story)),
        margin=asked_margin(suit),
        drawn=drawn,
        before=before,
        after=after,
        geometry=task.geometry(known) if whole else None,
        suit=fill(suit, limb, {field: size.value for field, size in found.items()}),
    )


def _found(task: Task) -> dict[str, Size]:
    found = fit_proportions(task, task.standing)
    if "mast.lean" not in _known(task, found):
        return found  # the windows of two stages hang on it
    for step in (fit_angles, fit_cranks, part_relay_pins):
        new = step(task, _known(task, found), task.wanted)
        found |= new
    if new:  # a crank on the other side adds the same errors up otherwise
        found |= fit_cranks(task, _known(task, found), task.wanted)
    return found


def _known(task: Task, found: dict[str, Size]) -> dict[str, float]:
    return task.standing | {field: size.value for field, size in found.items()}


def _proposed(story: Story, field: str, size: Size) -> Proposed:
    task = story.task
    held, system = task.held[field], task.suit.show
    return Proposed(
        field=f"limbs.{task.limb}.{field}",
        text=size.text + ("" if field in ANGLES else spread_text(held, system)),
        was=None if held.value is None else field_text(field, held, system),
        reason=reason(story, field),
        value=size.value,
        basis=basis(story, field),
    )
