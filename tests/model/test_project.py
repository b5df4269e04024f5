"""Mirrors `model/project.py` and the two files behind it: a project folder from a demo or from a tape."""

import dataclasses
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limbwright.core.errors import LimbwrightError
from limbwright.core.units import parse
from limbwright.model.body import complete_body
from limbwright.model.project import demos, start_from_demo, start_from_tape
from limbwright.model.quantity import Toleranced
from limbwright.model.suit import Suit
from limbwright.model.suit_file import load_suit, parse_suit
from limbwright.model.tape_start import TapeAnswers, suit_text

METRIC = TapeAnswers("Moss Giant", "1730 mm", "68 kg", "3100 mm", sex="female", stilts="450 mm")
INCHES = TapeAnswers("Moss Giant", "5'8\"", "150 lb", "10 ft 2 in", stilts="18 in", show="frac-in")


def typed(length: Toleranced | str) -> float:
    assert isinstance(length, Toleranced)
    return length.value


def test_every_demo_starts_a_project_that_loads(tmp_path: Path) -> None:
    assert "orchard-warden" in demos()
    for demo in demos():
        suit_file = start_from_demo(demo, tmp_path / demo)
        assert suit_file == tmp_path / demo / "suit.yaml"
        assert load_suit(suit_file).folder == tmp_path / demo


def test_the_copy_is_the_demo_byte_for_byte(tmp_path: Path, demo_suit_path: Path) -> None:
    start_from_demo("orchard-warden", tmp_path / "mine")
    for name in ("suit.yaml", "front.svg", "side.svg"):
        assert (tmp_path / "mine" / name).read_bytes() == (demo_suit_path.parent / name).read_bytes()


def test_an_unknown_demo_names_those_there_are(tmp_path: Path) -> None:
    with pytest.raises(LimbwrightError, match="no demo suit 'warden'; there is orchard-warden"):
        start_from_demo("warden", tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_suit_is_never_overwritten(tmp_path: Path) -> None:
    (tmp_path / "suit.yaml").write_text("mine", encoding="utf-8")
    with pytest.raises(LimbwrightError, match=r"already holds suit\.yaml"):
        start_from_demo("orchard-warden", tmp_path)
    with pytest.raises(LimbwrightError, match=r"already holds suit\.yaml"):
        start_from_tape(METRIC, tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["suit.yaml"]
    assert (tmp_path / "suit.yaml").read_text(encoding="utf-8") == "mine"


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(LimbwrightError, match="cannot be written"):
        start_from_demo("orchard-warden", tmp_path / "file" / "inside")


@pytest.mark.parametrize("answers", [METRIC, INCHES, dataclasses.replace(INCHES, show="in")])
def test_the_tape_start_loads_and_keeps_what_was_typed(answers: TapeAnswers, tmp_path: Path) -> None:
    file = start_from_tape(answers, tmp_path / "mine")
    suit = load_suit(file)
    text = file.read_text(encoding="utf-8")
    assert (suit.name, suit.show) == (answers.name, answers.show)
    assert suit.active.stature.value == parse(answers.stature, "length").value
    assert suit.active.body_mass.value == parse(answers.body_mass, "mass").value
    assert suit.character.height == parse(answers.character_height, "length").value
    for typed_text in (answers.stature, answers.body_mass, answers.character_height, answers.stilts):
        assert typed_text in text.replace("''", "'")
    assert suit_text(answers) == text


def at_rest(suit: Suit) -> dict[str, tuple[float, float]]:
    """Out and up of the character's joints from the suit's lengths, by plain trigonometry."""
    body, arm = complete_body(suit.active), suit.limbs["arm"]
    assert isinstance(arm.mast.lean, float)
    out = body.shoulder_out.value
    up = body.shoulder_up.value + (suit.stilts.height if suit.stilts else 0.0)
    rest = suit.poses["rest"]
    out += typed(arm.mast.length) * math.sin(arm.mast.lean)
    up += typed(arm.mast.length) * math.cos(arm.mast.lean)
    places = {"shoulder": (out, up)}
    lower = rest.elevation + rest.elbow
    for joint, link, angle in (
        ("elbow", arm.carrier, rest.elevation),
        ("wrist", arm.character_forearm, lower),
        ("hand_tip", arm.character_hand, lower),
    ):
        out += typed(link.length) * math.sin(angle)
        up -= typed(link.length) * math.cos(angle)
        places[joint] = (out, up)
    return places


@pytest.mark.parametrize("answers", [METRIC, INCHES])
def test_marks_are_where_the_lengths_put_them(answers: TapeAnswers) -> None:
    suit = parse_suit(suit_text(answers), "suit.yaml")
    assert suit.character.marks is not None
    for joint, (out, up) in at_rest(suit).items():
        marked_out, _, marked_up = getattr(suit.character.marks, joint)
        # lengths and marks are rounded to 5 mm or 1/8 in on their own
        assert math.hypot(marked_out - out, marked_up - up) < 0.008


def test_the_demo_is_drawn_where_its_arm_reaches(demo_suit_path: Path) -> None:
    suit = load_suit(demo_suit_path)
    assert suit.character.marks is not None
    for joint, (out, up) in at_rest(suit).items():
        marked_out, _, marked_up = getattr(suit.character.marks, joint)
        assert math.hypot(marked_out - out, marked_up - up) < 0.025  # a mark is set by eye


@settings(max_examples=60)
@given(
    sex=st.sampled_from(["female", "male", "pooled"]),
    stature=st.integers(1400, 2100),
    mass=st.integers(40, 150),
    height=st.integers(1800, 6000),
    stilts=st.integers(0, 900),
    show=st.sampled_from(["mm", "in", "frac-in"]),
)
def test_any_answers_give_a_suit_or_a_reason(
    sex: str, stature: int, mass: int, height: int, stilts: int, show: str
) -> None:
    answers = TapeAnswers(
        "Moss Giant", f"{stature} mm", f"{mass} kg", f"{height} mm",
        sex=sex, stilts=f"{stilts} mm", show=show,
    )  # fmt: skip
    shoulder = stilts / 1e3 + 0.8 * stature / 1e3  # acromion at about 0.82 of stature, the joint below
    if 0.79 * height / 1e3 < shoulder + 0.1:
        with pytest.raises(LimbwrightError, match="no room for a mast"):
            suit_text(answers)
        return
    try:
        text = suit_text(answers)
    except LimbwrightError:
        assert 0.79 * height / 1e3 < shoulder + 0.3  # near the limit, the body decides
        return
    suit = parse_suit(text, "suit.yaml")
    arm = suit.limbs["arm"]
    assert typed(arm.carrier.length) > complete_body(suit.active).upper_arm.value + 0.1
    assert (suit.stilts is None) == (stilts == 0)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"stature": "1730"}, "stature: '1730' has no unit; write 1730 mm"),
        ({"stature": "1,73 m"}, "1.73 m or as 173 m"),
        ({"stature": "173 mm"}, "out of bounds; write 1000 mm to 2500 mm"),
        ({"body_mass": "68 lbf"}, "write 68 lb"),
        ({"character_height": "2 m"}, "no room for a mast"),
        ({"stilts": "2 m"}, "stilts: '2 m' is out of bounds"),
        ({"name": "a: b"}, "name: 'a: b' is no name"),
        ({"performer": ""}, "performer: '' is no name"),
    ],
)
def test_answers_that_cannot_be_used(change: dict[str, str], said: str, tmp_path: Path) -> None:
    with pytest.raises(LimbwrightError) as caught:
        start_from_tape(dataclasses.replace(METRIC, **change), tmp_path / "mine")
    assert said in str(caught.value)
    assert not (tmp_path / "mine").exists()


@pytest.mark.parametrize("name", ["null", "Yes", "O'Hara", "1", "No - 5"])
def test_names_that_yaml_might_misread(name: str) -> None:
    suit = parse_suit(suit_text(dataclasses.replace(METRIC, performer=name, name=name)), "suit.yaml")
    assert suit.performer.active == name == suit.name
