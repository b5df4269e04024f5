"""Every limbwright command that a page shows is run, in the order shown, as a stranger would."""

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PAGES = ("README.md", "docs/commands.md", "docs/suit-file.md", "docs/findings.md", "CONTRIBUTING.md")
ANSWERS = {0, 1, 3}  # holds, falls short, unknown: answers, not breakdowns
BESIDE = Path(sys.executable).parent


def commands(page: str) -> list[list[str]]:
    """The lines of console blocks that call limbwright."""
    blocks = re.findall(r"```console\n(.+?)```", page, re.DOTALL)
    lines = [line.strip() for block in blocks for line in block.splitlines()]
    return [shlex.split(line) for line in lines if "limbwright" in line.split(" ", 1)[0]]


@pytest.mark.parametrize("name", PAGES)
def test_the_commands_of_a_page_run(root: Path, tmp_path: Path, name: str) -> None:
    shutil.copytree(root / "examples", tmp_path / "examples", ignore=shutil.ignore_patterns("out"))
    shown = commands((root / name).read_text(encoding="utf-8"))
    assert shown or name != "README.md"
    for program, *arguments in shown:
        ran = subprocess.run(
            [BESIDE / Path(program).name, *arguments],
            cwd=tmp_path,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
        )
        assert ran.returncode in ANSWERS, f"{arguments}: {ran.stderr}"
        assert "Traceback" not in ran.stderr
        assert ran.stdout


def test_the_readme_commands_leave_what_they_promise(root: Path) -> None:
    verbs = [arguments[0] for _, *arguments in commands((root / "README.md").read_text(encoding="utf-8"))]
    assert verbs == ["new", "fit", "check", "sheets"]
