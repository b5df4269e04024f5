"""From the landmarks a tape can find to the joint centres a linkage must follow.

A tape reads from the acromion (the shoulder's bony edge), the radiale (the gap above the radius at
the elbow) and the stylion (the tip of the radius). The joints turn about other points. Each step
is an estimate of its own with its own band, so that it can be replaced by a measurement.
"""

from limbwright.core.estimate import Estimate
from limbwright.reference.body_dimensions import Sex, index_of, load_body_table
from limbwright.reference.segment_inertia import length_share

_RATIO_SOURCE = (
    "joint-centre length over stature (de Leva 1996, mean of his sample, stature from memory) "
    "against tape length over stature (ANSUR II means); band assumed"
)

# One standard deviation of each ratio, assumed. The other figure known for the upper arm (centres
# 10.4 % of the tape length below the acromion and 4.3 % above the radiale, de Leva's companion
# paper, from memory) gives .853, which lies within two of these of both sexes' ratios.
_UPPER_ARM_SD = 0.025
_FOREARM_SD = 0.02
_DROP_SHARE = 0.104  # of acromion-radiale length; de Leva's companion paper of 1996, from memory


def upper_arm_ratio(sex: Sex) -> Estimate:
    """Shoulder-to-elbow-centre length over acromion-radiale length."""
    return _ratio("upper_arm", "acromion_radiale_length", sex, _UPPER_ARM_SD)


def forearm_ratio(sex: Sex) -> Estimate:
    """Elbow-to-wrist-centre length over radiale-stylion length."""
    return _ratio("forearm", "radiale_stylion_length", sex, _FOREARM_SD)


def shoulder_drop(acromion_radiale: float) -> Estimate:
    """How far the shoulder centre lies below the acromion [m]."""
    source = "10.4 % of acromion-radiale length (de Leva's companion paper of 1996, from memory)"
    return Estimate(_DROP_SHARE * acromion_radiale, 0.010, "assumed", source)


def shoulder_inset() -> Estimate:
    """How far the shoulder centre lies inside the acromion's outer edge [m]."""
    source = "the humeral head's centre sits under the acromion's outer edge; no source"
    return Estimate(0.010, 0.008, "assumed", source)


def shoulder_forward() -> Estimate:
    """How far the shoulder centre stands ahead of mid-foot when upright [m]."""
    return Estimate(0.0, 0.025, "assumed", "shoulder over the feet when standing; no source")


def wrist_past_stylion() -> Estimate:
    """How far the wrist centre lies beyond the radius's tip, towards the hand [m].

    De Leva's hand centre, 36.24 % of wrist centre to fingertip and 36.91 % of stylion to fingertip,
    puts the two origins about 2 mm apart on his men.
    """
    return Estimate(0.002, 0.005, "assumed", "de Leva 1996, two origins of the hand; band assumed")


def _ratio(segment: str, dimension: str, sex: Sex, sd: float) -> Estimate:
    if sex == "pooled":
        # the mean of the sexes, as everywhere: a mixture's own means would weight them otherwise
        one, two = (_ratio(segment, dimension, s, sd) for s in ("female", "male"))
        return Estimate(0.5 * (one.value + two.value), sd, "assumed", _RATIO_SOURCE)
    mean = load_body_table(sex).mean
    tape_share = float(mean[index_of(dimension)] / mean[index_of("stature")])
    return Estimate(length_share(segment, sex) / tape_share, sd, "assumed", _RATIO_SOURCE)
