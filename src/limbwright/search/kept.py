"""Values that stand, beside what fit would have chosen with everything open."""

import math

from limbwright.search.arm_fields import (
    ALL_FIELDS,
    ANGLES,
    CRANK_ANGLES,
    CRANK_LENGTHS,
    field_text,
)
from limbwright.search.crank_angles import SHARE_SLACK
from limbwright.search.crank_lengths import MATCHING, with_cranks
from limbwright.search.drawn_arm import FIELDS as PROPORTIONS
from limbwright.search.fit_task import (
    Task,
    Values,
    fit_angles,
    fit_cranks,
    fit_proportions,
    worst_turn,
)
from limbwright.search.outlook import served_stages
from limbwright.search.proposal import Kept, Outlook
from limbwright.search.sizes import Size, near

SAME = 1e-9  # [m], [rad]
Would = dict[str, tuple[Size, bool, str]]  # what fit would have, whether it is better, what it gives


def kept_values(task: Task, known: Values, after: Outlook | None) -> tuple[Kept, ...]:
    """Each field that keeps its value where fit would have chosen another, and whether that is better."""
    stands = [f for f in ALL_FIELDS if f not in task.wanted]
    would: Would = {}
    if any(f in PROPORTIONS for f in stands):
        would |= _other_proportions(task, known)
    if after is not None and any(f in CRANK_ANGLES for f in stands):
        would |= _other_angles(task, known, after)
    if after is not None and any(f in CRANK_LENGTHS for f in stands):
        would |= _other_cranks(task, known, after)
    system = task.suit.show
    return tuple(
        Kept(
            f"limbs.{task.limb}.{field}",
            field_text(field, task.held[field], system),
            would[field][0].text,
            *would[field][1:],
        )
        for field in stands
        if field in would and abs(would[field][0].value - known[field]) > SAME
    )


def _other_proportions(task: Task, known: Values) -> Would:
    return {
        field: (size, not near(known[field], size.value, field in ANGLES), "from the character's marks")
        for field, size in fit_proportions(task, {}).items()
        if field in known
    }


def _other_angles(task: Task, known: Values, after: Outlook) -> Would:
    sizes = fit_angles(task, known, frozenset(CRANK_ANGLES))
    outlook = task.outlook(task.geometry({**known, **{f: size.value for f, size in sizes.items()}}))
    then, now = served_stages(outlook, task.suit, task.arm), served_stages(after, task.suit, task.arm)
    better = then > now or (then == now and outlook.share > after.share + SHARE_SLACK)
    gives = (
        f"all three as fit would have them: share {100.0 * outlook.share:.1f} % in place of "
        f"{100.0 * after.share:.1f} %, least margin {math.degrees(outlook.least.margin):.0f} deg in place of "
        f"{math.degrees(after.least.margin):.0f} deg"
    )
    return {field: (size, better, gives) for field, size in sizes.items()}


def _other_cranks(task: Task, known: Values, after: Outlook) -> Would:
    sizes = fit_cranks(task, known, frozenset(CRANK_LENGTHS))
    other = with_cranks(task.geometry(known), [sizes[f].value for f in CRANK_LENGTHS])
    now, then = worst_turn(after), worst_turn(task.outlook(other))
    better = now > MATCHING and then < now
    gives = (
        f"likely angle between the forearms in the named poses up to {math.degrees(then):.1f} deg in place "
        f"of {math.degrees(now):.1f} deg"
    )
    return {field: (size, better, gives) for field, size in sizes.items()}
