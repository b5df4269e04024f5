"""What the suit weighs and where its centre is, with ranges."""

from dataclasses import dataclass

import numpy as np
from jaxtyping import Float

from limbwright.core.estimate import Basis
from limbwright.engine.closure import Frames, frames
from limbwright.limbs.arm_masses import MassItem, arm_items, carried_at, mass_ends
from limbwright.limbs.worn_arm import WornArm
from limbwright.model.suit import Suit


@dataclass(frozen=True)
class Weighed:
    """One thing in the suit."""

    name: str
    mass: float  # [kg]
    range: tuple[float, float] | None
    basis: Basis
    centre: Float[np.ndarray, " 3"]  # in the world, suit in its assembled pose [m]


@dataclass(frozen=True)
class MassBudget:
    """The whole suit without the performer, standing in its assembled pose."""

    items: tuple[Weighed, ...]
    total: float  # [kg]
    band: tuple[float, float] | None  # every mass at its least and greatest; None without any range
    centre: Float[np.ndarray, " 3"]  # [m]
    height_band: tuple[float, float]  # of the centre, over the masses' ranges [m]
    unstated: tuple[str, ...]  # masses without a range


def weigh(suit: Suit, arms: tuple[WornArm, ...]) -> MassBudget:
    """Add up everything that has a mass."""
    items: list[Weighed] = []
    for arm in arms:
        placed = frames(arm.mechanism, arm.mechanism.assembled)
        for item in arm_items(suit, arm):
            items.append(
                Weighed(
                    f"{item.name} ({arm.label})", item.mass, item.range, item.basis, _where(arm, placed, item)
                )
            )
    items += _worn(suit)
    masses = np.array([i.mass for i in items])
    centres = np.array([i.centre for i in items])
    ends = np.array([mass_ends(i.mass, i.range) for i in items])
    total = float(masses.sum())
    return MassBudget(
        items=tuple(items),
        total=total,
        band=(float(ends[:, 0].sum()), float(ends[:, 1].sum())),
        centre=masses @ centres / total,
        height_band=_centre_band(ends, centres[:, 2]),
        unstated=tuple(i.name for i in items if i.range is None),
    )


def _where(arm: WornArm, placed: Frames, item: MassItem) -> np.ndarray:
    """Centre of an item in the world [m]."""
    carried = carried_at(arm.mechanism, item)
    return sum((share * placed.point(body, at) for body, at, share in carried), np.zeros(3))


def _worn(suit: Suit) -> list[Weighed]:
    """Harness, stilts, and the parts fastened to them."""
    h = suit.harness
    items = [Weighed("harness", h.mass.value, h.mass.range, h.mass.basis, np.array(h.centre))]
    if suit.stilts:
        s = suit.stilts
        for side, y in (("left", 0.1), ("right", -0.1)):
            items.append(
                Weighed(
                    f"stilt ({side})",
                    s.mass.value,
                    s.mass.range,
                    s.mass.basis,
                    np.array([0.0, y, 0.5 * s.height]),
                )
            )
    by_name = {part.name: part for part in suit.parts}
    for part in suit.parts:
        at, host = np.array(part.centre), part
        while host.on in by_name:
            host = by_name[host.on]
            at = at + np.array(host.centre)
        if host.on == "harness":
            items.append(Weighed(part.name, part.mass.value, part.mass.range, part.mass.basis, at))
    return items


def _centre_band(ends: np.ndarray, heights: np.ndarray) -> tuple[float, float]:
    """Least and greatest height of the centre with each mass anywhere in its range.

    The extreme puts every mass above a level at one end and every mass below it at the other, so
    it is enough to try each level between two items.
    """
    order = np.argsort(heights, kind="stable")
    low, high = ends[order, 0], ends[order, 1]
    h = heights[order]
    lowest, highest = np.inf, -np.inf
    for cut in range(len(h) + 1):
        heavy_below = np.concatenate([high[:cut], low[cut:]])
        heavy_above = np.concatenate([low[:cut], high[cut:]])
        lowest = min(lowest, float(heavy_below @ h / heavy_below.sum()))
        highest = max(highest, float(heavy_above @ h / heavy_above.sum()))
    return (lowest, highest)
