"""What the pages say the program prints is what it prints."""

import importlib.util
import re
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture(scope="module")
def refresh(root: Path) -> ModuleType:
    """The script that fills the pages."""
    spec = importlib.util.spec_from_file_location("refresh_docs", root / "scripts" / "refresh_docs.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_help_texts_are_current(refresh: ModuleType) -> None:
    page = refresh.COMMANDS.read_text(encoding="utf-8")
    assert page == refresh.with_block(page, "help texts", refresh.command_pages())


def test_every_verb_has_its_section(refresh: ModuleType) -> None:
    sections = re.findall(
        r"^## limbwright (\S+)$", refresh.COMMANDS.read_text(encoding="utf-8"), re.MULTILINE
    )
    assert sections == refresh.verbs()
    assert {"check", "sheets", "new", "fit"} <= set(sections)


def test_the_readme_example_prints_what_is_shown(refresh: ModuleType) -> None:
    page = refresh.README.read_text(encoding="utf-8")
    assert page == refresh.with_block(page, "printed", refresh.example_output())


def test_the_readme_example_is_short_and_prints_units(refresh: ModuleType) -> None:
    assert len(refresh.example().strip().splitlines()) <= 12
    shown = refresh.README.read_text(encoding="utf-8").split("<!-- printed -->")[1]
    for unit in ("deg", "N m", "kg", "%"):
        assert re.search(rf"\d ?{unit}", shown), f"the example shows no {unit}"
