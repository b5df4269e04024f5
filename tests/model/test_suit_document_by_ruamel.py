"""An edited file means what was meant, told by ruamel.yaml's own loader instead of our reading of it."""

from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from limbwright.model.suit_document import SuitDocument


def read(text: str) -> Any:
    return YAML(typ="safe", pure=True).load(text)


@pytest.mark.parametrize(
    ("field", "written", "steps"),
    [
        ("limbs.arm.mast.length", "24 1/2 in", ("limbs", "arm", "mast", "length")),
        ("limbs.arm.mast.length", "6'2\"", ("limbs", "arm", "mast", "length")),
        ("parts[3].name", "crown: the big one", ("parts", 3, "name")),
        ("parts[1].centre[0]", "-5 mm", ("parts", 1, "centre", 0)),
        ("name", "# 1 Warden", ("name",)),
        ("name", "[Warden]", ("name",)),
        ("revision", "'B'", ("revision",)),
        ("performer.cast.Wren.stature.date", "yesterday", ("performer", "cast", "Wren", "stature", "date")),
        ("targets.note", "dry, level floor", ("targets", "note")),
        ("limbs.arm.mast.mass", "0.31 kg", ("limbs", "arm", "mast", "mass")),
    ],
)
def test_only_the_meant_value_differs(
    field: str, written: str, steps: tuple[str | int, ...], demo_suit_path: Path
) -> None:
    document = SuitDocument(demo_suit_path)
    wanted = read(document.text)
    document.set(field, written)
    inner = wanted
    for step in steps[:-1]:
        inner = inner[step]
    inner[steps[-1]] = written
    assert read(document.text) == wanted
