"""Verdict rules, from design section 1 and docs/findings.md: past the limit falls short; a band that
crosses it, no value, or nothing but assumptions is unknown; the worst row speaks for the suit.

Hypothesis draws the numbers; the rule is stated a second time in `expected`, as a decision table.
"""

import itertools
import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from limbwright.core.estimate import BASES, Estimate, weakest
from limbwright.core.finding import Finding, Input, judge, worst

MEASURED = (Input("length", "measured"),)
GUESSED = (Input("mass of hand", "assumed"), Input("mass of head", "assumed"))
FINITE = st.floats(-1e6, 1e6)


def verdict(value, limit, kind, band=None, inputs=MEASURED):
    return judge("k", "name", value, "mm", inputs=inputs, band=band, limit=limit, limit_kind=kind).verdict


def expected(value, limit, kind, band, bases):
    """The rule as a table of its own: worst case over the band, then the basis."""
    if value is None or not math.isfinite(value):
        return "unknown"
    sound = (lambda v: v >= limit) if kind == "at least" else (lambda v: v <= limit)
    if not sound(value):
        return "falls short"
    if not any(b != "assumed" for b in bases):
        return "unknown"
    if band is not None and not (sound(band[0]) and sound(band[1])):
        return "unknown"
    return "holds"


@given(
    value=st.none() | FINITE | st.just(math.nan) | st.just(math.inf),
    limit=FINITE,
    kind=st.sampled_from(["at least", "at most"]),
    spread=st.none() | st.tuples(st.floats(0, 10), st.floats(0, 10)),
    bases=st.lists(st.sampled_from(BASES), max_size=3),
)
def test_verdict_follows_the_table(value, limit, kind, spread, bases):
    band = None
    if spread is not None and value is not None and math.isfinite(value):
        band = (value - spread[0], value + spread[1])
    inputs = [Input(f"input {i}", b) for i, b in enumerate(bases)]
    found = judge("k", "n", value, "mm", inputs=inputs, band=band, limit=limit, limit_kind=kind)
    assert found.verdict == expected(value, limit, kind, band, bases)
    if found.margin is not None:
        assert (found.margin < 0.0) == (found.verdict == "falls short")
        away = found.value - limit if kind == "at least" else limit - found.value
        assert found.margin == away


@pytest.mark.parametrize(
    ("value", "kind", "band", "said"),
    [
        (10.0, "at least", None, "holds"),  # exactly on the limit holds
        (10.0, "at most", None, "holds"),
        (math.nextafter(10.0, 0.0), "at least", None, "falls short"),
        (math.nextafter(10.0, 20.0), "at most", None, "falls short"),
        (12.0, "at least", (9.9, 14.0), "unknown"),
        (12.0, "at least", (10.0, 14.0), "holds"),
        (8.0, "at most", (7.0, 10.1), "unknown"),
        (8.0, "at most", (7.0, 10.0), "holds"),
        (9.0, "at least", (8.0, 11.0), "falls short"),  # past the limit, however wide the band
        (None, "at least", None, "unknown"),
        (math.nan, "at most", None, "unknown"),
        (math.inf, "at least", None, "unknown"),
    ],
)
def test_on_either_side_of_a_limit_of_ten(value, kind, band, said):
    assert verdict(value, 10.0, kind, band) == said


NO_BANDS = [(math.nan, 14.0), (11.0, math.nan), (math.nan, math.nan), (-math.inf, 14.0)]


@pytest.mark.parametrize("band", NO_BANDS)
def test_a_band_that_is_no_number_is_unknown(band):
    """Unknown is never a pass: a band nobody could work out cannot clear a limit."""
    assert verdict(12.0, 10.0, "at least", band) == "unknown"


@pytest.mark.parametrize("limit", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("kind", ["at least", "at most"])
def test_a_limit_that_is_no_number_is_never_a_pass(limit, kind):
    """No limit can be met that is not there."""
    assert verdict(12.0, limit, kind) == "unknown"


def test_nothing_but_assumptions_is_unknown_but_can_fall_short():
    assert verdict(12.0, 10.0, "at least", inputs=GUESSED) == "unknown"
    assert verdict(9.0, 10.0, "at least", inputs=GUESSED) == "falls short"
    assert verdict(12.0, 10.0, "at least", inputs=(*GUESSED, *MEASURED)) == "holds"
    assert verdict(12.0, 10.0, "at least", inputs=()) == "unknown"  # nothing behind it at all


def test_a_number_without_a_limit_has_no_verdict():
    found = judge("k", "name", 12.0, "mm", inputs=MEASURED)
    assert (found.verdict, found.margin, found.limit) == (None, None, None)
    assert judge("k", "name", math.nan, "mm", inputs=MEASURED).value is None


@pytest.mark.parametrize("half", [{"limit": 1.0}, {"limit_kind": "at least"}])
def test_a_limit_needs_its_kind(half):
    with pytest.raises(ValueError, match="k: a limit and its kind"):
        judge("k", "name", 1.0, "mm", inputs=MEASURED, **half)


def test_the_weakest_input_is_named():
    inputs = [Input("tape", "measured"), Input("table", "published"), Input("guess", "assumed")]
    for order in itertools.permutations(inputs):
        found = judge("k", "name", 1.0, "mm", inputs=order)
        assert (found.basis, found.weakest_input) == ("assumed", "guess")
    assert judge("k", "name", 1.0, "mm", inputs=inputs[:2]).weakest_input == "table"
    assert judge("k", "name", 1.0, "mm", inputs=()).basis == "assumed"


@given(st.lists(st.sampled_from(["holds", "falls short", "unknown", None]), max_size=6))
def test_the_worst_row_speaks(verdicts):
    rows = []
    for said in verdicts:
        value = {"holds": 2.0, "falls short": 0.0, "unknown": None, None: 1.0}[said]
        limit, kind = (None, None) if said is None else (1.0, "at least")
        rows.append(judge("k", "n", value, "mm", inputs=MEASURED, limit=limit, limit_kind=kind))
    assert [row.verdict for row in rows] == verdicts
    for said in ("falls short", "unknown", "holds"):
        if said in verdicts:
            assert worst(rows) == said
            return
    assert worst(rows) == "unknown"  # nothing was judged


def test_the_order_of_rows_does_not_matter():
    rows = [
        judge("k", "n", v, "mm", inputs=MEASURED, limit=1.0, limit_kind="at least") for v in (2.0, None, 0.0)
    ]
    assert {worst(order) for order in itertools.permutations(rows)} == {"falls short"}


def test_plain_data_survives_json():
    """NaN would not be JSON (RFC 8259 section 6): an unknown value goes out as null."""
    found = judge("k", "n", math.nan, "mm", inputs=MEASURED, limit=1.0, limit_kind="at most")
    text = json.dumps(found.as_dict(), allow_nan=False)
    assert Finding(**json.loads(text)) == found


def test_band_of_an_estimate():
    assert Estimate(2.0, 0.5, "published", "table").band() == (1.0, 3.0)
    assert Estimate(2.0, None, "published", "table").band() is None
    assert weakest(["published", "measured", "common practice"]) == "common practice"
    assert weakest([]) == "assumed"
