"""The changelog's newest version is the package's."""

import re
import tomllib
from importlib.metadata import version
from pathlib import Path


def test_top_version_is_the_package_version(root: Path) -> None:
    versions = re.findall(r"^## (\S+)", (root / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert versions[0] == project["version"] == version("limbwright")


def test_sections_are_the_agreed_ones(root: Path) -> None:
    sections = re.findall(r"^### (.+)$", (root / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert sections
    assert set(sections) <= {"Added", "Changed", "Fixed", "Removed"}
