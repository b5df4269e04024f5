"""The Makefile's answers where the machine lacks something, and the targets the pages name."""

import re
import subprocess
from pathlib import Path

import pytest

# Stand-ins for an old Python and for Debian's Python without its venv package, which lacks ensurepip.
OLD = "exit 1"
NO_VENV = 'case "$*" in *ensurepip*) exit 1;; *) exit 0;; esac'


@pytest.mark.parametrize(
    ("script", "wanted"),
    [(OLD, "Python 3.11 or newer is needed"), (NO_VENV, "apt-get install python3-venv")],
    ids=["old Python", "no venv module"],
)
def test_what_is_missing_is_said_in_one_line(root: Path, tmp_path: Path, script: str, wanted: str) -> None:
    python = tmp_path / "python"
    python.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    python.chmod(0o755)
    place = tmp_path / "venv"
    ran = subprocess.run(
        ["make", "-C", str(root), "--no-print-directory", f"PYTHON={python}", f"VENV={place}"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode != 0
    assert [line for line in ran.stdout.splitlines() if line] == [ran.stdout.strip()]
    assert wanted in ran.stdout
    assert not place.exists()


def test_every_target_named_in_a_page_exists(root: Path) -> None:
    targets = set(re.findall(r"^([a-z]+):", (root / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
    pages = [root / "README.md", root / "CONTRIBUTING.md", *(root / "docs").glob("*.md")]
    named: set[str] = set()
    for page in pages:
        named.update(re.findall(r"^make ([a-z]+)", page.read_text(encoding="utf-8"), re.MULTILINE))
    assert {"demo", "test", "lint"} <= named <= targets
