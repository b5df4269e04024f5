"""The cautions that safety-relevant output carries are the ones the page on limits explains."""

from pathlib import Path

from limbwright.outputs.title_block import CAUTION


def _words(text: str) -> str:
    return " ".join(text.replace("> ", " ").split())


def test_the_sheets_caution_is_quoted_on_the_page(root: Path) -> None:
    page = _words((root / "docs" / "limits.md").read_text(encoding="utf-8"))
    assert _words(CAUTION) in page
    for said in ("trained people", "ground level", "not a certificate"):
        assert said in CAUTION
