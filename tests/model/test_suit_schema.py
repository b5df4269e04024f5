"""The JSON Schema for editors, set against the jsonschema library and an ordinary YAML reader."""

import datetime as dt
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from ruamel.yaml import YAML

from limbwright.model.suit_file import suit_schema
from limbwright.model.tape_start import TapeAnswers, suit_text

SCHEMA = suit_schema()


def as_an_editor_reads_it(text: str) -> Any:
    """Numbers as numbers, dates as text, as an editor's YAML service sees the file."""
    return _dates_as_text(YAML(typ="safe", pure=True).load(text))


def _dates_as_text(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: _dates_as_text(value) for key, value in data.items()}
    if isinstance(data, list):
        return [_dates_as_text(value) for value in data]
    return data.isoformat() if isinstance(data, dt.date) else data


def test_it_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["title"] == "Limbwright suit"
    assert SCHEMA["additionalProperties"] is False


def test_it_accepts_the_demo_and_the_tape_starts(demo_suit_path: Path) -> None:
    jsonschema.validate(as_an_editor_reads_it(demo_suit_path.read_text(encoding="utf-8")), SCHEMA)
    for show in ("mm", "in", "frac-in"):
        answers = TapeAnswers("Moss Giant", "5'8\"", "150 lb", "10 ft 2 in", stilts="18 in", show=show)
        jsonschema.validate(as_an_editor_reads_it(suit_text(answers)), SCHEMA)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("lean: 0 deg   ", "laen: 0 deg   ", "laen"),
        ("{length: 620 mm +/- 0.5 mm, lean", "{length: 620, lean", "620"),
        ("{length: 620 mm +/- 0.5 mm, lean", "{length: 620 kg, lean", "620 kg"),
        ("side: right\n    mirrored", "side: rihgt\n    mirrored", "rihgt"),
        ("kind: parallel-arm", "kind: wing", "parallel-arm"),
        ("biacromial_breadth", "biacromial_bredth", "biacromial_bredth"),
        ("sweep: {swing: 5 deg, elevation: 4 deg, elbow: 4 deg}", "", "sweep"),
        ("range: [-45 deg, 120 deg]", "range: [-45 deg]", "short"),
        ("basis: weighed}   # of one", "basis: hoped}", "hoped"),
        ("section: tube 22 x 1.5 mm", "section: beam 22 x 1.5 mm", "beam"),
        ("shape: {sphere: 520 mm}", "shape: {cube: 520 mm}", "cube"),
        ("angle: 0 deg", "angle: 0", "0"),
    ],
)
def test_it_underlines_what_the_program_refuses(old: str, new: str, said: str, demo_suit_path: Path) -> None:
    text = demo_suit_path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    with pytest.raises(jsonschema.ValidationError, match=re.escape(said)):
        jsonschema.validate(as_an_editor_reads_it(text.replace(old, new)), SCHEMA)


@pytest.mark.parametrize(
    "written",
    ["620 mm", "1 5/8 in", "1-5/8 in", "1½ in", "1 ft 6 in", "6'2\"", "620 mm +/- 0.5 mm", '24"', ".5 in"],
)
def test_it_accepts_every_way_of_writing_a_length(written: str, demo_suit_path: Path) -> None:
    data = as_an_editor_reads_it(demo_suit_path.read_text(encoding="utf-8"))
    data["limbs"]["arm"]["mast"]["length"] = written
    jsonschema.validate(data, SCHEMA)
