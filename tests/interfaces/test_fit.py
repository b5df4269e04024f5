"""`limbwright fit`: reasons first, the file only on request, and then nothing but the values."""

import difflib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from limbwright.outputs.findings_json import findings_schema

OPEN = {
    "limbs.arm.cranks.shoulder.angle": "fit",
    "limbs.arm.cranks.forearm.angle": "fit",
    "limbs.arm.carrier.length": "fit",
}


@pytest.fixture
def unfitted(demo_copy: Path, edit: Callable[[Path, dict[str, str]], Path]) -> Path:
    """The demo with three fields to be fitted."""
    return edit(demo_copy, OPEN)


def answer(result: Any) -> dict[str, Any]:
    """What was printed, against the published schema."""
    assert result.stdout, result.stderr
    told = json.loads(result.stdout)
    jsonschema.Draft202012Validator(findings_schema()).validate(told)
    return told


def test_it_proposes_what_says_fit_and_changes_nothing(run: Callable[..., Any], unfitted: Path) -> None:
    before = unfitted.read_bytes()
    told = answer(run("fit", unfitted, "--json"))
    assert {p["field"] for p in told["proposals"]} == set(OPEN)
    assert all(p["reason"] and p["was"] is None for p in told["proposals"])
    assert told["written"] is False
    assert told["files"] == []
    assert unfitted.read_bytes() == before


def test_the_printed_answer_gives_value_reason_and_what_to_do(
    run: Callable[..., Any], unfitted: Path
) -> None:
    told = answer(run("fit", unfitted, "--json"))
    text = " ".join(run("fit", unfitted).stdout.split())
    for proposal in told["proposals"]:
        assert f"{proposal['field']} " in text
        assert f"{proposal['text']} " in text
        assert " ".join(proposal["reason"].split()) in text
    for wish in told["unmet"]:
        assert " ".join(wish.split()) in text
    assert "--write puts these values into the suit file" in text


def test_write_changes_those_lines_and_no_other(run: Callable[..., Any], unfitted: Path) -> None:
    before = unfitted.read_text(encoding="utf-8").splitlines()
    told = answer(run("fit", unfitted, "--write", "--json"))
    after = unfitted.read_text(encoding="utf-8").splitlines()
    assert told["written"] is True
    assert told["files"] == [unfitted.as_posix()]
    gone = [line[2:] for line in difflib.ndiff(before, after) if line.startswith("- ")]
    assert len(before) == len(after)
    assert len(gone) == len(OPEN)
    assert all("fit" in line for line in gone)
    again = answer(run("fit", unfitted, "--json"))
    assert again["proposals"] == []


def test_a_fitted_suit_can_be_checked_and_an_unfitted_one_says_what_to_do(
    run: Callable[..., Any], unfitted: Path
) -> None:
    refused = run("check", unfitted, "--no-picture")
    assert refused.exit_code == 2
    assert "limbwright fit" in refused.stderr
    run("fit", unfitted, "--write")
    assert run("check", unfitted, "--step", "15", "--no-picture").exit_code in (0, 1, 3)


def test_exit_code_and_verdict_agree(run: Callable[..., Any], unfitted: Path) -> None:
    result = run("fit", unfitted, "--json")
    told = answer(result)
    assert result.exit_code == {"holds": 0, "falls short": 1, "unknown": 3}[told["verdict"]]
    if told["unmet"]:
        assert told["verdict"] == "falls short"


def test_the_same_suit_gets_the_same_bytes(run: Callable[..., Any], unfitted: Path) -> None:
    assert run("fit", unfitted, "--json").stdout == run("fit", unfitted, "--json").stdout
