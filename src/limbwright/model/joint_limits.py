"""A performer's shoulder and elbow limits in the form the engine uses.

Clinical ranges become an elevation limit by plane of elevation and a swing-twist rotation limit by
elevation. Swing-twist rotation is the turn of the upper arm about its own axis that remains after
the shortest swing from hanging; medial (inward) is positive, lateral (outward) negative, and the
same numbers serve both arms.
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from jaxtyping import Float

from limbwright.core.errors import GeometryError
from limbwright.core.estimate import Basis, Estimate, weakest
from limbwright.model.performer import OwnLimits
from limbwright.reference.body_dimensions import Sex
from limbwright.reference.joint_range import cautious_range, fifth_percentile

RIGHT_ANGLE = 0.5 * math.pi


class RotationRange(NamedTuple):
    """Swing-twist rotation limits [rad]."""

    medial: Float[np.ndarray, "*batch"]
    lateral: Float[np.ndarray, "*batch"]  # negative


class JointLimits(NamedTuple):
    """How far a performer's arm goes; every range as a positive angle [rad]."""

    flexion: Estimate
    extension: Estimate
    abduction: Estimate
    medial_side: Estimate
    medial_raised: Estimate
    lateral_side: Estimate
    lateral_raised: Estimate
    elbow_flexion: Estimate

    def elevation(self, plane: Float[np.ndarray, "*batch"] | float) -> Float[np.ndarray, "*batch"]:
        """Greatest elevation in a plane of elevation [rad].

        Straight lines between extension (plane -90 deg), abduction (0) and flexion (90 deg). No
        table goes further: planes beyond 90 deg keep flexion's value, those behind -90 deg
        extension's.

        Args:
            plane: plane of elevation, 0 out to the side, 90 deg forward, within +/- 180 deg [rad].
        """
        knots = (-RIGHT_ANGLE, 0.0, RIGHT_ANGLE)
        heights = (self.extension.value, self.abduction.value, self.flexion.value)
        return np.asarray(np.interp(plane, knots, heights))

    def rotation(self, elevation: Float[np.ndarray, "*batch"] | float) -> RotationRange:
        """Medial (positive) and lateral (negative) rotation limits at an elevation [rad].

        A straight line between the arm hanging (0) and raised square (90 deg); held above, where no
        table goes.

        Args:
            elevation: of the upper arm, 0 hanging [rad].
        """
        knots = (0.0, RIGHT_ANGLE)
        medial = np.interp(elevation, knots, (self.medial_side.value, self.medial_raised.value))
        lateral = np.interp(elevation, knots, (self.lateral_side.value, self.lateral_raised.value))
        return RotationRange(np.asarray(medial), -np.asarray(lateral))

    @property
    def elbow(self) -> tuple[float, float]:
        """Least and greatest elbow flexion [rad]; hyperextension is not asked of anyone."""
        return (0.0, self.elbow_flexion.value)

    @property
    def basis(self) -> Basis:
        """The weakest basis among the limits."""
        return weakest(estimate.basis for estimate in self)

    @property
    def sources(self) -> Mapping[str, str]:
        """Where each limit comes from."""
        return {name: estimate.source for name, estimate in zip(self._fields, self, strict=True)}


def set_limits(sex: Sex, own: OwnLimits) -> JointLimits:
    """A performer's limits: their own where measured, else the cautious published ones.

    An own rotation holds at every elevation, so it is to be measured where it is least: lateral
    with the arm hanging, medial with the arm raised square to the side.

    Args:
        sex: whose tables to use.
        own: measured limits, each positive in its direction [rad].

    Raises:
        GeometryError: an own limit is not between 0 and 180 deg.
    """

    def pick(name: str) -> Estimate:
        return _own(own, name) or cautious_range(name, sex)

    medial = _own(own, "medial_rotation")
    lateral = _own(own, "lateral_rotation")
    medial_raised = medial or cautious_range("medial_rotation_raised", sex)
    return JointLimits(
        flexion=pick("shoulder_flexion"),
        extension=pick("shoulder_extension"),
        abduction=pick("shoulder_abduction"),
        medial_side=medial or _medial_hanging(sex),
        medial_raised=medial_raised,
        lateral_side=lateral or cautious_range("lateral_rotation_side", sex),
        lateral_raised=lateral or cautious_range("lateral_rotation_raised", sex),
        elbow_flexion=pick("elbow_flexion"),
    )


def _own(own: OwnLimits, name: str) -> Estimate | None:
    value: float | None = getattr(own, name)
    if value is None:
        return None
    if not 0.0 < value <= math.pi:
        raise GeometryError(
            f"limits.{name}",
            f"{math.degrees(value):g} deg is not a range of motion",
            "write it as a positive angle up to 180 deg, whichever way it goes",
        )
    return Estimate(value, None, "measured", f"own limit {name}")


def _medial_hanging(sex: Sex) -> Estimate:
    """Medial rotation with the arm hanging: no fifth percentile is tabulated there.

    The one with the arm raised stands in for it. The least tabulated mean (49 deg) is larger, was
    mostly taken with the arm raised too, and half of the people stay below a mean.
    """
    raised = fifth_percentile("medial_rotation_raised", sex)
    if raised is None:
        return cautious_range("medial_rotation", sex)
    return Estimate(
        raised.value,
        None,
        "assumed",
        f"as with the arm raised ({raised.source}); not tabulated with the arm hanging",
    )
