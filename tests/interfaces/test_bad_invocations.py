"""Bad input ends with 2 and one line on stderr that says what is wrong; never a traceback."""

import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

MEASURES = ["--mass", "60kg", "--height", "3m"]
WRONG: list[tuple[str, list[str], str]] = [
    ("no verb", [], "Missing command"),
    ("an unknown verb", ["chek"], "Did you mean 'check'"),
    ("an unknown option", ["check", "SUIT", "--fast"], "--fast"),
    ("no suit", ["check"], "SUIT"),
    ("too many suits", ["check", "SUIT", "SUIT"], "unexpected"),
    ("a suit that is not there", ["check", "FOLDER/none.yaml"], "none.yaml"),
    ("a folder without a suit", ["check", "FOLDER/empty"], "suit.yaml"),
    ("a suit that is a picture", ["check", "FOLDER/picture.yaml"], "picture.yaml"),
    ("an empty suit", ["check", "FOLDER/nothing.yaml"], "nothing.yaml"),
    ("a suit that is a list", ["check", "FOLDER/list.yaml"], "list.yaml"),
    ("a length in kilograms", ["check", "FOLDER/wrong-unit.yaml"], "limbs.arm.mast.length"),
    ("a step that is no number", ["check", "SUIT", "--step", "fine"], "--step"),
    ("a step of zero", ["check", "SUIT", "--step", "0"], "--step"),
    ("an option without its value", ["check", "SUIT", "--step"], "--step"),
    ("files into a file", ["check", "SUIT", "--step", "20", "--out", "SUIT"], "suit.yaml"),
    ("files below a file", ["sheets", "SUIT", "--out", "SUIT/out"], "suit.yaml"),
    ("an unknown paper", ["sheets", "SUIT", "--paper", "B7"], "B7"),
    ("a roll without a unit", ["sheets", "SUIT", "--paper", "roll-914"], "914 mm"),
    ("an unknown format", ["sheets", "SUIT", "--format", "gif"], "gif"),
    ("no format", ["sheets", "SUIT", "--format", ","], "--format"),
    ("an unknown part", ["sheets", "SUIT", "--part", "carier"], "carrier"),
    ("an unknown pose", ["sheets", "SUIT", "--pose", "fly"], "greet"),
    ("a measured bar without a unit", ["sheets", "SUIT", "--measured", "98.7"], "98.7 mm"),
    ("a measured bar of half the length", ["sheets", "SUIT", "--measured", "50mm"], "100 mm"),
    ("a date in another order", ["sheets", "SUIT", "--date", "14.9.2026"], "2026-09-14"),
    ("a day that is none", ["sheets", "SUIT", "--date", "2026-02-30"], "2026-02-30"),
    ("an unknown limb", ["fit", "SUIT", "--limb", "wing"], "wing"),
    ("an unknown demo", ["new", "FOLDER/project", "--from", "unheard-of"], "orchard-warden"),
    ("a project over another", ["new", "FOLDER/orchard-warden", "--from", "orchard-warden"], "already holds"),
    ("a project out of nothing", ["new", "FOLDER/project"], "--stature"),
    ("a demo with measures", ["new", "FOLDER/p", "--from", "orchard-warden", "--mass", "60kg"], "alone"),
    ("a stature without a unit", ["new", "FOLDER/p", "--stature", "1.7", *MEASURES], "unit"),
    ("an unknown survey", ["new", "FOLDER/p", "--stature", "1.7m", *MEASURES, "--sex", "f"], "pooled"),
    ("an unknown schema", ["schema", "sheet"], "findings"),
]  # fmt: skip


@pytest.fixture
def folder(demo_copy: Path) -> Path:
    """A folder with files that are no suits beside one that is."""
    top = demo_copy.parent.parent
    (top / "empty").mkdir()
    (top / "picture.yaml").write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00\xff\xfe")
    (top / "nothing.yaml").write_text("")
    (top / "list.yaml").write_text("- 1\n- 2\n")
    for name in ("front.svg", "side.svg"):
        shutil.copy(demo_copy.parent / name, top / name)
    text = demo_copy.read_text(encoding="utf-8")
    assert "mast: {length: 620 mm" in text
    wrong = text.replace("mast: {length: 620 mm +/- 0.5 mm", "mast: {length: 620 kg")
    (top / "wrong-unit.yaml").write_text(wrong, encoding="utf-8")
    return top


@pytest.mark.parametrize(("args", "said"), [w[1:] for w in WRONG], ids=[w[0] for w in WRONG])
def test_one_line_and_2(
    run: Callable[..., Any], folder: Path, demo_copy: Path, args: list[str], said: str
) -> None:
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    result = run(*(a.replace("SUIT", str(demo_copy)).replace("FOLDER", str(folder)) for a in args), input="")
    assert result.exit_code == 2, result.output
    lines = [line for line in result.stderr.splitlines() if not line.startswith("First run here")]
    assert len(lines) == 1
    assert lines[0].startswith("limbwright: ")
    assert said in lines[0]
    assert result.stdout == ""
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


def test_a_line_names_file_line_field_and_what_would_be_right(run: Callable[..., Any], folder: Path) -> None:
    text = (folder / "wrong-unit.yaml").read_text(encoding="utf-8")
    number = next(k for k, line in enumerate(text.splitlines(), 1) if "mast: {length: 620 kg" in line)
    said = run("check", folder / "wrong-unit.yaml").stderr
    assert f"wrong-unit.yaml:{number}: limbs.arm.mast.length: " in said
    assert "mm" in said


def test_a_reader_who_leaves_early_gets_no_traceback(demo_copy: Path) -> None:
    command = [sys.executable, "-m", "limbwright", "check", str(demo_copy), "--step", "20", "--no-picture"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as started:
        assert started.stdout
        assert started.stderr
        started.stdout.close()
        said = started.stderr.read().decode()
        assert started.wait(120) == 141  # 128 + SIGPIPE, as shells have it
    assert "Traceback" not in said
    assert "BrokenPipe" not in said


def test_an_unreadable_suit_is_said_to_be_so(
    run: Callable[..., Any], demo_copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # rights do not stop a superuser, so the refusal of the system is played
    def refuse(self: Path, *_args: object, **_more: object) -> bytes:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    result = run("check", demo_copy)
    assert result.exit_code == 2
    (line,) = result.stderr.splitlines()
    assert "suit.yaml" in line
    assert "ermission denied" in line
