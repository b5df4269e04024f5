"""A performer's body, completed from whatever was measured.

Stature and body mass are enough to start; every further tape measure narrows the bands. What was
not measured is the conditional mean given all that was, from ANSUR II. A `+/-` on a measure is
taken as two standard deviations (common practice, no source).
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from limbwright.core.estimate import Estimate, weakest
from limbwright.model.joint_limits import JointLimits as JointLimits
from limbwright.model.joint_limits import set_limits
from limbwright.model.measures import condition_on, describe, gather, implausible
from limbwright.model.performer import Performer
from limbwright.reference import joint_centre as centres
from limbwright.reference import segment_inertia as inertia
from limbwright.reference.body_dimensions import (
    DIMENSION_NAMES,
    SOURCE,
    Conditioned,
    Sex,
    index_of,
    load_body_table,
)


class Segment(NamedTuple):
    """One body segment; of a paired one, one side."""

    mass: float  # [kg]
    length: float  # [m]
    centre: float  # from the proximal or upper end [m]
    gyration: tuple[float, float, float]  # about fore-aft, sideways, lengthwise axes [m]


@dataclass(frozen=True)
class Body:
    """A performer's dimensions, joint centres, segments and limits; SI.

    `shoulder_out`, `shoulder_up` and `shoulder_forward` place the shoulder's centre, arm hanging,
    from the mid-plane, the barefoot floor and mid-foot. It is no fixed point: it rises and travels
    as the arm goes up. `upper_arm_centre_dempster` is the other published place of the upper arm's
    mass centre [m from the shoulder], given beside de Leva's because the two differ most there.
    """

    sex: Sex
    stature: Estimate
    body_mass: Estimate
    dimensions: Mapping[str, Estimate]
    upper_arm: Estimate
    forearm: Estimate
    hand_to_grip: Estimate
    shoulder_out: Estimate
    shoulder_up: Estimate
    shoulder_forward: Estimate
    segments: Mapping[str, Segment]
    segments_source: str
    upper_arm_centre_dempster: float
    limits: JointLimits
    warnings: tuple[str, ...]


def complete_body(performer: Performer) -> Body:
    """Fill in what was not measured and place the joint centres.

    Raises:
        GeometryError: an own joint limit is no range of motion.
    """
    sex = performer.sex
    measures = gather(performer)
    table = load_body_table(sex)
    posterior = condition_on(table, measures)
    dimensions = describe(posterior, measures)
    upper_arm = _scaled(dimensions["acromion_radiale_length"], centres.upper_arm_ratio(sex))
    forearm = _scaled(dimensions["radiale_stylion_length"], centres.forearm_ratio(sex))
    return Body(
        sex=sex,
        stature=dimensions["stature"],
        body_mass=dimensions["body_mass"],
        dimensions=dimensions,
        upper_arm=upper_arm,
        forearm=forearm,
        hand_to_grip=_hand_to_grip(dimensions, posterior),
        shoulder_out=_less(dimensions["biacromial_breadth"], 0.5, centres.shoulder_inset()),
        shoulder_up=_less(
            dimensions["acromial_height"],
            1.0,
            centres.shoulder_drop(dimensions["acromion_radiale_length"].value),
        ),
        shoulder_forward=centres.shoulder_forward(),
        segments=_segments(sex, dimensions, upper_arm.value, forearm.value),
        segments_source=inertia.DE_LEVA_SOURCE,
        upper_arm_centre_dempster=inertia.DEMPSTER["upper_arm"].centre * upper_arm.value,
        limits=set_limits(sex, performer.limits),
        warnings=implausible(table, measures),
    )


def _scaled(tape: Estimate, ratio: Estimate) -> Estimate:
    """A tape length times a landmark-to-centre ratio; their errors are independent."""
    return Estimate(
        tape.value * ratio.value,
        _root_sum([ratio.value * _spread(tape), tape.value * _spread(ratio)]),
        weakest([tape.basis, ratio.basis]),
        f"tape length ({tape.source}) x {ratio.value:.3f} ({ratio.source})",
    )


def _less(tape: Estimate, share: float, step: Estimate) -> Estimate:
    """A share of a tape length less a step from landmark to centre."""
    return Estimate(
        share * tape.value - step.value,
        _root_sum([share * _spread(tape), _spread(step)]),
        weakest([tape.basis, step.basis]),
        f"tape ({tape.source}) less {1e3 * step.value:.0f} mm ({step.source})",
    )


def _hand_to_grip(dimensions: Mapping[str, Estimate], posterior: Conditioned) -> Estimate:
    """Wrist centre to the middle of a gripped rod.

    Both forearm-hand and grip length start at the back of the elbow, so that
    grip - (forearm-hand - hand) is the distance from the radius's tip to the grip.
    """
    signs = {"forearm_center_of_grip_length": 1.0, "forearm_hand_length": -1.0, "hand_length": 1.0}
    step = centres.wrist_past_stylion()
    weights = np.zeros(len(DIMENSION_NAMES))
    for name, sign in signs.items():
        weights[index_of(name)] = sign
    value = sum(sign * dimensions[name].value for name, sign in signs.items())
    spread = math.sqrt(max(float(weights @ posterior.covariance @ weights), 0.0))
    return Estimate(
        value - step.value,
        _root_sum([spread, _spread(step)]),
        weakest([step.basis, *(dimensions[name].basis for name in signs)]),
        f"grip length less forearm ({SOURCE} or measured), less the wrist's step ({step.source})",
    )


def _segments(
    sex: Sex, dimensions: Mapping[str, Estimate], upper_arm: float, forearm: float
) -> dict[str, Segment]:
    """Every segment's mass, length, centre and radii."""
    stature, mass = dimensions["stature"].value, dimensions["body_mass"].value
    known = {
        "upper_arm": upper_arm,
        "forearm": forearm,
        "hand": dimensions["hand_length"].value,  # stylion and wrist centre are 2 mm apart
        "foot": dimensions["foot_length"].value,
    }
    segments: dict[str, Segment] = {}
    for name in inertia.SEGMENTS:
        shares = inertia.segment_shares(name, sex)
        length = known[name] if name in known else stature * inertia.length_share(name, sex)
        a, b, c = (share * length for share in shares.gyration)
        segments[name] = Segment(shares.mass * mass, length, shares.centre * length, (a, b, c))
    return segments


def _spread(estimate: Estimate) -> float:
    return 0.0 if estimate.sd is None else estimate.sd


def _root_sum(terms: Sequence[float]) -> float:
    return math.sqrt(sum(term * term for term in terms))
