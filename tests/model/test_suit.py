"""Mirrors `model/suit.py` and the fields below it: what a suit file says, in SI."""

import math
import re
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from limbwright.core.errors import SuitError
from limbwright.model.limb import LINKS, MEMBERS, PIN_MEMBERS, ParallelArm
from limbwright.model.performer import MEASURES
from limbwright.model.quantity import Mass, Toleranced, read_mass, read_toleranced
from limbwright.model.section import Section, read_section
from limbwright.model.suit import Suit, host_of, unfitted
from limbwright.model.suit_file import load_suit, parse_suit
from limbwright.model.tape_start import TapeAnswers, suit_text
from limbwright.reference.body_dimensions import DIMENSION_NAMES


@pytest.fixture(scope="module")
def suit() -> Suit:
    return load_suit(Path(__file__).resolve().parents[2] / "examples" / "orchard-warden" / "suit.yaml")


@pytest.fixture(scope="module")
def arm(suit: Suit) -> ParallelArm:
    return suit.limbs["arm"]


def test_the_demo_is_the_warden(suit: Suit) -> None:
    assert (suit.name, suit.revision, suit.show) == ("Orchard Warden", "A", "mm")
    assert suit.character.height == 3.1
    assert suit.active.stature.value == 1.73
    assert suit.stilts is not None
    assert suit.stilts.height == 0.45


def test_values_are_si_floats(suit: Suit, arm: ParallelArm) -> None:
    assert arm.mast.length == Toleranced(0.62, 0.0005)
    assert arm.mast.lean == pytest.approx(7.0 * math.pi / 180.0)
    assert arm.driver.length == "performer"
    assert arm.relay_at == "performer"
    assert arm.rods.shoulder.length == "match"
    assert arm.rods.shoulder.trim == 0.008
    assert arm.cranks.forearm.angle == pytest.approx(-36.0 * math.pi / 180.0)
    assert arm.stops.shoulder == arm.stops.forearm == arm.stops.relay == pytest.approx(20.0 * math.pi / 180.0)
    assert suit.poses["rest"].elbow == pytest.approx(25.0 * math.pi / 180.0)
    assert suit.targets.usable_share == 0.4
    assert suit.targets.holding_moment.shoulder == 30.0
    assert suit.targets.holding_moment.swing is None


def test_masses_know_how_they_are_known(suit: Suit) -> None:
    assert suit.harness.mass == Mass(4.6, (4.2, 5.2), "guessed")
    assert suit.harness.mass.basis == "assumed"
    assert suit.stilts is not None
    assert suit.stilts.mass.basis == "measured"
    assert read_mass("5.2 kg") == Mass(5.2, None, "guessed")  # a bare text is a guess without a band
    assert read_mass("5.2 kg +/- 0.2 kg").range == pytest.approx((5.0, 5.4))
    assert read_mass({"value": "1 kg", "basis": "computed"}).basis == "published"


def test_both_sides_of_a_mirrored_arm(arm: ParallelArm) -> None:
    assert arm.sides == ("right", "left")
    assert arm.model_copy(update={"mirrored": False}).sides == ("right",)


def test_nothing_can_be_changed(suit: Suit) -> None:
    with pytest.raises(ValidationError):
        suit.lean = 0.1  # pyright: ignore[reportAttributeAccessIssue]


def test_drawing_scale(suit: Suit) -> None:
    front = suit.character.silhouettes.front
    assert front is not None
    assert front.scale == pytest.approx(0.005)  # 3100 mm over 620 units


def test_every_pin_joins_two_of_the_members() -> None:
    assert set().union(*PIN_MEMBERS.values()) == set(MEMBERS) - {"character_hand"}
    assert all(len(members) == 2 for members in PIN_MEMBERS.values())
    assert set(LINKS) < set(MEMBERS)


def test_the_demo_writes_out_every_pin(arm: ParallelArm) -> None:
    assert set(arm.pins.each) == set(PIN_MEMBERS)


def test_tape_dimensions_are_those_of_the_body_table() -> None:
    assert set(MEASURES) == set(DIMENSION_NAMES) - {"stature", "body_mass"}


def test_what_a_part_hangs_on(suit: Suit) -> None:
    hosts = {part.name: host_of(suit, part) for part in suit.parts}
    assert hosts["forearm shell"] == "arm/character_forearm"
    assert hosts["crown"] == "harness"
    assert hosts["lantern"] == "arm/character_hand"  # on the twig hand


def test_fields_left_to_fit(demo_copy: Path) -> None:
    assert unfitted(load_suit(demo_copy)) == ()
    text = demo_copy.read_text(encoding="utf-8")
    text = text.replace("mast: {length: 620 mm +/- 0.5 mm, lean: 7 deg", "mast: {length: fit, lean: fit")
    text = text.replace(
        "relay: {length: 70 mm +/- 0.2 mm, angle: 20 deg}", "relay: {length: fit, angle: fit}"
    )
    demo_copy.write_text(text, encoding="utf-8")
    assert unfitted(load_suit(demo_copy)) == (
        "limbs.arm.mast.length",
        "limbs.arm.mast.lean",
        "limbs.arm.cranks.relay.length",
        "limbs.arm.cranks.relay.angle",
    )


def test_later_errors_find_their_line(suit: Suit) -> None:
    lines = suit.path.read_text(encoding="utf-8").split("\n")
    error = suit.error("limbs.arm.mast.length", "is still 'fit'", "run fit")
    assert isinstance(error, SuitError)
    assert lines[(error.line or 0) - 1].startswith("    mast:")
    assert "limbs.arm.mast.length" in str(error)
    part = suit.error("parts[3].mass", "is unknown", "weigh it")
    assert lines[(part.line or 0) - 1].startswith("    mass: {value: 1.7 kg")
    absent = suit.error("limbs.arm.mast.mass", "is missing", "add it")
    assert lines[(absent.line or 0) - 1].startswith("    mast:")
    assert suit.error("nowhere", "is missing", "add it").line is None


@pytest.mark.parametrize(
    ("text", "area", "depth"),
    [
        # area from the definition: pi/4 (D^2 - d^2), w t, pi/4 D^2
        ("tube 25 x 1.5 mm", math.pi / 4 * (25**2 - 22**2) * 1e-6, 0.025),
        ("tube 1 x 0.058 in", math.pi / 4 * (1 - 0.884**2) * 0.0254**2, 0.0254),
        ("tube 1 in x 1/16 in", math.pi / 4 * (1 - 0.875**2) * 0.0254**2, 0.0254),
        ("tube 1 1/4 × 1/8 in", math.pi / 4 * (1.25**2 - 1) * 0.0254**2, 0.03175),
        ("flat 40 x 6 mm", 240e-6, 0.006),
        ("flat 40 mm x 1/4 in", 40e-3 * 6.35e-3, 0.00635),
        ("rod 8 mm", math.pi * 16e-6, 0.008),
    ],
)
def test_sections(text: str, area: float, depth: float) -> None:
    section = read_section(text)
    assert section.area == pytest.approx(area, rel=1e-12)
    assert section.depth == pytest.approx(depth, rel=1e-12)
    assert section.text == text


def test_amounts_in_a_block_and_in_a_text_are_the_same() -> None:
    assert read_toleranced("620 mm +/- 0.5 mm", "length") == read_toleranced(
        {"value": "620 mm", "plus_minus": "0.5 mm"}, "length"
    )


@given(st.floats(0.001, 5.0), st.floats(0.0, 0.0009))
def test_a_program_may_pass_si_floats(value: float, spread: float) -> None:
    assert read_toleranced(value, "length") == Toleranced(value, None)
    assert read_toleranced({"value": value, "plus_minus": spread}, "length") == Toleranced(value, spread)


def in_millimetres(text: str) -> str:
    """Every inch amount of a suit file rewritten in mm, exactly: an inch is 25.4 mm."""

    def number(written: str) -> str:
        size = sum(Fraction(piece) for piece in written.removeprefix("-").split())
        exact = size * Fraction(254, 10) * (-1 if written.startswith("-") else 1)
        digits = f"{float(exact):.8f}".rstrip("0").rstrip(".")
        assert Fraction(digits) == exact
        return digits

    mixed = r"-?\d+ \d+/\d+|-?\d+/\d+|-?\d+(?:\.\d+)?"
    text = re.sub(
        rf"(tube|flat) ({mixed}) x ({mixed}) in\b",
        lambda m: f"{m[1]} {number(m[2])} x {number(m[3])} mm",
        text,
    )
    return re.sub(rf"({mixed}) in\b", lambda m: f"{number(m[1])} mm", text)


def test_an_inch_file_and_its_millimetre_twin_are_one_suit() -> None:
    answers = TapeAnswers("Moss Giant", "68 in", "150 lb", "122 in", stilts="18 in", show="frac-in")
    inches = suit_text(answers)
    millimetres = in_millimetres(inches)
    assert " in," not in millimetres.split("limbs:")[1]
    a, b = parse_suit(inches, "suit.yaml"), parse_suit(millimetres, "suit.yaml")
    plain_a, plain_b = a.model_dump(), b.model_dump()
    assert _without_text(plain_a) == _without_text(plain_b)


def _without_text(data: object) -> object:
    """A dump with sections as numbers only: their wording differs on purpose."""
    if isinstance(data, Section):
        return (data.stock, data.width, data.thickness)
    if isinstance(data, dict):
        return {key: _without_text(value) for key, value in data.items() if key != "text"}
    if isinstance(data, list | tuple):
        return [_without_text(value) for value in data]
    return data
