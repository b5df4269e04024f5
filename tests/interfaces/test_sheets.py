"""`limbwright sheets`: which files are made, and that they are what was asked for.

PDFs are read back with pypdf, DXF with ezdxf, SVG with the standard library's XML reader.
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import ezdxf
import jsonschema
import pytest
from pypdf import PdfReader

from limbwright.outputs.findings_json import findings_schema

MAST = 0.620  # [m] pin to pin, in the demo's suit file


def made(result: Any) -> list[Path]:
    """Files of an answer that obeys the published schema."""
    assert result.exit_code == 0, result.stderr
    told = json.loads(result.stdout)
    jsonschema.Draft202012Validator(findings_schema()).validate(told)
    files = [Path(file) for file in told["files"]]
    assert all(file.is_file() for file in files)
    return files


def test_a_part_in_every_format(run: Callable[..., Any], demo_copy: Path) -> None:
    args = ("--part", "right arm mast", "--paper", "A4", "--format", "pdf,dxf,dxf-r12,svg", "--json")
    files = made(run("sheets", demo_copy, *args))
    by_kind = {file.parent.name: file for file in files if "mast" in file.name}
    assert set(by_kind) == {"pdf-A4", "dxf", "dxf-r12", "svg"}
    drawing = ezdxf.readfile(by_kind["dxf"])
    assert drawing.units == ezdxf.units.MM
    centres = [c.dxf.center for c in drawing.modelspace().query("CIRCLE[layer=='CUT']")]
    longest = max((a - b).magnitude for a in centres for b in centres)
    assert longest == pytest.approx(1e3 * MAST, abs=1e-6)
    page = PdfReader(by_kind["pdf-A4"]).pages[1]
    size = [float(v) * 25.4 / 72 for v in page.mediabox[2:]]
    assert sorted(size) == pytest.approx([210.0, 297.0], abs=0.01)  # ISO 216
    assert (ET.parse(by_kind["svg"]).getroot().get("width") or "").endswith("mm")


def test_every_part_and_both_skeletons_are_drawn(run: Callable[..., Any], demo_copy: Path) -> None:
    names = {file.name for file in made(run("sheets", demo_copy, "--format", "svg", "--json"))}
    for part in ("mast", "carrier", "relay", "driver", "character-forearm", "forearm-rod"):
        assert any(part in name and "right" in name for name in names), part
        assert any(part in name and "left" in name for name in names), part
    assert {"skeleton-front-mm.svg", "skeleton-side-mm.svg"} <= names


def test_a_part_alone_leaves_the_whole_set_in_place(run: Callable[..., Any], demo_copy: Path) -> None:
    whole = made(run("sheets", demo_copy, "--format", "svg", "--json"))
    some = made(run("sheets", demo_copy, "--format", "svg", "--part", "carrier", "--json"))
    assert all(file.is_file() for file in whole)
    assert {file.stem for file in some if file.suffix == ".svg"} == {
        "right-arm-carrier-mm",
        "left-arm-carrier-mm",
    }


def test_a_compensated_reprint_is_larger_and_says_so(run: Callable[..., Any], demo_copy: Path) -> None:
    """A bar that came out 98.7 mm long asks for pages 100 / 98.7 times as large."""
    args = ("--part", "right arm relay", "--format", "pdf", "--paper", "single", "--json")
    (plain,) = [f for f in made(run("sheets", demo_copy, *args)) if "relay" in f.name]
    width = float(PdfReader(plain).pages[0].mediabox.width)
    files = made(run("sheets", demo_copy, *args, "--measured", "98.7mm"))
    (larger,) = [f for f in files if "relay" in f.name]
    page = PdfReader(larger).pages[0]
    assert float(page.mediabox.width) / width == pytest.approx(100.0 / 98.7, rel=1e-6)
    assert "COMPENSATED" in page.extract_text()
    assert "98.7" in larger.name


def test_the_test_print_is_one_page(run: Callable[..., Any], demo_copy: Path) -> None:
    files = made(run("sheets", demo_copy, "--test-print", "--paper", "A3", "--paper", "Letter", "--json"))
    assert [file.name for file in files] == ["test-print-A3.pdf", "test-print-Letter.pdf"]
    assert all(len(PdfReader(file).pages) == 1 for file in files)


def test_the_date_is_the_one_given_and_none_is_made_up(run: Callable[..., Any], demo_copy: Path) -> None:
    args = ("--part", "right arm relay", "--format", "pdf", "--paper", "single", "--json")
    (file,) = [f for f in made(run("sheets", demo_copy, *args)) if "relay" in f.name]
    assert "undated" in PdfReader(file).pages[0].extract_text()
    first = file.read_bytes()
    made(run("sheets", demo_copy, *args))
    assert file.read_bytes() == first
    made(run("sheets", demo_copy, *args, "--date", "2026-09-14"))
    assert "2026-09-14" in PdfReader(file).pages[0].extract_text()


def test_a_roll_is_as_wide_as_asked(run: Callable[..., Any], demo_copy: Path) -> None:
    args = ("--part", "skeleton front", "--format", "pdf", "--paper", "roll-914mm", "--json")
    (file,) = [f for f in made(run("sheets", demo_copy, *args)) if "skeleton" in f.name]
    widths = {min(float(v) for v in page.mediabox[2:]) * 25.4 / 72 for page in PdfReader(file).pages}
    assert max(widths) == pytest.approx(914.0, abs=0.01)


def test_the_answer_names_drawings_folders_and_cautions(run: Callable[..., Any], demo_copy: Path) -> None:
    result = run("sheets", demo_copy, "--format", "svg")
    assert result.exit_code == 0
    for said in ("right arm mast", "skeleton side", "Measure the check bar", str(demo_copy.parent / "out")):
        assert said in result.stdout
