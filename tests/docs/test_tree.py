"""House rules on the tracked files themselves: where they point, how long they are, what they say."""

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

LONGEST_FILE = 400
LONGEST_FUNCTION = 60

# One letter of each stands in brackets, so that this file does not hold what it looks for.
HOSTS = re.compile(r"registry\.npm[j]s|py[p]i\.org|python[h]osted|debian\.org/[d]ebian")
MACHINE_PATHS = re.compile(r"(^|[^A-Za-z0-9_.])/(work|farm|root|opt/wheels|Users/\w+|home/\w+)(/|$)")
STRAY_WORDS = re.compile(r"t[r]anscript|seed[ ]document|this[ ]session|the[ ]CEO|sub[a]gent", re.IGNORECASE)
NOT_RUN = re.compile(r"@pytest\.mark\.(skip|xfail)|pytest\.(skip|xfail)\(|import[o]rskip")


@pytest.fixture(scope="module")
def texts(root: Path) -> dict[str, str]:
    """Every tracked text file by its path."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=root, capture_output=True, check=True, text=True)
    found: dict[str, str] = {}
    for name in filter(None, listed.stdout.split("\0")):
        raw = (root / name).read_bytes() if (root / name).is_file() else b""
        if b"\0" not in raw[:8192]:
            found[name] = raw.decode("utf-8")
    assert "README.md" in found
    return found


def hits(texts: dict[str, str], pattern: re.Pattern[str]) -> list[str]:
    """Lines that match, as file:line: text."""
    return [
        f"{name}:{number}: {line[:160]}"
        for name, text in texts.items()
        for number, line in enumerate(text.splitlines(), 1)
        if pattern.search(line)
    ]


@pytest.mark.parametrize(
    ("pattern", "planted"),
    [
        (HOSTS, "see https://py-pi.org/simple".replace("-", "")),
        (MACHINE_PATHS, "open('-root/notes')".replace("-", "/")),
        (STRAY_WORDS, "as this-session decided".replace("-", " ")),
    ],
    ids=["package hosts", "machine paths", "stray words"],
)
def test_no_tracked_file_points_outside(
    texts: dict[str, str], pattern: re.Pattern[str], planted: str
) -> None:
    assert pattern.search(planted), "the pattern must catch what it is for"
    assert hits(texts, pattern) == []


def test_no_test_is_left_out(texts: dict[str, str]) -> None:
    tests = {name: text for name, text in texts.items() if name.endswith(".py")}
    assert hits(tests, NOT_RUN) == []


def test_no_file_is_too_long(texts: dict[str, str]) -> None:
    long = {
        name: lines
        for name, text in texts.items()
        if name.endswith((".py", ".pyi", ".sh")) and (lines := len(text.splitlines())) > LONGEST_FILE
    }
    assert long == {}


def test_no_function_is_too_long(texts: dict[str, str]) -> None:
    long = [
        f"{name}:{node.lineno}: {node.name} has {length} lines"
        for name, text in texts.items()
        if name.startswith("src/") and name.endswith(".py")
        for node, length in _functions(text)
        if length > LONGEST_FUNCTION
    ]
    assert long == []


def _functions(text: str) -> Iterator[tuple[ast.FunctionDef | ast.AsyncFunctionDef, int]]:
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node, (node.end_lineno or node.lineno) - node.lineno + 1
