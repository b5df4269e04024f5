"""limbwright.outputs.sheets: a folder of plots, whole or not at all."""

import time

import pytest

from limbwright.core.errors import LimbwrightError
from limbwright.outputs.part_drawing import part_drawing
from limbwright.outputs.sheets import file_stems, write_sheets
from limbwright.outputs.skeleton_drawing import SkeletonLine, SkeletonMark, skeleton_drawing
from outputs.sample_parts import INFO, carrier, parts, relay, rod


class CancelledError(Exception):
    """Somebody pressed stop."""


def drawings():
    return [part_drawing(part, INFO) for part in parts()]


def contents(folder):
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_every_drawing_in_every_format_and_a_test_print_per_paper(tmp_path):
    formats = ("pdf", "dxf", "dxf-r12", "svg")
    files = write_sheets(drawings(), tmp_path, INFO, ("single", "Letter"), formats)
    names = [str(f.relative_to(tmp_path)) for f in files]
    assert all(f.is_file() for f in files)
    assert "pdf-Letter/0-test-print-Letter.pdf" in names
    assert "pdf-Letter/right-arm-carrier-Letter.pdf" in names
    assert "dxf/left-arm-carrier-mm.dxf" in names
    assert "dxf-r12/left-arm-carrier-mm-r12.dxf" in names
    assert "svg/right-arm-relay-mm.svg" in names
    assert names[-1] == "sheets.txt"
    assert set(contents(tmp_path)) == set(names)
    assert all(name.isascii() for name in names)


def test_progress_counts_up_to_all(tmp_path):
    seen = []
    files = write_sheets(drawings(), tmp_path, INFO, ("A4",), progress=lambda *step: seen.append(step))
    assert [done for done, _, _ in seen] == list(range(1, len(files)))
    assert {total for _, total, _ in seen} == {len(files) - 1}


def test_cancelling_leaves_the_folder_as_it_was(tmp_path):
    write_sheets([part_drawing(relay(), INFO)], tmp_path, INFO, ("A4",))
    before = contents(tmp_path)

    def stop(done, total, name):
        if done == 4:
            raise CancelledError

    with pytest.raises(CancelledError):
        write_sheets(drawings(), tmp_path, INFO, ("A4",), progress=stop)
    assert contents(tmp_path) == before


def test_dropped_parts_go_and_other_files_stay(tmp_path):
    (tmp_path / "dxf").mkdir()
    (tmp_path / "dxf" / "mine.dxf").write_text("mine")
    (tmp_path / "notes.txt").write_text("keep")
    write_sheets(drawings(), tmp_path, INFO, formats=("dxf",))
    write_sheets([part_drawing(rod(), INFO)], tmp_path, INFO, formats=("dxf",))
    assert set(contents(tmp_path)) == {
        "dxf/mine.dxf",
        "dxf/right-and-left-arm-shoulder-rod-mm.dxf",
        "notes.txt",
        "sheets.txt",
    }


def test_a_tampered_list_removes_nothing_outside(tmp_path):
    outside = tmp_path / "outside.pdf"
    outside.write_text("keep")
    folder = tmp_path / "sheets"
    folder.mkdir()
    (folder / "sheets.txt").write_text("../outside.pdf\ndxf/../../outside.pdf\n/etc/hosts\n")
    write_sheets([part_drawing(rod(), INFO)], folder, INFO, formats=("svg",))
    assert outside.read_text() == "keep"


def test_compensated_files_say_so_in_their_names(tmp_path):
    files = write_sheets(drawings()[:1], tmp_path, INFO, ("A4",), ("pdf", "dxf"), measured=98.7e-3)
    assert [f.name for f in files if f.suffix == ".pdf"] == [
        "0-test-print-A4-compensated-98.7mm.pdf",
        "right-arm-carrier-A4-compensated-98.7mm.pdf",
    ]
    assert [f.name for f in files if f.suffix == ".dxf"] == ["right-arm-carrier-mm.dxf"]


def test_two_runs_give_the_same_bytes(tmp_path):
    for name in ("one", "two"):
        write_sheets(drawings(), tmp_path / name, INFO, ("A4",), ("pdf", "dxf", "dxf-r12", "svg"))
    assert contents(tmp_path / "one") == contents(tmp_path / "two")


@pytest.mark.parametrize(
    ("names", "stems"),
    [
        (["Größe 1/2", "größe 1-2"], ["grosse-1-2", "grosse-1-2-2"]),
        (["../../etc/passwd", "  "], ["etc-passwd", "part"]),
        (["CON", "枝"], ["con-part", "part"]),
        (["x" * 300], ["x" * 80]),
    ],
)
def test_file_names_are_safe_and_differ(names, stems):
    found = file_stems(names)
    assert len(set(found)) == len(names)
    if names[0] != "Größe 1/2":
        assert found == stems
    assert all(stem.isascii() and "/" not in stem and "." not in stem for stem in found)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"papers": ("A9",)}, "no paper 'A9'"),
        ({"formats": ("dwg",)}, "no format 'dwg'; use pdf, dxf"),
        ({"drawings": []}, "nothing to draw"),
        ({"measured": 9.87}, "80 to 120 mm"),
    ],
)
def test_wrong_wishes_are_refused_before_anything_is_written(tmp_path, changes, message):
    wishes = {"drawings": drawings()[:1], "folder": tmp_path / "new", "info": INFO} | changes
    with pytest.raises(LimbwrightError, match=message):
        write_sheets(**wishes)
    assert not (tmp_path / "new").exists()


def test_a_folder_that_is_a_file_is_named_in_one_line(tmp_path):
    blocked = tmp_path / "out"
    blocked.write_text("a file")
    with pytest.raises(LimbwrightError, match="use a folder that can be written") as caught:
        write_sheets(drawings()[:1], blocked, INFO)
    assert "\n" not in str(caught.value)


def test_a_whole_suit_takes_less_than_ten_seconds(tmp_path):
    """13 parts a side and two skeletons of 3.1 m, on a single page, A4, DXF and SVG."""
    start = time.perf_counter()
    every = [
        part_drawing(carrier(name=f"{side} {k}", side=side), INFO)
        for k in range(13)
        for side in ("right", "left")
    ]
    outline = [(1.0, 0.0), (1.2, 1.5), (0.4, 3.1), (-0.4, 3.1), (-1.2, 1.5), (-1.0, 0.0)]
    lines = [SkeletonLine("mast", ((0.2, 1.8), (0.2, 2.4)))]
    every += [
        skeleton_drawing(f"skeleton {view}", lines, [outline], [SkeletonMark("shoulder", (0.25, 2.3))], INFO)
        for view in ("front", "side")
    ]
    write_sheets(every, tmp_path, INFO)
    assert time.perf_counter() - start < 10.0
