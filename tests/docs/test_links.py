"""Every link of every page leads to a file of the checkout, or out over https."""

import re
from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def pages(root: Path) -> list[Path]:
    return [*root.glob("*.md"), *(root / "docs").glob("*.md"), root / "benchmarks" / "README.md"]


def test_links_lead_somewhere(pages: list[Path]) -> None:
    broken = [
        f"{page.name}: {target}"
        for page in pages
        for target in re.findall(r"\]\(([^)\s#]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
        if not target.startswith("https://") and not (page.parent / target).exists()
    ]
    assert broken == []


def test_every_page_is_in_the_list_of_pages(root: Path) -> None:
    listed = set(
        re.findall(r"\]\(([a-z-]+\.md)\)", (root / "docs" / "README.md").read_text(encoding="utf-8"))
    )
    assert listed == {p.name for p in (root / "docs").glob("*.md")} - {"README.md"}
