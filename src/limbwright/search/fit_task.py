"""The steps of a fit: proportions, crank angles, crank lengths, and pins that stay apart."""

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.model.body import Body, complete_body
from limbwright.model.limb import ParallelArm
from limbwright.model.suit import Suit
from limbwright.search.arm_fields import (
    ALL_FIELDS,
    CRANK_ANGLES,
    CRANK_LENGTHS,
    Field,
    geometry_with,
    read_field,
    relay_place,
)
from limbwright.search.crank_angles import Demand
from limbwright.search.crank_lengths import crank_lengths
from limbwright.search.drawn_arm import FIELDS as PROPORTIONS
from limbwright.search.drawn_arm import DrawnArm, Seen, drawn_arm, proportions, see_marks
from limbwright.search.outlook import PARK_PIN, demand_of, find_angles, look_ahead
from limbwright.search.performer_grid import PerformerGrid, performer_grid
from limbwright.search.proposal import Outlook
from limbwright.search.sizes import Size, angle_size, length_size, length_step

ELBOW_ROOM = 4.0  # rims: relay's pin and elbow's pin side by side on the carrier
Values = Mapping[str, float]  # fields under the arm, SI


class Task(NamedTuple):
    """One arm to fit, and everything that stays the same while it is done."""

    suit: Suit
    limb: str
    arm: ParallelArm
    body: Body
    wanted: frozenset[str]
    held: Mapping[str, Field]
    base: ArmGeometry  # the right arm as written, with stand-ins where nothing is known
    grid: PerformerGrid
    demand: Demand
    seen: Seen | None  # None without marks

    @property
    def standing(self) -> dict[str, float]:
        """Fields whose value is not asked for, SI."""
        return {f: h.value for f, h in self.held.items() if f not in self.wanted and h.value is not None}

    @property
    def relay_room(self) -> float:
        """Least distance of the relay's two rod pins [m]."""
        return 2.0 * self.arm.relay.rim

    def geometry(self, values: Values) -> ArmGeometry:
        """The right arm with these values in it."""
        return geometry_with(self.suit, self.limb, self.body, values)

    def outlook(self, geometry: ArmGeometry) -> Outlook:
        """What an arm gives."""
        return look_ahead(self.suit, self.arm, self.grid, self.demand, geometry)


def open_task(suit: Suit, limb: str, refit: bool) -> Task:
    """Gather what a fit needs.

    Raises:
        SuitError: no such arm, or the lengths that are written cannot be assembled.
    """
    if limb not in suit.limbs:
        raise suit.error("limbs", f"no limb '{limb}'", f"use one of {', '.join(suit.limbs)}")
    arm, body, marks = suit.limbs[limb], complete_body(suit.active), suit.character.marks
    held = {field: read_field(arm, field) for field in ALL_FIELDS}
    base = geometry_with(suit, limb, body, {})
    return Task(
        suit=suit,
        limb=limb,
        arm=arm,
        body=body,
        wanted=frozenset(f for f, h in held.items() if refit or h.value is None),
        held=held,
        base=base,
        grid=performer_grid(base, body.limits),
        demand=demand_of(suit, arm),
        seen=None if marks is None else see_marks(base, marks),
    )


def fit_proportions(task: Task, given: Values) -> dict[str, Size]:
    """Mast, lean and bones from the marks, where they are not given; nothing without marks."""
    if task.seen is None:
        return {}
    room = relay_place(task.arm, task.body) + ELBOW_ROOM * task.arm.relay.rim
    return proportions(task.seen, given, room, task.suit.show)


def fit_angles(task: Task, known: Values, wanted: frozenset[str]) -> dict[str, Size]:
    """The wanted crank angles; the others stand as known."""
    asked = [f for f in CRANK_ANGLES if f in wanted]
    if not asked:
        return {}
    written = [None if f in asked else known[f] for f in CRANK_ANGLES]
    mast_angle = math.pi - known["mast.lean"]
    choice = find_angles(task.suit, task.arm, task.grid, task.demand, mast_angle, written)
    return {f: angle_size(a) for f, a in zip(CRANK_ANGLES, choice.angles, strict=True) if f in asked}


def fit_cranks(task: Task, known: Values, wanted: frozenset[str]) -> dict[str, Size]:
    """The wanted crank lengths, for the named poses that are not at a lock."""
    asked = [f for f in CRANK_LENGTHS if f in wanted]
    if not asked:
        return {}
    geometry = task.geometry({f: v for f, v in known.items() if f not in asked})
    poses = task.outlook(geometry).poses
    clear = np.array([not math.isnan(p.likely_turn) and p.name != PARK_PIN for p in poses])
    lengths = crank_lengths(
        geometry,
        [None if f in asked else known[f] for f in CRANK_LENGTHS],
        task.demand.elevation[clear],
        task.demand.elbow[clear],
        task.relay_room + task.arm.pins.diameter,
        length_step(task.suit.show),
    )
    pairs = zip(CRANK_LENGTHS, lengths, strict=True)
    return {f: length_size(length, task.suit.show) for f, length in pairs if f in asked}


def part_relay_pins(task: Task, known: Values, wanted: frozenset[str]) -> dict[str, Size]:
    """Turn a wanted crank by half a turn where the relay's two rod pins would run into each other."""
    if relay_gap(known) >= task.relay_room:
        return {}
    for field in (CRANK_ANGLES[2], CRANK_ANGLES[1]):
        if field in wanted:
            half = -math.pi if known[field] > 0.0 else math.pi
            return {field: angle_size(known[field] + half)}
    return {}


def relay_gap(known: Values) -> float:
    """Distance of the relay's two rod pins [m]; infinite where a crank is not known."""
    try:
        b1, b2 = known["cranks.forearm.length"], known["cranks.relay.length"]
        between = known["cranks.forearm.angle"] - known["cranks.relay.angle"]
    except KeyError:
        return math.inf
    return math.sqrt(max(b1 * b1 + b2 * b2 - 2.0 * b1 * b2 * math.cos(between), 0.0))


def draw_pose(task: Task, known: Values) -> DrawnArm | None:
    """The pose the marks show, for an arm of known proportions."""
    if task.seen is None:
        return None
    lengths = {f: known[f] for f in PROPORTIONS}
    return drawn_arm(task.seen, lengths, task.base.swing_range, task.body.limits.elbow[1])


def worst_turn(outlook: Outlook) -> float:
    """Greatest likely angle between the forearms in the named poses [rad]; NaN where none is clear."""
    turns = [p.likely_turn for p in outlook.poses if p.name != PARK_PIN and not math.isnan(p.likely_turn)]
    return max(turns, default=math.nan)
