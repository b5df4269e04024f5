"""docs/findings.md against the program: every row of an answer is explained, and nothing else is."""

import re
from pathlib import Path

import pytest

from limbwright.analyses.assess import assess
from limbwright.analyses.effort import AXES
from limbwright.analyses.reach import Cause
from limbwright.core.finding import SEVERITY
from limbwright.model.suit import Suit
from limbwright.model.suit_file import load_suit
from limbwright.search.fit import fit_arm
from limbwright.search.fit_findings import fit_findings

COARSE = 0.35  # [rad]; which rows there are does not depend on the step
NOT_LOST = {Cause.USABLE, Cause.JOINT_RANGE}


@pytest.fixture(scope="module")
def page(root: Path) -> str:
    return (root / "docs" / "findings.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def suit(demo_suit_path: Path) -> Suit:
    loaded = load_suit(demo_suit_path)
    sweep = loaded.sweep.model_copy(update=dict.fromkeys(("swing", "elevation", "elbow"), COARSE))
    return loaded.model_copy(update={"sweep": sweep})


def explained(page: str) -> set[str]:
    """Keys in the first column of every table headed key."""
    keys: set[str] = set()
    inside = False
    for line in page.splitlines():
        inside = line.startswith("| key |") or (inside and line.startswith("|"))
        if inside:
            keys.update(re.findall(r"`([^`]+)`", line.split("|")[1]))
    return keys


def plain(key: str, suit: Suit) -> str:
    """A key without the limb and side, poses and axes by their place holders."""
    limbs = "|".join(re.escape(name) for name in suit.limbs)
    key = re.sub(rf"^({limbs})\.((right|left)\.)?", "", key)
    key = re.sub(rf"^effort\.({'|'.join(AXES)})\.", "effort.<axis>.", key)
    key = re.sub(r"^fit\.mark\..+", "fit.mark.<joint>", key)
    poses = "|".join(re.escape(name) for name in suit.poses)
    key = re.sub(r"^effort\.<axis>\.park_pin$", "effort.<axis>.<pose>", key)
    return re.sub(rf"\.({poses})$", ".<pose>", key)


def test_every_row_of_the_demo_is_explained_and_no_other(page: str, suit: Suit) -> None:
    fitted = [f for limb in suit.limbs for f in fit_findings(suit, fit_arm(suit, limb, refit=True))]
    shown = {plain(finding.key, suit) for finding in (*assess(suit).findings, *fitted)}
    causes = {f"range.lost.{cause.name.lower()}" for cause in Cause if cause not in NOT_LOST}
    assert explained(page) == shown | causes


def test_verdicts_are_the_ones_the_program_gives(page: str) -> None:
    table = page.split("| verdict |")[1].split("\n\n")[0]
    assert set(re.findall(r"^\| ([a-z ]+) \|", table, re.MULTILINE)) == set(SEVERITY)
