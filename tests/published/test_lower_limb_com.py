"""A lower limb's mass centre and inertia from digitised points, Dempster's data as in Winter.

Worked example of a teaching notebook on body segment parameters (BMClab, CC BY 4.0): points
(1.011, .013) (.849, .110) (.864, .549) (.721, .928) m, toe to hip, body mass 100 kg.
"""

import numpy as np
import pytest

from limbwright.core.errors import LimbwrightError
from limbwright.reference.segment_inertia import DEMPSTER, Lump, combine, inertia_about

TOE, ANKLE, KNEE, HIP = (
    np.array([1.011, 0.013, 0.0]),
    np.array([0.849, 0.110, 0.0]),
    np.array([0.864, 0.549, 0.0]),
    np.array([0.721, 0.928, 0.0]),
)
ROUNDING = 6e-4  # printed to 1 mm and 0.001 kg m^2


def planar_segment(name, proximal, distal):
    """A segment in the sagittal plane; only its turning in that plane is known."""
    shares = DEMPSTER[name]
    mass = 100.0 * shares.mass
    radius = shares.gyration * np.linalg.norm(distal - proximal)
    across = np.diag([0.0, 0.0, mass * radius**2])
    return Lump(mass, proximal + shares.centre * (distal - proximal), across)


@pytest.fixture
def limb():
    return [
        planar_segment("foot", ANKLE, TOE),
        planar_segment("shank", KNEE, ANKLE),
        planar_segment("thigh", HIP, KNEE),
    ]


def test_segment_centres_and_inertias(limb):
    centres = [lump.centre[:2] for lump in limb]
    np.testing.assert_allclose(centres, [(0.930, 0.062), (0.858, 0.359), (0.783, 0.764)], atol=ROUNDING)
    turning = [lump.inertia[2, 2] for lump in limb]
    np.testing.assert_allclose(turning, [0.012, 0.082, 0.171], atol=ROUNDING)


def test_whole_limb(limb):
    whole = combine(limb)
    assert whole.mass == pytest.approx(16.1)
    np.testing.assert_allclose(whole.centre[:2], (0.818, 0.584), atol=ROUNDING)
    assert whole.inertia[2, 2] == pytest.approx(1.257, abs=ROUNDING)
    assert inertia_about(whole, HIP)[2, 2] == pytest.approx(3.317, abs=ROUNDING)


def test_the_classic_wrong_way_is_not_taken(limb):
    """Adding the segments' own inertias and carrying their sum as one body gives 2.324."""
    whole = combine(limb)
    own = sum(lump.inertia for lump in limb)
    wrong = inertia_about(Lump(whole.mass, whole.centre, own), HIP)[2, 2]
    assert wrong == pytest.approx(2.324, abs=2e-3)
    assert inertia_about(whole, HIP)[2, 2] > wrong + 0.9


def test_inertia_about_a_joint_equals_the_sum_over_segments(limb):
    # parallel-axis theorem, segment by segment, without any common centre
    apart = sum(inertia_about(lump, HIP) for lump in limb)
    np.testing.assert_allclose(inertia_about(combine(limb), HIP), apart, rtol=1e-12, atol=1e-12)


def test_two_point_masses_make_a_dumbbell():
    # textbook: 1 kg and 3 kg, 2 m apart along y: reduced mass .75 kg, so 3 kg m^2 about x and z
    points = [
        Lump(1.0, np.array([0.0, 0.0, 0.0]), np.zeros((3, 3))),
        Lump(3.0, np.array([0.0, 2.0, 0.0]), np.zeros((3, 3))),
    ]
    whole = combine(points)
    np.testing.assert_allclose(whole.centre, (0.0, 1.5, 0.0))
    np.testing.assert_allclose(whole.inertia, np.diag([3.0, 0.0, 3.0]), atol=1e-12)


def test_nothing_to_combine_is_refused():
    with pytest.raises(LimbwrightError, match="nothing with mass"):
        combine([])
