"""Mirrors `core/units.py`: the grammar, the factors, and the way back to text.

Factors are set against two things outside the project: pint's registry, and the conversion factors
printed in NIST Special Publication 811 (2008), appendix B.8 (printed digits from memory).
"""

import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from limbwright.core.unit_table import UNITS
from limbwright.core.units import (
    DIMENSIONS,
    Dimension,
    System,
    UnitError,
    convert,
    display_unit,
    parse,
    show,
    shown,
    units_of,
)

INCH = 0.0254  # exact by definition
PINT_NAMES = {
    "N m": "newton * meter",
    "N mm": "newton * millimeter",
    "lbf in": "force_pound * inch",
    "lbf ft": "force_pound * foot",
    "km/h": "kilometer / hour",
    "m/s": "meter / second",
    "ft/s": "foot / second",
    "mph": "mile / hour",
    "kn": "knot",
    "kgf": "kilogram_force",
    "%": "percent",
    "h": "hour",
    "min": "minute",
}
SI = {
    "length": "meter",
    "mass": "kilogram",
    "force": "newton",
    "moment": "newton * meter",
    "angle": "radian",
    "pressure": "pascal",
    "temperature": "kelvin",
    "speed": "meter / second",
    "time": "second",
    "share": "dimensionless",
}


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize("unit", UNITS)
def test_factor_agrees_with_pint(unit: str, registry: pint.UnitRegistry) -> None:
    dimension = UNITS[unit].dimension
    wanted = registry.Quantity(37.25, PINT_NAMES.get(unit, unit)).to(SI[dimension]).magnitude
    assert parse(f"37.25 {unit}", dimension).value == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "printed"),
    [
        ("1 lbf", "force", 4.448222),
        ("1 kgf", "force", 9.80665),
        ("1 lb", "mass", 0.4535924),
        ("1 oz", "mass", 0.02834952),
        ("1 lbf in", "moment", 0.1129848),
        ("1 lbf ft", "moment", 1.355818),
        ("1 psi", "pressure", 6894.757),
        ("1 ksi", "pressure", 6894757.0),
        ("1 mph", "speed", 0.44704),
        ("1 kn", "speed", 0.5144444),
        ("1 ft", "length", 0.3048),
    ],
)
def test_factor_agrees_with_printed_table(text: str, dimension: Dimension, printed: float) -> None:
    # the table prints seven significant digits
    assert parse(text, dimension).value == pytest.approx(printed, rel=5e-7)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1 5/8 in", 1.625),
        ("1-5/8 in", 1.625),
        ("1½ in", 1.5),
        ("1 ½ in", 1.5),
        ("½ in", 0.5),
        ("5/8 in", 0.625),
        ('5/8"', 0.625),
        ('1 5/8"', 1.625),
        ("1 ft 6 in", 18.0),
        ("6'2\"", 74.0),
        ("6' 2\"", 74.0),
        ("6′ 2 1/2″", 74.5),
        ("6'-2 1/2\"", 74.5),
        ("6'", 72.0),
        ("6 ft", 72.0),
        ("-1 5/8 in", -1.625),
        ("−1-5/8 in", -1.625),
        ("+3 in", 3.0),
        (".5 in", 0.5),
        ("1.625in", 1.625),
        ("  1   5/8   in ", 1.625),
        ("25.4 mm", 1.0),
        ("2.54 cm", 1.0),
        ("0.0254 m", 1.0),
    ],
)
def test_lengths_as_shops_write_them(text: str, inches: float) -> None:
    value, plus_minus = parse(text, "length")
    assert value == pytest.approx(inches * INCH, rel=1e-15)
    assert plus_minus is None


@pytest.mark.parametrize(
    ("text", "dimension", "value", "plus_minus"),
    [
        ("620 mm +/- 0.5 mm", "length", 0.62, 0.0005),
        ("620 mm ± 0.5 mm", "length", 0.62, 0.0005),
        ("620 ± 0.5 mm", "length", 0.62, 0.0005),
        ("24 in +/- 1/16 in", "length", 24 * INCH, INCH / 16),
        ("620 mm +/- 1 %", "length", 0.62, 0.0062),
        ("-45 deg +/- 10 %", "angle", math.radians(-45), math.radians(4.5)),
        ("45 % +/- 5 %", "share", 0.45, 0.05),
        ("45 ± 5 %", "share", 0.45, 0.05),
        ("20 °C +/- 2 K", "temperature", 293.15, 2.0),
        ("68 degF +/- 9 degF", "temperature", 293.15, 5.0),
        ("2 lb 4 oz +/- 1 oz", "mass", 2.25 * 0.45359237, 0.45359237 / 16),
        ("12 N·m", "moment", 12.0, None),
        ("12 Nm", "moment", 12.0, None),
        ("12 N*m", "moment", 12.0, None),
        ("12 ft·lbf", "moment", 12 * 1.3558179483314004, None),
        ("45°", "angle", math.pi / 4, None),
        ("90 deg", "angle", math.pi / 2, None),
    ],
)
def test_amounts(text: str, dimension: Dimension, value: float, plus_minus: float | None) -> None:
    amount = parse(text, dimension)
    assert amount.value == pytest.approx(value, rel=1e-14)
    assert amount.plus_minus == (None if plus_minus is None else pytest.approx(plus_minus, rel=1e-14))


@pytest.mark.parametrize(
    ("text", "dimension", "problem", "remedy"),
    [
        # a lone comma names both readings
        ("2,5 mm", "length", "2.5 mm or as 25 mm", "write 2.5 mm or 25 mm"),
        ("2,500 mm", "length", "2.500 mm or as 2500 mm", "2.500 mm or 2500 mm"),
        ("1,234.5 mm", "length", "commas", "1234.5 mm"),
        ("620 mm +/- 0,5 mm", "length", "comma", "0.5 mm"),
        # a force is no mass
        ("12 lb", "force", "lb is a mass", "write 12 lbf"),
        ("12 lbf", "mass", "lbf is a force", "write 12 lb"),
        ("12 kg", "force", "kg is a mass", "write 12 kgf"),
        ("12 lb ft", "moment", "no unit of moment", "12 lbf ft"),
        ("20 C", "temperature", "C is no unit of temperature", "20 degC"),
        # dimension and unit
        ("620", "length", "no unit", "write 620 mm"),
        ("1 5/8", "length", "no unit", "write 1 5/8 mm"),
        ("620 kg", "length", "is a mass", "mm, cm, m, in, ft"),
        ("620 mm", "mass", "is a length", "kg"),
        ("6 inches", "length", "no unit 'inches'", "write 6 in"),
        ("620 MM", "length", "no unit 'MM'", "write 620 mm"),
        ("620 milli", "length", "no unit", "mm"),
        ("5 lbs", "mass", "no unit 'lbs'", "write 5 lb"),
        ("5 degrees", "angle", "no unit", "write 5 deg"),
        ("5 furlongs", "length", "no unit", "use one of mm"),
        ("0.45", "share", "no unit", "write 45 %, or 0.45 % if"),
        ("45", "share", "no unit", "write 45 %"),
        # numbers
        ("1e3 mm", "length", "exponent", "write the number out"),
        ("nan mm", "length", "not a number", "12 mm"),
        ("inf mm", "length", "not a number", "12 mm"),
        ("", "length", "not a number", "12 mm"),
        ("mm", "length", "not a number", "12 mm"),
        ("1/0 in", "length", "divides by zero", "5/8"),
        ("1 9/8 in", "length", "fraction of one or more", "carry it over"),
        ("1 ft 14 in", "length", "14 in", "12 in make 1 ft"),
        ("1 lb 20 oz", "mass", "20 oz", "16 oz make 1 lb"),
        ("6'2\"", "mass", "not a mass", "5.2 kg"),
        ("1.2.3 mm", "length", "not a number", "12 mm"),
        ("--5 mm", "length", "not a number", "12 mm"),
        ("٣ mm", "length", "not a number", "12 mm"),
        ("5 mm 6 mm", "length", "no unit", "mm"),
        ("9" * 100, "length", "100 characters", "a number and a unit"),
        # plus-minus
        ("± 5 mm", "length", "nothing before", "+/-"),
        ("5 mm ±", "length", "nothing after", "+/-"),
        ("5 mm ± 1 mm ± 2 mm", "length", "more than one", "one +/-"),
        ("5 mm ± -1 mm", "length", "negative", "positive"),
        ("5 mm +/- 1", "length", "no unit", "write 1 mm"),
        ("5 mm +/- 1 kg", "length", "is a mass", "mm"),
    ],
)
def test_refusals_say_what_would_be_right(text: str, dimension: Dimension, problem: str, remedy: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(text, dimension)
    assert problem in caught.value.problem
    assert remedy in caught.value.remedy
    assert "\n" not in str(caught.value)


@given(st.text(max_size=60), st.sampled_from(DIMENSIONS))
def test_any_text_is_an_amount_or_refused(text: str, dimension: Dimension) -> None:
    try:
        value, plus_minus = parse(text, dimension)
    except UnitError:
        return
    assert math.isfinite(value)
    assert plus_minus is None or plus_minus >= 0.0


@given(
    st.integers(0, 500),
    st.sampled_from([2, 4, 8, 16, 32, 64]),
    st.data(),
    st.sampled_from([" ", "-"]),
    st.sampled_from(["in", '"', " in", ' "']),
)
def test_mixed_numbers_are_exact(
    whole: int, denominator: int, data: st.DataObject, gap: str, unit: str
) -> None:
    numerator = data.draw(st.integers(1, denominator - 1))
    value = parse(f"{whole}{gap}{numerator}/{denominator}{unit}", "length").value
    assert value == float((whole + Fraction(numerator, denominator)) * Fraction(254, 10_000))


@given(st.floats(-50.0, 50.0), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_fractional_inches_come_back_with_their_residual(value: float, denominator: int) -> None:
    text, residual = shown(value, "length", "frac-in", denominator=denominator)
    assert parse(text, "length").value == pytest.approx(value + residual, abs=1e-12)
    assert abs(residual) <= 0.5 * INCH / denominator + 1e-12


@given(st.floats(-1e4, 1e4), st.sampled_from(DIMENSIONS), st.sampled_from(["mm", "in", "frac-in"]))
def test_what_is_shown_reads_back(value: float, dimension: Dimension, system: System) -> None:
    text, residual = shown(value, dimension, system)
    rounding = 1e-12 * max(abs(value), 300.0 if dimension == "temperature" else 1.0)
    assert parse(text, dimension).value == pytest.approx(value + residual, abs=rounding)
    assert text.endswith(display_unit(dimension, system))


@pytest.mark.parametrize(
    ("value", "dimension", "system", "text"),
    [
        (0.62, "length", "mm", "620 mm"),
        (0.6234, "length", "mm", "623.4 mm"),
        (0.041275, "length", "in", "1.625 in"),
        (0.041275, "length", "frac-in", "1 5/8 in"),
        (0.0127, "length", "frac-in", "1/2 in"),
        (-0.0127, "length", "frac-in", "-1/2 in"),
        (0.0, "length", "frac-in", "0 in"),
        (-1e-9, "length", "mm", "0 mm"),
        (5.2, "mass", "mm", "5.2 kg"),
        (math.pi / 2, "angle", "frac-in", "90 deg"),
        (0.45, "share", "mm", "45 %"),
        (1.0, "moment", "in", "8.9 lbf in"),  # 1 N m = 8.850746 lbf in, NIST SP 811 inverted
        (293.15, "temperature", "in", "68 degF"),
    ],
)
def test_shown_text(value: float, dimension: Dimension, system: System, text: str) -> None:
    assert show(value, dimension, system) == text


def test_only_finite_values_and_shop_fractions_are_shown() -> None:
    with pytest.raises(ValueError, match="finite"):
        show(math.nan, "length")
    with pytest.raises(ValueError, match="denominator"):
        shown(1.0, "length", "frac-in", denominator=10)


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_every_dimension_lists_its_units_usual_first(dimension: Dimension) -> None:
    names = units_of(dimension)
    assert len(names) == len(set(names))
    assert all(UNITS[name].dimension == dimension for name in names)
    assert names[0] == display_unit(dimension, "mm")


def test_convert_is_the_inverse_of_parse() -> None:
    for unit, known in UNITS.items():
        assert convert(parse(f"37.25 {unit}", known.dimension).value, unit) == pytest.approx(37.25)
