"""limbwright.reference.joint_centre: landmark to joint centre, each step with its band."""

import pytest

from limbwright.reference import joint_centre as centres


@pytest.mark.parametrize(
    ("sex", "worked"),
    [
        # men: (281.7/1741) / (335.2/1756.2); women: (275.1/1735) / (311.2/1628.5)
        ("male", 0.8477),
        ("female", 0.8297),
        ("pooled", 0.8387),
    ],
)
def test_upper_arm_ratio_worked_from_printed_means(sex, worked):
    ratio = centres.upper_arm_ratio(sex)
    assert ratio.value == pytest.approx(worked, abs=2e-4)
    assert ratio.basis == "assumed"


@pytest.mark.parametrize(
    ("sex", "worked"),
    # men: (268.9/1741) / (267.9/1756.2); women: (264.3/1735) / (241.3/1628.5)
    [("male", 1.0125), ("female", 1.0281)],
)
def test_forearm_ratio_worked_from_printed_means(sex, worked):
    assert centres.forearm_ratio(sex).value == pytest.approx(worked, abs=2e-4)


@pytest.mark.parametrize("sex", ["male", "female", "pooled"])
def test_the_other_published_figure_lies_in_the_band(sex):
    """de Leva's companion paper of 1996 (from memory).

    Shoulder centre 10.4 % of acromion-radiale length below the acromion, elbow centre 4.3 % above
    the radiale: together .853 of the tape length.
    """
    low, high = centres.upper_arm_ratio(sex).band()
    assert low < 1.0 - 0.104 - 0.043 < high


def test_wrist_step_worked_from_two_hand_rows():
    """Men's hand centre: .7900 of 86.2 mm, .3624 of wrist to fingertip, .3691 of stylion to it."""
    wrist_to_tip = 0.7900 * 86.2 / 0.3624
    stylion_to_tip = wrist_to_tip * (1.0 - 0.3624) / (1.0 - 0.3691)
    step = centres.wrist_past_stylion()
    assert 1e3 * step.value == pytest.approx(stylion_to_tip - wrist_to_tip, abs=0.1)
