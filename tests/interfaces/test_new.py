"""`limbwright new`: projects that can be checked at once, and nothing ever overwritten."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from limbwright.model.suit_file import load_suit
from limbwright.outputs.findings_json import findings_schema

TAPE = ("--stature", "5'8\"", "--mass", "150 lb", "--height", "10 ft", "--stilts", "18 in")


def test_a_demo_is_copied_whole(run: Callable[..., Any], tmp_path: Path, demo_suit_path: Path) -> None:
    result = run("new", tmp_path / "own", "--from", "orchard-warden")
    assert result.exit_code == 0
    assert (tmp_path / "own" / "suit.yaml").read_bytes() == demo_suit_path.read_bytes()
    for name in ("suit.yaml", "front.svg", "side.svg"):
        assert str(tmp_path / "own" / name) in result.stdout
    assert "Next: limbwright check" in result.stdout


def test_measures_make_a_suit_of_one_s_own(run: Callable[..., Any], tmp_path: Path) -> None:
    """5'8" is 68 in = 1.7272 m, 150 lb = 68.0388555 kg, 10 ft = 3.048 m (NIST SP 811, exact)."""
    result = run("new", tmp_path / "big-fox", *TAPE, "--show", "in", "--sex", "male", "--performer", "Ash")
    assert result.exit_code == 0
    suit = load_suit(tmp_path / "big-fox" / "suit.yaml")
    assert (suit.name, suit.performer.active, suit.active.sex, suit.show) == ("Big Fox", "Ash", "male", "in")
    assert suit.active.stature.value == pytest.approx(1.7272, abs=1e-12)
    assert suit.active.body_mass.value == pytest.approx(68.0388555, abs=1e-9)
    assert suit.character.height == pytest.approx(3.048, abs=1e-12)
    assert suit.stilts is not None
    assert suit.stilts.height == pytest.approx(0.4572, abs=1e-12)


def test_a_new_suit_can_be_checked_and_drawn(run: Callable[..., Any], tmp_path: Path) -> None:
    assert run("new", tmp_path / "own", *TAPE).exit_code == 0
    result = run("check", tmp_path / "own", "--step", "15")
    assert result.exit_code in (0, 1, 3)
    assert "Files made:" in result.stdout


def test_questions_are_asked_until_they_are_answered(run: Callable[..., Any], tmp_path: Path) -> None:
    replies = ["Big Fox", "", "1.7", "1.7 m", "60 lbf", "60 kg", "3 m", "", "woman", "female", ""]
    result = run("new", tmp_path / "own", "--ask", "--json", input="\n".join(replies) + "\n")
    assert result.exit_code == 0, result.stderr
    told = json.loads(result.stdout)
    jsonschema.Draft202012Validator(findings_schema()).validate(told)
    assert told["files"] == [(tmp_path / "own" / "suit.yaml").as_posix()]
    suit = load_suit(tmp_path / "own" / "suit.yaml")
    assert (suit.name, suit.active.sex, suit.active.stature.value) == ("Big Fox", "female", 1.7)
    for said in ("write 1.7 mm", "write 60 lb", "one of female, male, pooled"):
        assert said in result.stderr


def test_what_is_given_is_not_asked(run: Callable[..., Any], tmp_path: Path) -> None:
    result = run("new", tmp_path / "own", *TAPE, "--ask", input="\n" * 4)
    assert result.exit_code == 0
    assert "barefoot" not in result.stderr
    assert "Who wears it" in result.stderr


def test_an_end_of_answers_stops_without_a_trace(run: Callable[..., Any], tmp_path: Path) -> None:
    result = run("new", tmp_path / "own", "--ask", input="Big Fox\n")
    assert result.exit_code == 130
    assert result.stderr.splitlines()[-1].endswith("limbwright: stopped")
    assert not (tmp_path / "own").exists()


@pytest.mark.parametrize("args", [("--from", "orchard-warden"), TAPE, ("--ask",)])
def test_nothing_is_overwritten(run: Callable[..., Any], tmp_path: Path, args: tuple[str, ...]) -> None:
    (tmp_path / "suit.yaml").write_text("mine\n")
    result = run("new", tmp_path, *args, input="\n" * 12)
    assert result.exit_code == 2
    assert "already holds" in result.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["suit.yaml"]
    assert (tmp_path / "suit.yaml").read_text() == "mine\n"
