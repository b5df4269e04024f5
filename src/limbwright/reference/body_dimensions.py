"""Body dimensions a tape can take: their means, covariances and percentiles by sex.

Source of the numbers: ANSUR II, the 2012 anthropometric survey of U.S. Army personnel
(Gordon CC et al. 2014, NATICK/TR-15/007), a work of the U.S. Government in the public domain
(17 U.S.C. 105). The shipped table is made by `scripts/make_body_table.py`. Soldiers aged 17 to
58 are not the public: expect other people to be heavier at the same stature.
"""

import csv
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Literal, NamedTuple, get_args

import numpy as np
from jaxtyping import Float, Int

from limbwright.core.errors import LimbwrightError

Sex = Literal["female", "male", "pooled"]
SEXES: tuple[Sex, ...] = get_args(Sex)
PERCENTILES = ("p05", "p50", "p95")
SOURCE = "ANSUR II 2012 (Gordon et al. 2014, NATICK/TR-15/007)"
TABLE_FILE = "ansur2_moments.csv"


class Dimension(NamedTuple):
    """One dimension of the table; lengths are in mm in the file, mass in kg."""

    name: str
    ansur_column: str
    unit: Literal["mm", "kg"]
    meaning: str


DIMENSIONS: tuple[Dimension, ...] = (
    Dimension("stature", "stature", "mm", "floor to top of the head, barefoot"),
    Dimension("body_mass", "weight_hg", "kg", "weighed lightly dressed"),
    Dimension("acromial_height", "acromialheight", "mm", "floor to the shoulder's bony edge"),
    Dimension("suprasternale_height", "suprasternaleheight", "mm", "floor to the breastbone's notch"),
    Dimension("axilla_height", "axillaheight", "mm", "floor to the armpit"),
    Dimension("iliocristale_height", "iliocristaleheight", "mm", "floor to the hip bone's crest"),
    Dimension("trochanterion_height", "trochanterionheight", "mm", "floor to the hip's bony point"),
    Dimension("crotch_height", "crotchheight", "mm", "floor to crotch"),
    Dimension("knee_height_midpatella", "kneeheightmidpatella", "mm", "floor to mid kneecap"),
    Dimension(
        "lateral_malleolus_height",
        "lateralmalleolusheight",
        "mm",
        "floor to the ankle's outer bony point",
    ),
    Dimension("sitting_height", "sittingheight", "mm", "seat to top of the head"),
    Dimension("eye_height_sitting", "eyeheightsitting", "mm", "seat to the eye's corner"),
    Dimension("biacromial_breadth", "biacromialbreadth", "mm", "bony edge to bony edge, shoulders"),
    Dimension("bideltoid_breadth", "bideltoidbreadth", "mm", "across both shoulders over flesh"),
    Dimension(
        "acromion_radiale_length",
        "acromionradialelength",
        "mm",
        "shoulder's bony edge to the gap above the radius, arm hanging",
    ),
    Dimension(
        "radiale_stylion_length",
        "radialestylionlength",
        "mm",
        "gap above the radius to its tip at the wrist, arm hanging",
    ),
    Dimension(
        "shoulder_elbow_length",
        "shoulderelbowlength",
        "mm",
        "shoulder's bony edge to the underside of the elbow bent square",
    ),
    Dimension(
        "forearm_hand_length",
        "forearmhandlength",
        "mm",
        "back of the elbow bent square to the fingertip",
    ),
    Dimension(
        "forearm_center_of_grip_length",
        "forearmcenterofgriplength",
        "mm",
        "back of the elbow bent square to the middle of a gripped rod",
    ),
    Dimension("hand_length", "handlength", "mm", "tip of the radius to the fingertip"),
    Dimension("hand_breadth", "handbreadth", "mm", "across the knuckles"),
    Dimension("thumb_tip_reach", "thumbtipreach", "mm", "wall at the back to the thumb's tip"),
    Dimension("span", "span", "mm", "fingertip to fingertip, arms out"),
    Dimension("chest_breadth", "chestbreadth", "mm", "across the chest"),
    Dimension("chest_depth", "chestdepth", "mm", "front to back of the chest"),
    Dimension("waist_breadth", "waistbreadth", "mm", "across the waist at the navel"),
    Dimension("waist_depth", "waistdepth", "mm", "front to back at the navel"),
    Dimension("hip_breadth", "hipbreadth", "mm", "across the hips, standing"),
    Dimension("buttock_depth", "buttockdepth", "mm", "front to back at the buttocks"),
    Dimension("head_breadth", "headbreadth", "mm", "across the head above the ears"),
    Dimension("head_length", "headlength", "mm", "brow to the back of the head"),
    Dimension("foot_length", "footlength", "mm", "heel to the longest toe"),
)
DIMENSION_NAMES: tuple[str, ...] = tuple(d.name for d in DIMENSIONS)


class BodyTable(NamedTuple):
    """First two moments and three percentiles of one population; m and kg."""

    sex: Sex
    mean: Float[np.ndarray, " dimension"]
    covariance: Float[np.ndarray, "dimension dimension"]
    percentiles: Mapping[str, Float[np.ndarray, " dimension"]]


class Conditioned(NamedTuple):
    """What is expected of everyone who shares some measures; m and kg."""

    mean: Float[np.ndarray, " dimension"]
    covariance: Float[np.ndarray, "dimension dimension"]


def index_of(name: str) -> int:
    """Row of a dimension in the table's arrays.

    Raises:
        LimbwrightError: no dimension has that name; the message lists those that exist.
    """
    try:
        return DIMENSION_NAMES.index(name)
    except ValueError:
        known = ", ".join(DIMENSION_NAMES)
        raise LimbwrightError(f"no body dimension '{name}'; known are {known}") from None


@lru_cache(maxsize=len(SEXES))
def load_body_table(sex: Sex) -> BodyTable:
    """The shipped table of one sex, or of both with equal weight (`pooled`)."""
    text = (files("limbwright.reference") / "tables" / TABLE_FILE).read_text(encoding="utf-8")
    return parse_body_table(text, sex)


def parse_body_table(text: str, sex: Sex) -> BodyTable:
    """Read one population out of the text that `scripts/make_body_table.py` writes.

    Lengths are in mm in the text and come out in m.

    Raises:
        LimbwrightError: the table's columns are not those this version knows.
    """
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    header, *rows = csv.reader(lines)
    if tuple(header[2:]) != DIMENSION_NAMES:
        raise LimbwrightError(
            "the body table's columns differ from the known dimensions; "
            "make it again with scripts/make_body_table.py"
        )
    values = {row[1]: [float(cell) for cell in row[2:]] for row in rows if row[0] == sex}
    to_si = np.array([1e-3 if d.unit == "mm" else 1.0 for d in DIMENSIONS])
    covariance = np.array([values[f"cov {name}"] for name in DIMENSION_NAMES])
    return BodyTable(
        sex=sex,
        mean=_frozen(np.array(values["mean"]) * to_si),
        covariance=_frozen(covariance * np.outer(to_si, to_si)),
        percentiles={p: _frozen(np.array(values[p]) * to_si) for p in PERCENTILES},
    )


def condition(
    mean: Float[np.ndarray, " dimension"],
    covariance: Float[np.ndarray, "dimension dimension"],
    rows: Int[np.ndarray, " known"],
    values: Float[np.ndarray, " known"],
    sds: Float[np.ndarray, " known"],
) -> Conditioned:
    """Mean and covariance of a multivariate normal once some of its entries were measured.

    With K = C_k (C_kk + R)^-1, the mean is m + K (y - m_k) and the covariance C - K C_k^T, R the
    diagonal of the measuring errors' variances (any textbook on the multivariate normal).

    Args:
        mean: of the population [m, kg].
        covariance: of the population.
        rows: which entries were measured.
        values: what was measured [m, kg].
        sds: standard deviation of each measurement's own error; 0 for an exact one [m, kg].
    """
    if rows.size == 0:
        return Conditioned(mean.copy(), covariance.copy())
    # metres and kilograms differ by orders of magnitude: solve in units of one sd
    scale = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(scale, scale)
    noise = np.diag((sds / scale[rows]) ** 2)
    cross = correlation[:, rows]
    gain = np.linalg.solve(correlation[np.ix_(rows, rows)] + noise, cross.T).T
    surprise = (values - mean[rows]) / scale[rows]
    left = correlation - gain @ cross.T
    left = 0.5 * (left + left.T)
    return Conditioned(mean + scale * (gain @ surprise), left * np.outer(scale, scale))


def _frozen(values: Float[np.ndarray, "..."]) -> Float[np.ndarray, "..."]:
    values.setflags(write=False)
    return values
