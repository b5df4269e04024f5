"""What crank angles give: windows, margins of the poses, share, and how well the forearms match."""

import math
from collections.abc import Sequence

import numpy as np

from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.model.limb import STAGES, ParallelArm
from limbwright.model.suit import Suit
from limbwright.search.crank_angles import (
    HALF_TURN,
    LEAST_USEFUL,
    Choice,
    Demand,
    choose_angles,
    low_locks,
    pose_margins,
    stage_options,
    windows_of,
)
from limbwright.search.crank_lengths import likely_turn
from limbwright.search.performer_grid import SLACK, PerformerGrid
from limbwright.search.proposal import COORDINATES, Outlook, PoseOutlook, StageOutlook

NO_TARGET = math.radians(10.0)  # lock margin when the suit asks for none; assumed
PARK_PIN = "park pin"
Triple = tuple[float, float, float]


def demand_of(suit: Suit, arm: ParallelArm) -> Demand:
    """The assembled pose, the other named ones, and the park pin's."""
    poses = [(suit.assembled, suit.poses[suit.assembled])]
    poses += [(name, pose) for name, pose in suit.poses.items() if name != suit.assembled]
    names = [name for name, _ in poses]
    elevation, elbow = [p.elevation for _, p in poses], [p.elbow for _, p in poses]
    if arm.park_pin is not None:
        names.append(PARK_PIN)
        elevation.append(arm.park_pin.elevation)
        elbow.append(arm.park_pin.elbow)
    return Demand(tuple(names), poses[0][1].swing, np.array(elevation), np.array(elbow))


def asked_margin(suit: Suit) -> float:
    """The lock margin that every pose is to keep [rad]."""
    target = suit.targets.lock_margin
    return NO_TARGET if target is None else max(target, LEAST_USEFUL)


def stage_floors(suit: Suit, arm: ParallelArm) -> Triple:
    """What each stage must keep: the lock margin asked for, or its stop where that touches first [rad]."""
    margin = asked_margin(suit)
    return (
        max(margin, arm.stops.shoulder),
        max(margin, arm.stops.forearm),
        max(margin, arm.stops.relay),
    )


def served_stages(outlook: Outlook, suit: Suit, arm: ParallelArm) -> int:
    """How many stages keep their margin in every pose."""
    floors = stage_floors(suit, arm)
    return sum(stage.margin >= floor - SLACK for stage, floor in zip(outlook.stages, floors, strict=True))


def find_angles(
    suit: Suit,
    arm: ParallelArm,
    grid: PerformerGrid,
    demand: Demand,
    mast_angle: float,
    written: Sequence[float | None],
) -> Choice:
    """The best crank angles where they are not written [rad]."""
    a, b, c = (
        stage_options(demand, mast_angle, stage, written[stage], floor, getattr(arm.stops, STAGES[stage]))
        for stage, floor in enumerate(stage_floors(suit, arm))
    )
    return choose_angles(grid, demand, (a, b, c))


def look_ahead(
    suit: Suit, arm: ParallelArm, grid: PerformerGrid, demand: Demand, geometry: ArmGeometry
) -> Outlook:
    """What the arm's crank angles give.

    Where the assembled pose itself is nearer to a lock than asked, the share is reckoned at the
    margin that it has.
    """
    angles = (geometry.angle_shoulder, geometry.angle_forearm, geometry.angle_relay)
    places = demand.places
    low = [
        float(low_locks(np.array([angle]), geometry.mast_angle, stage, float(places[0, stage]))[0])
        for stage, angle in enumerate(angles)
    ]
    margins = np.stack([pose_margins(np.array([low[k]]), places[:, k])[0] for k in range(3)], axis=-1)
    floors = np.minimum(np.array(stage_floors(suit, arm)), margins[0])
    x, y, z = low
    f, g, h = (float(floor) for floor in floors)
    share = grid.connected_share(windows_of((x, y, z), (f, g, h)), demand.start)
    first, second, third = (
        StageOutlook(
            stage=STAGES[k],
            coordinate=COORDINATES[k],
            low=low[k],
            high=low[k] + HALF_TURN,
            tightest=demand.names[int(margins[:, k].argmin())],
            margin=float(margins[:, k].min()),
            floor=float(floors[k]),
        )
        for k in range(3)
    )
    clear = margins.min(axis=1) >= LEAST_USEFUL
    turns = np.full(len(demand.names), np.nan)
    turns[clear] = likely_turn(geometry, demand.elevation[clear], demand.elbow[clear])
    poses = tuple(
        PoseOutlook(name, float(row.min()), STAGES[int(row.argmin())], float(turn))
        for name, row, turn in zip(demand.names, margins, turns, strict=True)
    )
    return Outlook(share, (first, second, third), poses)
