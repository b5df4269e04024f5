"""Mirrors `model/yaml_text.py`: the tree keeps every character's place, and reads what YAML says."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from limbwright.core.errors import SuitError
from limbwright.model.yaml_text import dotted, leaves, lines_of, plain_data, read_text, read_tree, split_path

FILE = Path("suit.yaml")
NAMES = st.text(st.sampled_from("abcXYZ_' -09"), min_size=1, max_size=6).map(lambda s: f"k{s.strip()}")
TEXTS = st.text(st.characters(blacklist_categories=("C",)), max_size=12)
TREES = st.dictionaries(
    NAMES,
    st.recursive(
        TEXTS,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3),
        max_leaves=8,
    ),
    min_size=1,
    max_size=4,
)


def dumped(data: object, *, flow: bool) -> str:
    """Text that ruamel.yaml writes, every scalar quoted so that it stays text."""
    from io import StringIO

    yaml = YAML(typ="safe", pure=True)
    yaml.default_flow_style, yaml.default_style = flow, '"'
    stream = StringIO()
    yaml.dump(data, stream)
    return stream.getvalue()


@given(data=TREES, flow=st.booleans())
def test_it_reads_what_the_library_wrote(data: dict[str, object], flow: bool) -> None:
    assert plain_data(read_tree(dumped(data, flow=flow), FILE)) == data


def test_every_scalar_is_where_it_says(demo_suit_path: Path) -> None:
    text = read_text(demo_suit_path)
    tree = read_tree(text, demo_suit_path)
    found = list(leaves(tree))
    assert len(found) > 250
    for path, leaf in found:
        assert text[leaf.start : leaf.end] == leaf.text
        assert text[: leaf.start].count("\n") + 1 == leaf.line
        assert split_path(dotted(path)) == path


def test_lines_are_those_of_the_keys() -> None:
    text = "a: 1\nb:\n  c:\n    - x\n    - {d: 2,\n       e: 3}\n"
    lines = {dotted(path): line for path, line in lines_of(read_tree(text, FILE))}
    assert lines == {"a": 1, "b": 2, "b.c": 3, "b.c[0]": 4, "b.c[1]": 5, "b.c[1].d": 5, "b.c[1].e": 6}


def test_nothing_is_turned_into_anything() -> None:
    text = "a: 012\nb: 12:30\nc: yes\nd: 1e3\ne: 2026-09-14\nf: 'null'\ng: null\nh: ~\ni:\n"
    assert plain_data(read_tree(text, FILE)) == {
        "a": "012", "b": "12:30", "c": "yes", "d": "1e3", "e": "2026-09-14", "f": "null",
        "g": None, "h": None, "i": None,
    }  # fmt: skip


@given(st.text(max_size=200))
def test_any_text_is_a_tree_or_one_line(text: str) -> None:
    caught: SuitError | None = None
    try:
        read_tree(text, FILE)
    except SuitError as error:
        caught = error
    if caught is not None:
        assert "\n" not in str(caught)


def test_windows_line_ends_and_marks_are_no_trouble(tmp_path: Path) -> None:
    file = tmp_path / "suit.yaml"
    file.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")
    tree = read_tree(read_text(file), file)
    assert plain_data(tree) == {"a": "1", "b": "2"}
    assert [line for _, line in lines_of(tree)] == [1, 2]


@pytest.mark.parametrize("depth", [12, 13])
def test_depth_limit(depth: int) -> None:
    text = "a: " + "[" * (depth - 1) + "]" * (depth - 1)
    if depth <= 12:
        assert isinstance(plain_data(read_tree(text, FILE)), dict)
    else:
        with pytest.raises(SuitError, match="nested more than 12"):
            read_tree(text, FILE)
