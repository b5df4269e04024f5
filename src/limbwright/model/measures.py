"""What was measured of a performer, and what that leads one to expect of the rest.

A `+/-` on a measure is taken as two standard deviations (common practice, no source).
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from limbwright.core.estimate import Estimate
from limbwright.model.performer import Performer
from limbwright.model.quantity import Toleranced
from limbwright.reference.body_dimensions import (
    DIMENSION_NAMES,
    SOURCE,
    BodyTable,
    Conditioned,
    condition,
    index_of,
)

# Error of a measure given without a +/-, two standard deviations: a tape set on the wrong landmark
# is easily 10 mm out; a bathroom scale 1 kg. Common practice, no source.
PLAIN_LENGTH_ERROR = 0.010
PLAIN_MASS_ERROR = 1.0
IMPLAUSIBLE = 4.0  # standard deviations from what the other measures lead one to expect


class Reading(NamedTuple):
    """One measure as it enters the reckoning; m or kg."""

    value: float
    sd: float
    source: str


def gather(performer: Performer) -> dict[str, Reading]:
    """All measures by dimension name, stature and body mass among them."""
    given: dict[str, Toleranced] = {
        "stature": performer.stature,
        "body_mass": performer.body_mass,
        **performer.measured,
    }
    return {name: _read(name, measure) for name, measure in given.items()}


def _read(name: str, measure: Toleranced) -> Reading:
    if measure.plus_minus is not None:
        return Reading(measure.value, 0.5 * measure.plus_minus, "measured, +/- as two sd")
    mass = name == "body_mass"
    error = PLAIN_MASS_ERROR if mass else PLAIN_LENGTH_ERROR
    shown = "1 kg" if mass else "10 mm"
    return Reading(measure.value, 0.5 * error, f"measured; no +/- given, {shown} assumed")


def condition_on(table: BodyTable, measures: Mapping[str, Reading]) -> Conditioned:
    """What to expect of everyone with these measures."""
    return condition(
        table.mean,
        table.covariance,
        np.array([index_of(name) for name in measures], dtype=np.int64),
        np.array([measure.value for measure in measures.values()], dtype=float),
        np.array([measure.sd for measure in measures.values()], dtype=float),
    )


def describe(posterior: Conditioned, measures: Mapping[str, Reading]) -> dict[str, Estimate]:
    """Measured dimensions as they were measured, the others as expected."""
    inferred = f"{SOURCE}, expected given {', '.join(measures)}"
    described: dict[str, Estimate] = {}
    for row, name in enumerate(DIMENSION_NAMES):
        measure = measures.get(name)
        if measure is not None:
            described[name] = Estimate(measure.value, measure.sd, "measured", measure.source)
            continue
        spread = math.sqrt(max(float(posterior.covariance[row, row]), 0.0))
        described[name] = Estimate(float(posterior.mean[row]), spread, "published", inferred)
    return described


def implausible(table: BodyTable, measures: Mapping[str, Reading]) -> tuple[str, ...]:
    """One line for each measure that the others make hard to believe, the strangest first."""
    lines: list[tuple[float, str]] = []
    for name, measure in measures.items():
        others = {other: m for other, m in measures.items() if other != name}
        expected = condition_on(table, others)
        row = index_of(name)
        value = float(expected.mean[row])
        sd = math.sqrt(float(expected.covariance[row, row]) + measure.sd**2)
        away = abs(measure.value - value) / sd
        if away > IMPLAUSIBLE:
            scale, unit, digits = (1.0, "kg", 1) if name == "body_mass" else (1e3, "mm", 0)
            text = (
                f"{name} {scale * measure.value:.{digits}f} {unit} is {away:.1f} standard "
                f"deviations from the {scale * value:.{digits}f} {unit} that the other measures "
                f"lead to expect; check the landmarks, the unit and the sex"
            )
            lines.append((away, text))
    return tuple(text for _, text in sorted(lines, key=lambda line: -line[0]))
