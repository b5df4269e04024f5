"""Sizes as a shop can make them: rounded, and exactly as their own text says."""

import math
from typing import NamedTuple

from limbwright.core.units import Dimension, System, parse, show, shown

SIXTEENTH = 0.0254 / 16.0  # [m]
LEAN_STEP = math.radians(0.5)
NEAR_LENGTH = 0.005  # [m] a mark is a drawn dot: what is nearer is met; assumed
NEAR_ANGLE = math.radians(1.0)  # likewise; assumed


class Size(NamedTuple):
    """An SI value and the text that reads back as exactly that value."""

    value: float
    text: str


def length_step(system: System) -> float:
    """What lengths are rounded to [m]: 1 mm, or 1/16 in."""
    return 0.001 if system == "mm" else SIXTEENTH


def length_size(length: float, system: System, *, up: bool = False) -> Size:
    """A length to the nearest step, or the next one up."""
    steps = length / length_step(system)
    whole = math.ceil(steps - 1e-6) if up else round(steps)
    text = shown(whole * length_step(system), "length", system, decimals=0 if system == "mm" else 4).text
    return _read(text, "length")


def angle_size(angle: float, step: float = math.radians(1.0)) -> Size:
    """An angle to the nearest step."""
    return _read(shown(round(angle / step) * step, "angle", "mm", decimals=1).text, "angle")


def length_text(length: float, system: System) -> str:
    """A length for reading."""
    return show(length, "length", system)


def angle_text(angle: float) -> str:
    """An angle for reading."""
    return show(angle, "angle")


def signed_text(length: float, system: System) -> str:
    """A length for reading, with its sign."""
    text = length_text(length, system)
    return text if length < 0.0 or text.startswith("0 ") else f"+{text}"


def near(value: float, other: float, angle: bool = False) -> bool:
    """Whether two lengths [m] or angles [rad] are the same for a silhouette."""
    return abs(value - other) <= (NEAR_ANGLE if angle else NEAR_LENGTH)


def _read(text: str, dimension: Dimension) -> Size:
    return Size(parse(text, dimension).value, text)
