"""Make the shipped table of body dimensions from a copy of the ANSUR II survey.

Reads one CSV (plain or gzipped, `#` lines skipped) with a `sex` column of F and M and the survey's
own column names, body mass in `weight_hg`, and writes means, covariances and three percentiles
for female, male and pooled. Same input, same bytes.

    python scripts/make_body_table.py [survey.csv.gz] [--out table.csv]
"""

import argparse
import csv
import gzip
import sys
from pathlib import Path

import numpy as np

from limbwright.reference.body_dimensions import DIMENSION_NAMES, DIMENSIONS, TABLE_FILE

ROOT = Path(__file__).resolve().parents[1]
SURVEY = ROOT.parent / "shared" / "data" / "ansur2_trimmed.csv.gz"
TABLE = ROOT / "src" / "limbwright" / "reference" / "tables" / TABLE_FILE
HEADER = """\
# Body dimensions: means, percentiles and covariances. Lengths in mm, body mass in kg.
# Made by scripts/make_body_table.py; do not edit.
# Source: ANSUR II, 2012 Anthropometric Survey of U.S. Army Personnel (Gordon CC et al. 2014,
# technical report NATICK/TR-15/007), a work of the U.S. Government, public domain (17 U.S.C. 105).
# Population: soldiers aged 17 to 58, {female} women and {male} men; not the general public.
# pooled: women and men with equal weight, whatever their numbers in the survey.
# Percentiles: linear interpolation by sex; weighted inverse distribution for pooled.
"""
HECTOGRAM = 0.1  # the survey records body mass in units of 0.1 kg


def read_survey(path: Path) -> dict[str, np.ndarray]:
    """One array (person, dimension) a sex, lengths in mm and body mass in kg."""
    opened = gzip.open if path.suffix == ".gz" else open
    with opened(path, "rt", encoding="latin-1") as stream:
        reader = csv.DictReader(line for line in stream if not line.startswith("#"))
        missing = [d.ansur_column for d in DIMENSIONS if d.ansur_column not in (reader.fieldnames or ())]
        if missing:
            sys.exit(f"{path.name}: no column {', '.join(missing)}")
        people: dict[str, list[list[float]]] = {"F": [], "M": []}
        for row in reader:
            people[row["sex"]].append([float(row[d.ansur_column]) for d in DIMENSIONS])
    scale = np.array([HECTOGRAM if d.unit == "kg" else 1.0 for d in DIMENSIONS])
    return {
        "female": np.array(people["F"]) * scale,
        "male": np.array(people["M"]) * scale,
    }


def moments(people: np.ndarray) -> dict[str, np.ndarray]:
    """Mean, covariance and percentiles of one sex."""
    p05, p50, p95 = np.percentile(people, [5, 50, 95], axis=0)
    return {
        "mean": people.mean(axis=0),
        "p05": p05,
        "p50": p50,
        "p95": p95,
        "cov": np.cov(people, rowvar=False),
    }


def pool(female: np.ndarray, male: np.ndarray) -> dict[str, np.ndarray]:
    """The same for both sexes with equal weight: a mixture of two halves."""
    one, two = moments(female), moments(male)
    apart = one["mean"] - two["mean"]
    weights = np.concatenate([np.full(len(group), 0.5 / len(group)) for group in (female, male)])
    everyone = np.vstack([female, male])
    p05, p50, p95 = np.quantile(everyone, [0.05, 0.5, 0.95], axis=0, weights=weights, method="inverted_cdf")
    return {
        "mean": 0.5 * (one["mean"] + two["mean"]),
        "p05": p05,
        "p50": p50,
        "p95": p95,
        "cov": 0.5 * (one["cov"] + two["cov"]) + 0.25 * np.outer(apart, apart),
    }


def table_text(survey: dict[str, np.ndarray]) -> str:
    """The whole table as text."""
    female, male = survey["female"], survey["male"]
    groups = {"female": moments(female), "male": moments(male), "pooled": pool(female, male)}
    lines = [",".join(["population", "statistic", *DIMENSION_NAMES])]
    for population, values in groups.items():
        for statistic in ("mean", "p05", "p50", "p95"):
            lines.append(_row(population, statistic, values[statistic]))
        for name, row in zip(DIMENSION_NAMES, values["cov"], strict=True):
            lines.append(_row(population, f"cov {name}", row))
    return HEADER.format(female=len(female), male=len(male)) + "\n".join(lines) + "\n"


def _row(population: str, statistic: str, values: np.ndarray) -> str:
    return ",".join([population, statistic, *(f"{v:.8g}" for v in values)])


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("survey", type=Path, nargs="?", default=SURVEY)
    parser.add_argument("--out", type=Path, default=TABLE)
    arguments = parser.parse_args()
    if not arguments.survey.is_file():
        sys.exit(f"{arguments.survey}: no such file; give the path of the survey's CSV")
    text = table_text(read_survey(arguments.survey))
    arguments.out.parent.mkdir(parents=True, exist_ok=True)
    arguments.out.write_text(text, encoding="utf-8", newline="\n")
    print(f"wrote {arguments.out.name}: {len(DIMENSION_NAMES)} dimensions, {len(text)} bytes")


if __name__ == "__main__":
    main()
