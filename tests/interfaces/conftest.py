"""What the tests of the command line share: running it, and suits with a known verdict."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from limbwright.interfaces.cli.main import app
from limbwright.model.suit_document import SuitDocument
from limbwright.model.suit_file import load_suit

Run = Callable[..., Result]
QUICK = ("--step", "15")  # which rows and verdicts there are does not hang on a fine step


@pytest.fixture
def run() -> Run:
    """Runs the command line in this process; a path among the arguments is written out."""

    def invoke(*args: object, **more: object) -> Result:
        return CliRunner().invoke(app, [str(a) for a in args], prog_name="limbwright", **more)  # type: ignore[arg-type]

    return invoke


@pytest.fixture
def shell() -> Callable[..., "subprocess.CompletedProcess[str]"]:
    """Runs the command line as a program of its own, as a shell would."""

    def start(*args: object, **more: object) -> "subprocess.CompletedProcess[str]":
        return subprocess.run(
            [sys.executable, "-m", "limbwright", *(str(a) for a in args)],
            capture_output=True,
            text=True,
            encoding="utf-8",
            check=False,
            env={**os.environ, "PYTHONWARNINGS": "error"},
            **more,  # type: ignore[call-overload]
        )

    return start


# Targets far from what the demo reaches at a coarse step, so that the verdict is known beforehand.
EASY = {
    "targets.usable_share": "1 %",
    "targets.lock_margin": "1 deg",
    "targets.holding_moment.shoulder": "300 N m",
    "targets.holding_moment.elbow": "300 N m",
    "targets.suit_mass": "200 kg",
}
# A pose in the middle of the range of the demo's arm.
EASY_POSE = {"swing": "70 deg", "elevation": "45 deg", "elbow": "60 deg"}


def set_values(suit: Path, values: dict[str, str]) -> Path:
    """A suit file with some values changed."""
    document = SuitDocument(suit)
    document.set_all(values)
    document.save()
    return suit


@pytest.fixture
def edit() -> Callable[[Path, dict[str, str]], Path]:
    """Changes values of a suit file and returns it."""
    return set_values


@pytest.fixture
def holding(demo_copy: Path) -> Path:
    """A suit that holds: easy targets and easy poses."""
    names = load_suit(demo_copy).poses
    poses = {f"poses.{name}.{axis}": value for name in names for axis, value in EASY_POSE.items()}
    return set_values(demo_copy, {**EASY, **poses})


@pytest.fixture
def failing(holding: Path) -> Path:
    """The same with a mass that no such suit has."""
    return set_values(holding, {"targets.suit_mass": "1 kg"})
