"""The arm as it is drawn: mast, carrier, forearm and hand from the character's marks.

The silhouette shows the arm in a pose nobody wrote down. It is taken to be the one in which the
arm's own joints come nearest to the marks. All of it happens in the swivel's frame: x outward at
swing zero, y forward, z along the swivel.
"""

import math
from collections.abc import Mapping
from typing import Any, NamedTuple, cast

import numpy as np
from jaxtyping import Float
from scipy import optimize

from limbwright.core.units import System
from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.limbs.parallel_arm import swivel_frame
from limbwright.model.character import Marks
from limbwright.search.sizes import LEAN_STEP, Size, angle_size, length_size

JOINTS = ("shoulder", "elbow", "wrist", "hand_tip")
LEAST_MAST = 0.05  # [m] room for two pins above each other; common practice, no source
FACING = 0.005  # [m] an upper arm drawn hanging tells no side
MOST_LEAN = math.radians(60.0)
FIELDS = (
    "mast.length",
    "mast.lean",
    "carrier.length",
    "character_forearm.length",
    "character_hand.length",
)


class Miss(NamedTuple):
    """How far a joint of the arm stays from its mark [m]."""

    joint: str
    away: float
    offset: tuple[float, float, float]  # mark less joint: out, forward, up
    across: float  # the part across the arm's plane


class DrawnArm(NamedTuple):
    """The pose the marks show [rad], and how far each joint is from its mark."""

    swing: float
    elevation: float
    elbow: float
    misses: tuple[Miss, ...]
    bent_wrist: float  # angle between forearm and hand as drawn [rad]
    backwards: float  # how far the elbow is drawn past straight [rad]

    @property
    def pose(self) -> tuple[float, float, float]:
        """Swing, elevation, elbow [rad]."""
        return (self.swing, self.elevation, self.elbow)


class Seen(NamedTuple):
    """The marks in the swivel's frame, from the performer's shoulder [m]."""

    points: Float[np.ndarray, "4 3"]
    frame: Float[np.ndarray, "3 3"]

    @property
    def bones(self) -> tuple[float, float, float]:
        """Upper arm, forearm and hand as drawn."""
        a, b, c = np.linalg.norm(np.diff(self.points, axis=0), axis=1)
        return (float(a), float(b), float(c))

    @property
    def swing(self) -> float:
        """The plane through the swivel's axis that comes nearest to all marks, facing the upper arm."""
        x, y = self.points[:, 0], self.points[:, 1]
        turn = 0.5 * math.atan2(2.0 * float(x @ y), float(x @ x - y @ y))
        along = x * math.cos(turn) + y * math.sin(turn)
        facing = float(along[1] - along[0])  # an upper arm never points inward of its own plane
        if abs(facing) < FACING:
            facing = float(along.sum())
        return turn if facing >= 0.0 else math.remainder(turn + math.pi, 2.0 * math.pi)

    @property
    def shoulder(self) -> tuple[float, float]:
        """The shoulder mark outward along the drawn arm's plane, and up the swivel [m]."""
        x, y, z = (float(v) for v in self.points[0])
        turn = self.swing
        return (x * math.cos(turn) + y * math.sin(turn), z)


def see_marks(geometry: ArmGeometry, marks: Marks) -> Seen:
    """The marks as the right arm sees them."""
    if geometry.side != "right":
        raise ValueError("marks are read on the right arm")
    frame = swivel_frame(geometry)
    places = np.array([getattr(marks, joint) for joint in JOINTS])
    world = np.stack([places[:, 1], -places[:, 0], places[:, 2]], axis=-1)
    return Seen((world - geometry.shoulder) @ frame, frame)


def proportions(
    seen: Seen, given: Mapping[str, float], least_carrier: float, system: System
) -> dict[str, Size]:
    """The lengths and the lean that are not given, from the marks.

    Args:
        seen: the marks.
        given: fields of `FIELDS` whose value stands, SI.
        least_carrier: shortest carrier that leaves room for the relay [m].
        system: what to round to.
    """
    upper, fore, hand = seen.bones
    sizes: dict[str, Size] = {}
    out, up = seen.shoulder
    lean = given.get("mast.lean")
    if lean is None:
        wanted = math.atan2(out, up) if up > 0.0 else 0.0
        sizes["mast.lean"] = angle_size(max(-MOST_LEAN, min(wanted, MOST_LEAN)), LEAN_STEP)
        lean = sizes["mast.lean"].value
    if "mast.length" not in given:
        along = out * math.sin(lean) + up * math.cos(lean)
        sizes["mast.length"] = length_size(max(along, LEAST_MAST), system)
    if "carrier.length" not in given:
        short = upper < least_carrier
        sizes["carrier.length"] = length_size(max(upper, least_carrier), system, up=short)
    for field, drawn in (("character_forearm.length", fore), ("character_hand.length", hand)):
        if field not in given:
            sizes[field] = length_size(max(drawn, 0.01), system)
    return {field: sizes[field] for field in FIELDS if field in sizes}


def drawn_arm(
    seen: Seen, lengths: Mapping[str, float], swing_range: tuple[float, float], most_elbow: float
) -> DrawnArm:
    """The pose of an arm of these lengths that comes nearest to the marks.

    Args:
        seen: the marks.
        lengths: all of `FIELDS`, SI.
        swing_range: the swivel's own [rad].
        most_elbow: greatest elbow flexion [rad].
    """
    bounds = ((swing_range[0], 0.0, 0.0), (swing_range[1], math.pi, most_elbow))
    first = _first_guess(seen)
    guess = np.clip(first, *(np.array(bound) for bound in bounds))

    def gaps_of(pose: Float[np.ndarray, " 3"]) -> Float[np.ndarray, " 12"]:
        return (seen.points - _joints(pose, lengths)).ravel()

    tight = dict.fromkeys(("xtol", "ftol", "gtol"), 1e-13)
    solved = cast(Any, optimize).least_squares(gaps_of, guess, bounds=bounds, **tight)
    pose = np.asarray(solved.x, dtype=np.float64)
    gaps = seen.points - _joints(pose, lengths)
    swing, elevation, elbow = (float(v) for v in pose)
    sideways = np.array([-math.sin(swing), math.cos(swing), 0.0])
    return DrawnArm(
        swing,
        elevation,
        elbow,
        tuple(_miss(joint, gap, seen.frame, sideways) for joint, gap in zip(JOINTS, gaps, strict=True)),
        _bent_wrist(seen),
        max(0.0, -float(first[2])),
    )


def _first_guess(seen: Seen) -> Float[np.ndarray, " 3"]:
    turn = seen.swing
    steps = np.diff(seen.points, axis=0)
    outward = steps[:, 0] * math.cos(turn) + steps[:, 1] * math.sin(turn)
    angles = np.arctan2(outward, -steps[:, 2])
    elbow = math.remainder(float(angles[1] - angles[0]), 2.0 * math.pi)
    return np.array([turn, float(angles[0]), elbow])


def _joints(pose: Float[np.ndarray, " 3"], lengths: Mapping[str, float]) -> Float[np.ndarray, "4 3"]:
    """S', E', W' and T' in the swivel's frame from S [m]."""
    swing, elevation, elbow = pose
    mast, lean, *bones = (lengths[field] for field in FIELDS)
    forearm = elevation + elbow
    out, up = [mast * math.sin(lean)], [mast * math.cos(lean)]
    for bone, angle in zip(bones, (elevation, forearm, forearm), strict=True):
        out.append(out[-1] + bone * math.sin(angle))
        up.append(up[-1] - bone * math.cos(angle))
    level = np.array(out)
    return np.stack([level * math.cos(swing), level * math.sin(swing), np.array(up)], axis=-1)


def _miss(
    joint: str,
    gap: Float[np.ndarray, " 3"],
    frame: Float[np.ndarray, "3 3"],
    sideways: Float[np.ndarray, " 3"],
) -> Miss:
    forward, left, up = (float(v) for v in frame @ gap)
    return Miss(joint, float(np.linalg.norm(gap)), (-left, forward, up), float(gap @ sideways))


def _bent_wrist(seen: Seen) -> float:
    steps = np.diff(seen.points, axis=0)
    fore, hand = steps[1], steps[2]
    return math.atan2(float(np.linalg.norm(np.cross(fore, hand))), float(fore @ hand))
