"""limbwright.reference.body_dimensions and the script that makes its table."""

import gzip
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from limbwright.core.errors import LimbwrightError
from limbwright.reference.body_dimensions import (
    DIMENSIONS,
    condition,
    index_of,
    load_body_table,
    parse_body_table,
)

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "make_body_table.py"


def test_two_variables_worked_by_hand():
    """Exact measure one sd up, correlation .8: mean up .8 sd, sd falls to sqrt(1 - .64) = .6."""
    mean, sd = np.array([1.70, 0.320]), np.array([0.07, 0.018])
    covariance = np.outer(sd, sd) * np.array([[1.0, 0.8], [0.8, 1.0]])
    known = np.array([0])
    given = condition(mean, covariance, known, np.array([1.77]), np.array([0.0]))
    np.testing.assert_allclose(given.mean, [1.77, 0.320 + 0.8 * 0.018], rtol=1e-12)
    assert np.sqrt(given.covariance[1, 1]) == pytest.approx(0.6 * 0.018)
    assert given.covariance[0, 0] == pytest.approx(0.0, abs=1e-15)
    # a measure as uncertain as the population itself counts half: .4 sd up, variance x .68
    vague = condition(mean, covariance, known, np.array([1.77]), np.array([0.07]))
    np.testing.assert_allclose(vague.mean, [1.735, 0.320 + 0.4 * 0.018], rtol=1e-12)
    assert vague.covariance[1, 1] == pytest.approx(0.68 * 0.018**2)


@pytest.mark.parametrize("sex", ["female", "male", "pooled"])
def test_agrees_with_the_information_form(sex):
    """Independent route: precisions add, (C^-1 + H^T R^-1 H)^-1."""
    table = load_body_table(sex)
    rows = np.array([index_of(n) for n in ("stature", "body_mass", "span", "hand_length")])
    values = np.array([1.73, 68.0, 1.76, 0.188])
    sds = np.array([0.0025, 0.5, 0.005, 0.003])
    given = condition(table.mean, table.covariance, rows, values, sds)
    picks = np.zeros((len(rows), len(DIMENSIONS)))
    picks[np.arange(len(rows)), rows] = 1.0
    prior = np.linalg.inv(table.covariance)
    noise = np.diag(sds**-2.0)
    after = np.linalg.inv(prior + picks.T @ noise @ picks)
    expected = after @ (prior @ table.mean + picks.T @ noise @ values)
    np.testing.assert_allclose(given.mean, expected, rtol=1e-8)
    np.testing.assert_allclose(given.covariance, after, rtol=1e-6, atol=1e-12)


def test_nothing_measured_leaves_the_population():
    table = load_body_table("male")
    given = condition(table.mean, table.covariance, np.array([], dtype=int), np.array([]), np.array([]))
    np.testing.assert_array_equal(given.mean, table.mean)
    np.testing.assert_array_equal(given.covariance, table.covariance)


def test_unknown_dimension_lists_the_known_ones():
    with pytest.raises(LimbwrightError, match=r"no body dimension 'wingspan'.*stature.*span"):
        index_of("wingspan")


def test_table_cannot_be_altered_in_place():
    with pytest.raises(ValueError, match="read-only"):
        load_body_table("male").mean[0] = 2.0


def write_survey(path, statures, *, leave_out=None):
    """A made-up survey: two women, two men, all other dimensions a fixed share of stature."""
    columns = [d.ansur_column for d in DIMENSIONS if d.ansur_column != leave_out]
    lines = ["# made up", ",".join(["sex", "age", *columns])]
    for sex, stature in statures:
        cells = []
        for place, column in enumerate(columns):
            if column == "stature":
                cells.append(stature)
            elif column == "weight_hg":
                cells.append(655)
            else:
                cells.append(round(stature * (place + 1) / 50))
        lines.append(",".join(map(str, [sex, 30, *cells])))
    opened = gzip.open if path.suffix == ".gz" else open
    with opened(path, "wt", encoding="latin-1") as stream:
        stream.write("\n".join(lines) + "\n")


def make_table(survey, out):
    return subprocess.run(
        [sys.executable, str(SCRIPT), str(survey), "--out", str(out)],
        capture_output=True,
        text=True,
        check=False,
    )


PEOPLE = (("F", 1600), ("M", 1740), ("F", 1620), ("M", 1780))


def test_script_on_four_people_worked_by_hand(tmp_path):
    """Women 1600, 1620, men 1740, 1780 mm, all 65.5 kg.

    Means 1610 and 1760, variances 200 and 800, pooled mean 1685 and variance
    (200 + 800)/2 + (150/2)^2 = 6125 mm^2.
    """
    write_survey(tmp_path / "survey.csv.gz", PEOPLE)
    done = make_table(tmp_path / "survey.csv.gz", tmp_path / "table.csv")
    assert done.returncode == 0, done.stderr
    text = (tmp_path / "table.csv").read_text(encoding="utf-8")
    assert "public domain" in text
    assert "2 women and 2 men" in text
    row, mass = index_of("stature"), index_of("body_mass")
    for sex, mean, variance in (
        ("female", 1.610, 200e-6),
        ("male", 1.760, 800e-6),
        ("pooled", 1.685, 6125e-6),
    ):
        table = parse_body_table(text, sex)
        assert table.mean[row] == pytest.approx(mean)
        assert table.covariance[row, row] == pytest.approx(variance)
        assert table.mean[mass] == pytest.approx(65.5)  # 655 hectograms
    assert parse_body_table(text, "female").percentiles["p95"][row] == pytest.approx(1.619)


def test_script_writes_the_same_bytes_twice_from_plain_and_gzipped(tmp_path):
    write_survey(tmp_path / "a.csv", PEOPLE)
    write_survey(tmp_path / "b.csv.gz", PEOPLE)
    for name in ("a.csv", "b.csv.gz"):
        assert make_table(tmp_path / name, tmp_path / f"{name}.out").returncode == 0
    assert (tmp_path / "a.csv.out").read_bytes() == (tmp_path / "b.csv.gz.out").read_bytes()


def test_script_names_a_missing_column_and_a_missing_file(tmp_path):
    write_survey(tmp_path / "survey.csv", PEOPLE, leave_out="weight_hg")
    done = make_table(tmp_path / "survey.csv", tmp_path / "table.csv")
    assert done.returncode == 1
    assert done.stderr.strip() == "survey.csv: no column weight_hg"
    done = make_table(tmp_path / "none.csv", tmp_path / "table.csv")
    assert done.returncode == 1
    assert "no such file" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_table_of_other_columns_is_refused():
    with pytest.raises(LimbwrightError, match="make it again"):
        parse_body_table("population,statistic,stature\nmale,mean,1756\n", "male")
