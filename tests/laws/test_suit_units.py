"""A suit in millimetres, kilograms and newton metres, and the same suit in inches, pounds and pound-feet.

Every length is a whole number of 1/32 in and every mass of 1/2 lb, so both texts are exact: 1 in = 25.4 mm,
1 lb = 0.45359237 kg (international yard and pound agreement, 1959); moments, 1 lbf ft = 1.3558179483314004
N m, are written to nine places. Both files must read to one suit and give one answer.
"""

import re
from decimal import Decimal
from fractions import Fraction

import pytest

from limbs.trial import suit_of, suit_text
from limbwright.analyses.assess import assess
from limbwright.core.finding import Finding
from limbwright.model.suit import Suit
from limbwright.model.suit_file import parse_suit

INCH, POUND = Fraction(254, 10), Fraction(45359237, 100000000)  # mm, kg
FOOT_POUND = POUND * Fraction(980665, 100000) * Fraction(3048, 10000)
NUMBER = r"(?<![\w.-])(-?\d+(?:\.\d+)?)"


def exact(value: Fraction) -> str:
    """A fraction as a terminating decimal."""
    text = Decimal(value.numerator) / Decimal(value.denominator)
    assert Fraction(text) == value
    return f"{text:f}"


def mixed(value: Fraction) -> str:
    """Inches as a shop writes them: 23 5/8 in."""
    sign, value = ("-", -value) if value < 0 else ("", value)
    whole, rest = divmod(value, 1)
    if not rest:
        return f"{sign}{whole} in"
    return f"{sign}{f'{whole} ' if whole else ''}{rest.numerator}/{rest.denominator} in"


def both(text: str) -> tuple[str, str]:
    """The trial file with its lengths set to the nearest 1/32 in, masses to 1/2 lb, in both systems."""

    def thirty_seconds(number: str) -> Fraction:
        return Fraction(round(Fraction(number) / INCH * 32), 32)

    def metric_length(found: re.Match[str]) -> str:
        return f"{exact(thirty_seconds(found[1]) * INCH)} mm"

    def metric_mass(found: re.Match[str]) -> str:
        return f"{exact(Fraction(round(Fraction(found[1]) / POUND * 2), 2) * POUND)} kg"

    def metric_moment(found: re.Match[str]) -> str:
        return f"{float(round(Fraction(found[1]) / FOOT_POUND) * FOOT_POUND):.9f} N m"

    # tolerances and sections have two numbers to a text: written out for each system beforehand
    text = re.sub(r" \+/- [\d.]+ mm", " +/- 0.79375 mm", text)
    text = re.sub(r"(tube|flat) ([\d.]+) x ([\d.]+) mm", _section, text)
    metric = re.sub(NUMBER + " kg", metric_mass, re.sub(NUMBER + " N m", metric_moment, text))
    metric = re.sub(r"(?<!/- )(?<! x )(?<!tube )(?<!flat )" + NUMBER + r" mm(?! x)", metric_length, metric)
    inch = re.sub(NUMBER + " mm", lambda m: mixed(Fraction(m[1]) / INCH), metric)
    inch = re.sub(r"(tube|flat) ([\d.]+) x", lambda m: f"{m[1]} {mixed(Fraction(m[2]) / INCH)} x", inch)
    inch = re.sub(NUMBER + " kg", lambda m: f"{exact(Fraction(m[1]) / POUND)} lb", inch)
    inch = re.sub(NUMBER + " N m", lambda m: f"{round(Fraction(m[1]) / FOOT_POUND)} lbf ft", inch)
    return metric, inch


def _section(found: re.Match[str]) -> str:
    sizes = (exact(Fraction(round(Fraction(found[i]) / INCH * 32), 32) * INCH) for i in (2, 3))
    return f"{found[1]} {' x '.join(sizes)} mm"


@pytest.fixture(scope="module")
def texts() -> tuple[str, str]:
    edits: dict[str, object] = {
        "sweep": dict.fromkeys(("swing", "elevation", "elbow"), "20 deg"),
        "lean": "10 deg",
        "stilts.foot": ["279.4 mm", "114.3 mm"],
        "performer.cast.Ash.body_mass": "75 kg",
    }
    for k in range(2):
        edits[f"limbs.arm.pins.each.{('elbow', 'shoulder')[k]}"] = {
            "stack": [["driver", "performer_forearm"], ["mast", "driver"]][k],
            "length": "76.2 mm",
        }
    for k, link in enumerate(("mast", "driver", "performer_forearm", "carrier", "relay")):
        edits[f"limbs.arm.{link}.layer"] = f"{25.4 * (k + 1):.1f} mm"
    return both(suit_text(edits))


@pytest.fixture(scope="module")
def suits(texts: tuple[str, str]) -> tuple[Suit, Suit]:
    metric, inch = (parse_suit(text, "trial.yaml") for text in texts)
    return metric, inch


def test_the_two_texts_share_no_unit(texts):
    metric, inch = texts
    assert not re.search(r"\d (in|lb|lbf ft)\b", metric)
    assert not re.search(r"\d (mm|kg|N m)\b", inch)
    assert len(re.findall(r" in\b", inch)) > 40
    assert re.search(r"\d \d+/\d+ in", inch)


def test_both_read_to_one_suit(suits):
    """To rounding of the last place: 25.4 is no binary number."""

    def numbers(suit: Suit) -> list[float]:
        text = re.sub(r"text='[^']*'", "", repr(suit))
        return [float(n) for n in re.findall(r"-?\d+\.\d+(?:e-?\d+)?", text)]

    metric, inch = (numbers(suit) for suit in suits)
    assert len(metric) > 100
    lengths = [(a, b) for a, b in zip(metric, inch, strict=True) if abs(a - b) > 1e-14 * abs(a)]
    assert len(lengths) == 2  # the two moments, written to nine places
    assert metric == pytest.approx(inch, rel=1e-10)


def test_both_give_one_answer(suits):
    metric, inch = (assess(suit).findings for suit in suits)
    assert [f.key for f in metric] == [f.key for f in inch]
    for one, two in zip(metric, inch, strict=True):
        assert (one.verdict, one.unit, one.basis) == (two.verdict, two.unit, two.basis), one.key
        for a, b in zip(_numbers(one), _numbers(two), strict=True):
            assert a == pytest.approx(b, rel=1e-8, abs=1e-8), one.key


def _numbers(found: Finding) -> list[float]:
    numbers = [found.value, found.limit, found.margin, *(found.band or ())]
    return [n for n in numbers if n is not None]


def test_the_demo_in_centimetres_and_grams_is_the_demo(demo_suit_path):
    """Every mm moved to cm and every kg to g by shifting the decimal point in the text: exact. The answer
    is the same row for row, whatever the demo's numbers are."""
    text = demo_suit_path.read_text(encoding="utf-8")
    text = re.sub(r"^sweep:.*$", "sweep: {swing: 20 deg, elevation: 20 deg, elbow: 20 deg}", text, flags=re.M)

    def shifted(number: str, places: int) -> str:
        return f"{Decimal(number).scaleb(places):f}"

    other = re.sub(r"(tube|flat) ([\d.]+) x", lambda m: f"{m[1]} {shifted(m[2], -1)} x", text)
    other = re.sub(NUMBER + " mm", lambda m: f"{shifted(m[1], -1)} cm", other)
    other = re.sub(NUMBER + " kg", lambda m: f"{shifted(m[1], 3)} g", other)
    assert other.count(" cm") > 50
    one, two = (assess(parse_suit(t, demo_suit_path)).findings for t in (text, other))
    assert [f.key for f in one] == [f.key for f in two]
    for a, b in zip(one, two, strict=True):
        assert (a.verdict, a.basis) == (b.verdict, b.basis), a.key
        assert _numbers(a) == pytest.approx(_numbers(b), rel=1e-8, abs=1e-8), a.key


def test_half_an_inch_is_12_7_mm():
    """So that the conversion in this file is itself held against a number anyone knows."""
    one = suit_of({"limbs.arm.mast.length": "12 1/2 in"}).limbs["arm"].mast.length
    assert not isinstance(one, str)
    assert one.value == pytest.approx(0.3175, abs=1e-15)
