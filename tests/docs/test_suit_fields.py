"""docs/suit-file.md against the model: every field is described, and nothing else is."""

import re
from pathlib import Path
from typing import Any

import pytest

from limbwright.core.errors import SuitError
from limbwright.model.limb import PIN_MEMBERS
from limbwright.model.performer import MEASURES
from limbwright.model.suit_file import load_suit, suit_schema


@pytest.fixture(scope="module")
def page(root: Path) -> str:
    return (root / "docs" / "suit-file.md").read_text(encoding="utf-8")


def described(page: str) -> set[str]:
    """Fields named in the first column of a table headed field, limit or mark."""
    fields: set[str] = set()
    inside = False
    for line in page.splitlines():
        if not line.startswith("|"):
            inside = False
        elif re.match(r"\| (field|limit|mark) \|", line):
            inside = True
        elif inside:
            fields.update(re.findall(r"`([a-z_]+)`", line.split("|")[1]))
    return fields


def written(schema: dict[str, Any]) -> set[str]:
    """Every key that a suit file may hold, other than names the builder chooses."""
    return {key for part in (schema, *schema["$defs"].values()) for key in part.get("properties", {})}


def test_every_field_is_described_and_no_other(page: str) -> None:
    assert described(page) == written(suit_schema())


@pytest.mark.parametrize("names", [MEASURES, tuple(PIN_MEMBERS)], ids=["tape dimensions", "pins"])
def test_every_fixed_name_is_listed(page: str, names: tuple[str, ...]) -> None:
    assert [name for name in names if f"`{name}`" not in page] == []


def test_the_mistake_shown_is_answered_as_shown(page: str, demo_copy: Path) -> None:
    shown = re.search(r"^    (suit\.yaml:\d+: .+)$", page, re.MULTILINE)
    assert shown
    text = demo_copy.read_text(encoding="utf-8")
    demo_copy.write_text(
        text.replace("mast: {length: 620 mm +/- 0.5 mm", "mast: {length: 620"), encoding="utf-8"
    )
    with pytest.raises(SuitError) as caught:
        load_suit(demo_copy)
    assert str(caught.value) == shown[1]
