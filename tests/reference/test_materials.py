"""limbwright.reference.materials against handbook values and one worked cantilever."""

import math

import pytest

from limbwright.core.errors import LimbwrightError
from limbwright.reference.materials import MATERIAL_NAMES, material


@pytest.mark.parametrize(
    ("name", "modulus_gpa", "yield_mpa", "density"),
    [
        ("6061-T6", 68.9, 276, 2700),  # usual handbook values, second-hand
        ("6060-T6", 69.0, 150, 2700),
        ("S355", 210.0, 355, 7850),  # EN 10025 grades are named after their yield
        ("S235", 210.0, 235, 7850),
        ("birch plywood", 9.5, 40, 690),  # ranges 8-11 GPa and 680-700 kg/m^3
    ],
)
def test_handbook_values(name, modulus_gpa, yield_mpa, density):
    found = material(name)
    assert found.modulus is not None
    assert found.yield_strength is not None
    assert found.modulus.value == pytest.approx(modulus_gpa * 1e9)
    assert found.yield_strength.value == pytest.approx(yield_mpa * 1e6)
    assert found.density.value == pytest.approx(density)
    assert found.density.basis == "published"


def test_cantilever_of_6061_tube():
    """Tube 25 x 1.5 mm, 1 m long, 50 N at the tip: 31.514 mm by P L^3 / (3 E I)."""
    alloy = material("6061-T6")
    assert alloy.modulus is not None
    second_moment = math.pi / 64 * (0.025**4 - 0.022**4)
    assert 50.0 / (3.0 * alloy.modulus.value * second_moment) == pytest.approx(31.514e-3, abs=1e-6)


def test_strength_takes_the_lower_of_two_tables():
    # handbooks give 7075-T6 a yield of 503 and of 448 MPa
    assert material("7075-T6").yield_strength.value == pytest.approx(448e6)
    assert "448 to 503" in material("7075-T6").yield_strength.source


def test_a_range_becomes_a_band():
    foam = material("EVA firm")  # 80 to 120 kg/m^3
    assert foam.density.band() == pytest.approx((80.0, 120.0))
    assert foam.modulus is None
    assert foam.yield_strength is None


def test_values_from_memory_are_assumed_and_say_so():
    carbon = material("CFRP-wrapped")
    assert carbon.density.basis == "assumed"
    assert "from memory" in carbon.density.source


@pytest.mark.parametrize("written", ["6061-T6", "6061 t6", "6061T6"])
def test_spelling_does_not_matter(written):
    assert material(written).name == "6061-T6"


def test_unknown_material_lists_the_known_ones():
    with pytest.raises(LimbwrightError, match=r"no material 'mithril'.*6061-T6.*birch plywood"):
        material("mithril")


def test_every_material_is_ordered_sensibly():
    for name in MATERIAL_NAMES:
        found = material(name)
        assert 10.0 < found.density.value < 9000.0
        if found.yield_strength and found.ultimate_strength:
            assert found.yield_strength.value < found.ultimate_strength.value
        if found.yield_strength and found.modulus:  # yield strain of a few per cent at most
            assert found.yield_strength.value < 0.05 * found.modulus.value
