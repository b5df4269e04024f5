"""What holding a pose asks of the performer: moments about swing, elevation and elbow.

By virtual work on the closed linkage, with the performer's own arm included and without friction.
Trunk lean tilts gravity against the suit, which leans with the trunk.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from jaxtyping import Float

from limbwright.engine.statics import STANDARD_GRAVITY, holding_moments
from limbwright.limbs.arm_masses import MassItem, arm_items, gather_masses, own_arm_items
from limbwright.limbs.worn_arm import WornArm
from limbwright.model.suit import Suit

Axis = Literal["swing", "shoulder", "elbow"]
DIGITS = 9  # [N m] poses that differ less than this are equal: the first of them is named
AXES: tuple[Axis, ...] = ("swing", "shoulder", "elbow")


class Asked(NamedTuple):
    """A holding moment [N m]: + lifts or swings forward, and the band from the masses' ranges."""

    value: float
    band: tuple[float, float]
    own_arm: float  # the part of it that is the performer's own arm


@dataclass(frozen=True)
class PoseEffort:
    """Moments in one pose, about each of `AXES`."""

    name: str
    drive: tuple[float, float, float]  # swing, elevation, elbow [rad]
    asked: Mapping[Axis, Asked]


@dataclass(frozen=True)
class Effort:
    """Moments over the usable range and in the named poses."""

    lean: float
    moments: Float[np.ndarray, "usable 3"]  # in the order of the usable poses [N m]
    worst: Mapping[Axis, PoseEffort]  # the usable pose that asks most about each axis
    named: tuple[PoseEffort, ...]  # those that the arm can take up
    unstated: tuple[str, ...]  # masses without a range: the band leaves them out


def effort_over(
    suit: Suit,
    arm: WornArm,
    q: Float[np.ndarray, "usable q"],
    named: Mapping[str, Float[np.ndarray, " q"]],
) -> Effort | None:
    """Holding moments over usable poses; None where there are none.

    Args:
        q: coordinates of the usable poses.
        named: coordinates of the named poses that the arm can take up.
    """
    if not len(q):
        return None
    items = (*arm_items(suit, arm), *own_arm_items(arm))
    gravity = leaning_gravity(suit.lean)
    moments = holding_moments(arm.mechanism, gather_masses(arm.mechanism, items), q, gravity).moments
    worst: dict[Axis, PoseEffort] = {}
    for column, axis in enumerate(AXES):
        at = int(np.nanargmax(np.round(np.abs(moments[:, column]), DIGITS)))
        worst[axis] = _pose_effort(arm, items, "", q[at], gravity)
    return Effort(
        lean=suit.lean,
        moments=moments,
        worst=worst,
        named=tuple(_pose_effort(arm, items, name, at, gravity) for name, at in named.items()),
        unstated=tuple(item.name for item in items if item.range is None),
    )


def leaning_gravity(lean: float) -> Float[np.ndarray, " 3"]:
    """Gravity as the suit feels it when the trunk leans forward by `lean` [rad]."""
    return STANDARD_GRAVITY * np.array([math.sin(lean), 0.0, -math.cos(lean)])


def _pose_effort(
    arm: WornArm, items: tuple[MassItem, ...], name: str, q: np.ndarray, gravity: np.ndarray
) -> PoseEffort:
    """Moments in one pose with the band of the masses: each item's own share, at its ends."""
    shares = np.stack([_share(arm, item, q, gravity) for item in items])
    total = shares.sum(axis=0)
    low, high = np.zeros(3), np.zeros(3)
    for item, share in zip(items, shares, strict=True):
        ends = np.stack([share * (end / item.mass) for end in item.ends])
        low += ends.min(axis=0)
        high += ends.max(axis=0)
    own = sum((s for i, s in zip(items, shares, strict=True) if i.name.startswith("own ")), np.zeros(3))
    asked: dict[Axis, Asked] = {
        axis: Asked(float(total[k]), (float(low[k]), float(high[k])), float(own[k]))
        for k, axis in enumerate(AXES)
    }
    swing, elevation, elbow = (float(v) for v in arm.mechanism.driven_values(q))
    return PoseEffort(name, (swing, elevation, elbow), asked)


def _share(arm: WornArm, item: MassItem, q: np.ndarray, gravity: np.ndarray) -> np.ndarray:
    """One item's part of the holding moments: they are linear in every mass."""
    masses = gather_masses(arm.mechanism, [item])
    return holding_moments(arm.mechanism, masses, q[None, :], gravity).moments[0]
