"""The table of findings: what it says, in whose units, at every width."""

import itertools
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limbwright.core.finding import Finding, Input, judge, worst
from limbwright.outputs.finding_words import number_words, value_words
from limbwright.outputs.findings_table import Style, table_lines, unit_line, verdict_lines

MEASURED = (Input("the bench", "measured"),)
GUESSED = (Input("a guess", "assumed"),)


def finding(key: str, value: float | None, unit: str, limit: float | None = None, **more: object) -> Finding:
    """A finding named after its key."""
    kind = None if limit is None else more.pop("kind", "at most")
    return judge(key, f"name of {key}", value, unit, limit=limit, limit_kind=kind,
                 inputs=more.pop("inputs", MEASURED), **more)  # type: ignore[arg-type]  # fmt: skip


ROWS = (
    finding("arm.range.usable", 39.6, "%", 35.0, kind="at least", where="swing -45 to 120 deg"),
    finding("arm.lock.least", 12.0, "deg", 15.0, kind="at least", band=(11.1, 12.9), where="elbow straight"),
    finding("arm.hand.highest", 4009.2, "mm", band=(3977.0, 4041.4)),
    finding("arm.right.effort.shoulder.worst", 24.8, "N m", 30.0, band=(22.0, 31.0)),
    finding("arm.right.effort.shoulder.greet", 20.0, "N m", 30.0, band=(18.0, 22.0)),
    finding("arm.left.effort.shoulder.greet", 31.0, "N m", 30.0, band=(29.0, 33.0)),
    finding("suit.mass", 17.36, "kg", 22.0, band=(15.4, 20.1), inputs=GUESSED),
    finding("arm.mobility.true", 3.0, ""),
)


@pytest.mark.parametrize("width", [200, 130, 100, 80, 66, 40])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    for every in (False, True):
        lines = table_lines(ROWS, Style(width=width, every=every))
        lines += verdict_lines(ROWS, worst(ROWS), Style(width=width))
        assert max(map(len, lines)) <= width
        assert not any(line != line.rstrip() for line in lines)


@pytest.mark.parametrize("width", [200, 100, 60])
def test_every_width_says_the_same(width: int) -> None:
    text = " ".join(" ".join(table_lines(ROWS, Style(width=width))).split())
    for said in ("39.6 %", "+4.6", "11.1 to 12.9", ">= 15.0", "-3.0", "no estimate", "measured", "assumed",
                 "! falls short", "+ holds", "? unknown", "elbow straight", "rests on a guess"):  # fmt: skip
        assert said in text, said


def test_the_verdicts_are_those_of_the_findings() -> None:
    lines = table_lines(ROWS, Style(width=200))
    verdicts = {
        line.split("  ")[1]: re.search(r"[+!?] [a-z ]+$", line) for line in lines if "name of" in line
    }
    assert {name: found[0] for name, found in verdicts.items() if found} == {
        "name of arm.range.usable": "+ holds",
        "name of arm.lock.least": "! falls short",
        "name of arm.right.effort.shoulder.worst": "? unknown",  # its band crosses the limit
        "name of arm.left.effort.shoulder.greet": "! falls short",
        "name of suit.mass": "? unknown",  # it rests on a guess alone
    }


def test_rows_of_named_poses_are_left_out_only_where_they_say_nothing_to_act_on() -> None:
    short = "\n".join(table_lines(ROWS, Style(width=200)))
    whole = "\n".join(table_lines(ROWS, Style(width=200, every=True)))
    assert "arm.right.effort.shoulder.greet" not in short
    assert "1 more rows for the named poses" in short
    assert "arm.left.effort.shoulder.greet" in short
    assert all(row.name in whole for row in ROWS)


def test_groups_come_in_their_order_and_name_the_limb_where_there_are_two() -> None:
    titles = [line for line in table_lines(ROWS, Style(width=60)) if line and not line.startswith(" ")]
    assert titles[:6] == ["Range", "Lock-up", "Reach of the hand", "Effort", "Mass", "Mobility"]
    two = (*ROWS, finding("wing.range.usable", 50.0, "%"))
    titles = [line for line in table_lines(two, Style(width=60)) if line and not line.startswith(" ")]
    assert titles[:3] == ["Range: arm", "Range: wing", "Lock-up: arm"]
    assert "Mass" in titles


def test_an_unheard_of_key_is_shown_and_not_dropped() -> None:
    lines = table_lines([finding("arm.wobble.worst", 1.5, "deg")], Style(width=120))
    assert lines[0].startswith("Other")
    assert "1.5 deg" in lines[1]


def test_colour_only_where_asked_and_never_alone() -> None:
    plain = table_lines(ROWS, Style(width=130))
    coloured = table_lines(ROWS, Style(width=130, colour=True))
    assert not any("\x1b" in line for line in plain)
    assert [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in coloured] == plain
    assert any("\x1b" in line for line in coloured)


def test_what_to_do_first_is_the_worst_by_share_of_its_limit() -> None:
    rows = (
        finding("arm.lock.least", 14.0, "deg", 15.0, kind="at least"),
        finding("suit.mass", 40.0, "kg", 20.0),
        finding("arm.range.usable", None, "%", 35.0, kind="at least"),
    )
    said = " ".join(verdict_lines(rows, worst(rows), Style(width=100)))
    assert "! The suit: falls short   2 fall short, 1 unknown, 0 hold" in said
    assert "First: name of suit.mass" in said


def test_an_unknown_value_says_what_to_measure() -> None:
    rows = (finding("arm.range.usable", None, "%", 35.0, kind="at least", inputs=GUESSED),)
    assert "no value" in "\n".join(table_lines(rows, Style(width=120)))
    assert "measure what it rests on: a guess" in " ".join(verdict_lines(rows, worst(rows), Style(width=120)))


@pytest.mark.parametrize(
    ("value", "unit", "system", "shown"),
    [
        # NIST Special Publication 811 (2008), appendix B: exact inch and pound; lbf ft = 1.355 818 N m
        (25.4, "mm", "in", "1.00"),
        (1546.0, "mm", "in", "60.87"),
        (0.45359237, "kg", "in", "1.0"),
        (1.3558179483314, "N m", "in", "1.0"),
        (30.0, "N m", "frac-in", "22.1"),
        # by hand: 100 mm / 25.4 = 3.937 in, nearest sixteenth 3 15/16 = 3.9375
        (100.0, "mm", "frac-in", "3 15/16"),
        (12.0, "deg", "in", "12.0"),
        (-0.0, "deg", "mm", "0.0"),
        (-0.01, "N m", "mm", "0.0"),
        (999.4, "mm", "mm", "999.4"),
        (1000.4, "mm", "mm", "1000"),
        (3.0, "", "mm", "3"),
        (3.849, "", "mm", "3.85"),
        (-6.0, "", "mm", "-6"),
    ],
)
def test_numbers_in_the_reader_s_units(value: float, unit: str, system: str, shown: str) -> None:
    assert number_words(value, unit, system) == shown  # type: ignore[arg-type]


def test_a_margin_that_decides_never_reads_as_zero() -> None:
    assert number_words(-0.004, "deg", "mm", sign=True) == "-0.0040"
    assert number_words(0.03, "%", "mm", sign=True) == "+0.030"
    assert number_words(0.0, "%", "mm", sign=True) == "+0.0"
    assert number_words(12.0, "%", "mm", sign=True) == "+12.0"


@given(st.floats(-1e6, 1e6), st.sampled_from(["mm", "deg", "kg", "N m", "%", ""]))
def test_what_is_shown_is_the_value_to_its_last_digit(value: float, unit: str) -> None:
    shown = number_words(value, unit, "mm")
    digits = len(shown.partition(".")[2])
    assert abs(float(shown) - value) <= 0.5 * 10.0**-digits * (1.0 + 1e-9) + 1e-9
    assert value_words(finding("a.b", value, unit), "mm").startswith(shown)


def test_units_are_named_for_the_reader() -> None:
    assert unit_line("mm") == "mm, deg, kg, N m"
    assert unit_line("in") == "in, deg, lb, lbf ft"


def test_the_table_does_not_hang_on_the_order_of_unrelated_rows() -> None:
    whole = table_lines(ROWS, Style(width=100))
    mass = [row for row in ROWS if row.key == "suit.mass"]
    others = [row for row in ROWS if row.key != "suit.mass"]
    for place in (0, 3, len(others)):
        mixed = list(itertools.chain(others[:place], mass, others[place:]))
        assert table_lines(mixed, Style(width=100)) == whole
