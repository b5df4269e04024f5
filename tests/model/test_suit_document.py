"""Mirrors `model/suit_document.py`: one changed value is one changed line, and a save loses nothing."""

import os
import re
import stat
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limbwright.core.errors import SuitError
from limbwright.core.units import show
from limbwright.model.quantity import Toleranced
from limbwright.model.suit_document import SuitDocument
from limbwright.model.suit_file import load_suit
from limbwright.model.yaml_text import dotted, leaves, read_tree

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "examples" / "orchard-warden" / "suit.yaml"
ORIGINAL = {
    dotted(path): leaf.text for path, leaf in leaves(read_tree(DEMO.read_text(encoding="utf-8"), DEMO))
}
LEAVES = list(ORIGINAL)
# what a builder may type: printable, one line
WORDS = st.text(st.characters(blacklist_categories=("C", "Z")), min_size=1, max_size=20)
TRICKY = (
    "1 5/8 in", "6'2\"", "0.5 mm +/- 0.1 mm", "a: b", "# x", "x # y", "- x", "[", "]", "{", "}", ",", "?",
    "yes", "~", "null", "!a", "&a", "*a", "", "  x", "x  ", "'", '"', "\\", "%", "@", "`", "|", ">", "---",
    "...",
)  # fmt: skip


def changed_lines(before: str, after: str) -> list[int]:
    """Numbers of the lines that differ, when there are as many as before."""
    old, new = before.split("\n"), after.split("\n")
    assert len(old) == len(new)
    return [i for i, (a, b) in enumerate(zip(old, new, strict=True), start=1) if a != b]


def test_the_demo_has_leaves_to_try() -> None:
    assert len(LEAVES) > 250


@settings(max_examples=120)
@given(field=st.sampled_from(LEAVES), written=st.one_of(WORDS, st.sampled_from(TRICKY)))
def test_one_value_changes_one_line(field: str, written: str) -> None:
    document = SuitDocument(DEMO)
    before, was = document.text, document.get(field)
    document.set(field, written)
    assert document.get(field) == written
    assert len(changed_lines(before, document.text)) == (0 if written == was else 1)
    if written != was:
        old = re.split(r"\s#", before.split("\n")[changed_lines(before, document.text)[0] - 1])
        new = document.text.split("\n")[changed_lines(before, document.text)[0] - 1]
        assert all(comment in new for comment in old[1:])  # its comment stays
    assert {leaf: document.get(leaf) for leaf in LEAVES} == {**ORIGINAL, field: written}


@settings(max_examples=60)
@given(field=st.sampled_from(LEAVES), written=WORDS)
def test_setting_back_gives_the_same_bytes_but_for_quotes(field: str, written: str) -> None:
    document = SuitDocument(DEMO)
    before, was = document.text, document.get(field)
    document.set(field, written)
    document.set(field, was)
    assert document.text.replace('"', "").replace("'", "") == before.replace('"', "").replace("'", "")


def test_a_saved_change_is_the_change_and_nothing_else(demo_copy: Path) -> None:
    before = demo_copy.read_bytes()
    document = SuitDocument(demo_copy)
    document.set("limbs.arm.mast.length", "24 1/2 in")
    document.set("parts[0].mass.value", "0.47 kg")
    suit = document.save()
    assert suit.limbs["arm"].mast.length.value == pytest.approx(24.5 * 0.0254)
    assert load_suit(demo_copy) == suit
    after = demo_copy.read_bytes()
    assert len(changed_lines(before.decode(), after.decode())) == 2
    assert b"24 1/2 in" in after
    assert [p.name for p in demo_copy.parent.iterdir() if p.suffix == ".tmp"] == []


def test_saving_without_a_change_keeps_every_byte(demo_copy: Path) -> None:
    windows = b"\xef\xbb\xbf" + demo_copy.read_bytes().replace(b"\n", b"\r\n")
    demo_copy.write_bytes(windows)
    document = SuitDocument(demo_copy)
    document.save()
    assert demo_copy.read_bytes() == windows
    document.set("limbs.arm.mast.length", "630 mm")
    document.save()
    saved = demo_copy.read_bytes()
    assert saved == windows.replace(b"620 mm +/- 0.5 mm, lean", b"630 mm, lean")


def test_a_wrong_suit_is_not_saved(demo_copy: Path) -> None:
    before = demo_copy.read_bytes()
    document = SuitDocument(demo_copy)
    document.set("limbs.arm.mast.length", "620")
    with pytest.raises(SuitError, match="write 620 mm"):
        document.save()
    assert demo_copy.read_bytes() == before


def test_a_change_by_someone_else_is_not_overwritten(demo_copy: Path) -> None:
    document = SuitDocument(demo_copy)
    document.set("lean", "5 deg")
    theirs = demo_copy.read_bytes() + b"# a note\n"
    demo_copy.write_bytes(theirs)
    with pytest.raises(SuitError, match="changed by another program"):
        document.save()
    assert demo_copy.read_bytes() == theirs


def test_rights_and_links_are_kept(demo_copy: Path) -> None:
    demo_copy.chmod(0o640)
    link = demo_copy.parent / "current.yaml"
    link.symlink_to(demo_copy.name)
    document = SuitDocument(link)
    document.set("lean", "5 deg")
    document.save()
    assert link.is_symlink()
    assert stat.S_IMODE(demo_copy.stat().st_mode) == 0o640
    assert "lean: 5 deg" in demo_copy.read_text(encoding="utf-8")


def test_a_crash_while_writing_leaves_the_old_file(demo_copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = demo_copy.read_bytes()

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    document = SuitDocument(demo_copy)
    document.set("lean", "5 deg")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(SuitError, match="No space left"):
        document.save()
    assert demo_copy.read_bytes() == before
    assert sorted(p.name for p in demo_copy.parent.iterdir()) == ["front.svg", "side.svg", "suit.yaml"]


@pytest.mark.parametrize(
    ("field", "written", "line"),
    [
        ("limbs.arm.mast.mass", "0.31 kg", "layer: 70 mm, mass: 0.31 kg}"),
        ("limbs.arm.swivel.lean", "1 deg", "      lean: 1 deg"),
        ("targets.note", "dry floor", "  note: dry floor"),
        ("performer.cast.Wren.limits.elbow_flexion", "140 deg", "        elbow_flexion: 140 deg"),
        ("poses.rest.note", "slow", "elbow: 25 deg, note: slow}"),
    ],
)
def test_a_new_field_goes_to_the_end_of_its_block(field: str, written: str, line: str) -> None:
    document = SuitDocument(DEMO)
    before = document.text.split("\n")
    document.set(field, written)
    assert document.get(field) == written
    after = document.text.split("\n")
    assert any(line in one for one in after)
    kept = [one for one in before if one in after]
    assert len(kept) >= len(before) - 1  # at most the line of a bracketed block is rewritten


def test_a_new_field_after_the_last_line_without_a_line_end(demo_copy: Path) -> None:
    demo_copy.write_text(demo_copy.read_text(encoding="utf-8").rstrip("\n"), encoding="utf-8")
    document = SuitDocument(demo_copy)
    document.set("targets.note", "dry floor")
    assert document.text.endswith("suit_mass: 22 kg\n  note: dry floor\n")


def test_an_empty_value_is_filled_in(demo_copy: Path) -> None:
    text = demo_copy.read_text(encoding="utf-8").replace("lean: 0 deg  ", "lean:        ")
    demo_copy.write_text(text, encoding="utf-8")
    document = SuitDocument(demo_copy)
    document.set("lean", "4 deg")
    assert len(changed_lines(text, document.text)) == 1
    assert document.save().lean == pytest.approx(0.0698131700797732)  # 4 deg


@pytest.mark.parametrize(
    ("field", "written", "problem"),
    [
        ("limbs.leg.mast.length", "1 mm", "no such field"),
        ("parts[9].mass", "1 kg", "no such field"),
        ("limbs.arm.mast", "1 mm", "block of fields"),
        ("parts", "1 kg", "block of fields"),
        ("performer.cast.Wren.stature", "1740 mm", "block of fields"),
        ("lean", "1 deg\nname: x", "more than one line"),
        ("lean", "1 deg\x07", "cannot be written"),
    ],
)
def test_edits_that_cannot_be_made_change_nothing(field: str, written: str, problem: str) -> None:
    document = SuitDocument(DEMO)
    before = document.text
    with pytest.raises(SuitError, match=problem):
        document.set(field, written)
    assert document.text == before


def test_several_values_are_written_together_or_not_at_all() -> None:
    document = SuitDocument(DEMO)
    before = document.text
    with pytest.raises(SuitError):
        document.set_all({"lean": "3 deg", "no.such.field": "1 mm"})
    assert document.text == before
    document.set_all({"lean": "3 deg", "limbs.arm.carrier.length": "710 mm"})
    assert len(changed_lines(before, document.text)) == 2


@settings(max_examples=30)
@given(st.floats(0.3, 1.9))
def test_what_fit_proposes_is_read_back(length: float) -> None:
    document = SuitDocument(DEMO)
    document.set("limbs.arm.carrier.length", show(length, "length"))
    carrier = document.suit().limbs["arm"].carrier.length
    assert carrier == Toleranced(pytest.approx(length, abs=0.5e-4 + 1e-9))  # shown to 0.1 mm
