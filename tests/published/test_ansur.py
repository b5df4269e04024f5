"""ANSUR II: Gordon CC et al. 2014, NATICK/TR-15/007, raw public tables (4,082 men, 1,986 women).

The percentiles, means and deviations below were worked out from the raw tables on their own, with
linear interpolation, and printed rounded to 1 mm (means and deviations to 0.1 mm), mass to 0.1 kg.
"""

import numpy as np
import pytest

from limbwright.reference.body_dimensions import DIMENSION_NAMES, index_of, load_body_table

# dimension: female p5, p50, p95, male p5, p50, p95 [mm; kg for body mass]
PRINTED = {
    "stature": (1525, 1626, 1740, 1648, 1755, 1870),
    "body_mass": (51.3, 66.8, 87.1, 64.4, 84.6, 110.7),
    "acromial_height": (1242, 1332, 1434, 1339, 1439, 1546),
    "trochanterion_height": (774, 844, 919, 824, 899, 985),
    "crotch_height": (712, 780, 857, 771, 845, 925),
    "knee_height_midpatella": (408, 448, 493, 443, 487, 536),
    "biacromial_breadth": (335, 365, 396, 384, 415, 447),
    "bideltoid_breadth": (406, 450, 499, 459, 509, 567),
    "acromion_radiale_length": (283, 311, 340, 307, 335, 365),
    "radiale_stylion_length": (218, 240.5, 268, 244, 267, 295),
    "shoulder_elbow_length": (307, 334, 363, 334, 363, 394),
    "forearm_center_of_grip_length": (290, 316, 350, 320, 348.5, 379),
    "forearm_hand_length": (404, 438, 480, 444, 480, 520),
    "hand_length": (165, 180, 199, 177, 193, 210),
    "span": (1529, 1657, 1803, 1680, 1812, 1957),
    "chest_breadth": (241, 268, 302, 261, 289, 320),
    "chest_depth": (205, 245, 296, 211, 253, 298),
    "waist_breadth": (250, 298, 356, 272, 325, 385),
    "waist_depth": (169, 209, 271, 188, 234, 300),
    "hip_breadth": (311, 353, 400, 308, 344, 387),
    "head_breadth": (140, 147, 156, 146, 154, 163),
    "head_length": (178, 190, 202, 188, 200, 211),
    "eye_height_sitting": (698, 748, 799, 750, 804, 860),
    "foot_length": (226, 246, 268, 250, 271, 293),
}
# dimension: female mean, sd, male mean, sd [mm; kg]
MOMENTS = {
    "stature": (1628.5, 64.2, 1756.2, 68.6),
    "body_mass": (67.8, 11.0, 85.5, 14.2),
    "acromial_height": (1335.1, 58.1, 1440.7, 63.3),
    "suprasternale_height": (1329.7, 57.2, 1438.6, 61.2),
    "axilla_height": (1239.0, 55.8, 1329.1, 59.5),
    "iliocristale_height": (995.7, 49.7, 1061.6, 52.0),
    "lateral_malleolus_height": (62.7, 5.1, 72.9, 5.7),
    "sitting_height": (856.6, 33.1, 918.3, 35.7),
    "acromion_radiale_length": (311.2, 17.2, 335.2, 17.5),
    "hand_breadth": (78.2, 3.8, 88.3, 4.4),
    "thumb_tip_reach": (744.0, 42.8, 811.9, 43.7),
    "buttock_depth": (232.9, 24.3, 245.8, 26.5),
}


def to_si(name):
    return 1.0 if name == "body_mass" else 1e-3


@pytest.mark.parametrize("name", PRINTED)
@pytest.mark.parametrize(("sex", "first"), [("female", 0), ("male", 3)])
def test_percentiles(name, sex, first):
    table = load_body_table(sex)
    printed = np.array(PRINTED[name][first : first + 3]) * to_si(name)
    shipped = [table.percentiles[p][index_of(name)] for p in ("p05", "p50", "p95")]
    rounding = (0.051 if name == "body_mass" else 0.51) * to_si(name)
    np.testing.assert_allclose(shipped, printed, rtol=0, atol=rounding)


@pytest.mark.parametrize("name", MOMENTS)
@pytest.mark.parametrize(("sex", "first"), [("female", 0), ("male", 2)])
def test_means_and_deviations(name, sex, first):
    table, row = load_body_table(sex), index_of(name)
    mean, sd = np.array(MOMENTS[name][first : first + 2]) * to_si(name)
    assert table.mean[row] == pytest.approx(mean, abs=0.051 * to_si(name))
    assert np.sqrt(table.covariance[row, row]) == pytest.approx(sd, abs=0.051 * to_si(name))


def test_body_mass_is_in_kilograms_though_the_survey_counts_hectograms():
    # the survey's own column reads 855.2 for the mean man, under a name that says kg
    assert load_body_table("male").mean[index_of("body_mass")] == pytest.approx(85.52, abs=0.01)


def test_pooled_weighs_the_sexes_equally_though_men_are_twice_as_many():
    female, male, pooled = (load_body_table(sex) for sex in ("female", "male", "pooled"))
    np.testing.assert_allclose(pooled.mean, 0.5 * (female.mean + male.mean), rtol=1e-6)
    stature = index_of("stature")
    # law of total variance for two halves: mean variance plus a quarter of the squared gap
    between = 0.25 * (female.mean[stature] - male.mean[stature]) ** 2
    within = 0.5 * (female.covariance + male.covariance)[stature, stature]
    assert pooled.covariance[stature, stature] == pytest.approx(within + between, rel=1e-6)


@pytest.mark.parametrize("sex", ["female", "male", "pooled"])
def test_covariance_is_symmetric_and_positive(sex):
    covariance = load_body_table(sex).covariance
    np.testing.assert_array_equal(covariance, covariance.T)
    scale = np.sqrt(np.diag(covariance))
    assert np.linalg.eigvalsh(covariance / np.outer(scale, scale)).min() > 1e-3
    assert covariance.shape == (len(DIMENSION_NAMES), len(DIMENSION_NAMES))


def test_shoulder_height_share_agrees_with_drillis_and_contini():
    # Drillis & Contini 1966, as drawn in Winter, fig. 4.1: shoulder 0.818 of stature
    for sex in ("female", "male"):
        mean = load_body_table(sex).mean
        share = mean[index_of("acromial_height")] / mean[index_of("stature")]
        assert share == pytest.approx(0.818, abs=0.004)
