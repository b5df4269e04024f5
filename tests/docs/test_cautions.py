"""The cautions that answers and sheets carry are the ones the page on limits explains, word for word."""

from pathlib import Path

import pytest

from limbwright.outputs import cautions
from limbwright.outputs.title_block import CAUTION

PRINTED = {
    CAUTION,
    *cautions.CHECK_CAUTIONS,
    *cautions.SHEET_CAUTIONS,
    *cautions.FIT_CAUTIONS,
}


def _words(text: str) -> str:
    return " ".join(text.replace("\n> ", " ").split())


@pytest.mark.parametrize("said", sorted(PRINTED))
def test_every_printed_caution_is_quoted_on_the_page(root: Path, said: str) -> None:
    assert _words(said) in _words((root / "docs" / "limits.md").read_text(encoding="utf-8"))


def test_what_must_be_said_is_said() -> None:
    check = " ".join(cautions.CHECK_CAUTIONS)
    for words in (
        "trained people",
        "certif",
        "ground level",
        "spotters",
        "locked arm",
        "structural engineer",
    ):
        assert words in check
    assert "check bar" in " ".join(cautions.SHEET_CAUTIONS)
