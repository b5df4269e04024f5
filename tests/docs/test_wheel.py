"""A wheel built from the checkout carries everything that the program reads at run time."""

import subprocess
import sys
import zipfile
from pathlib import Path, PurePosixPath

import pytest


@pytest.fixture(scope="module")
def packed(root: Path, tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    folder = tmp_path_factory.mktemp("wheel")
    build = f"import hatchling.build as b; print(b.build_wheel({str(folder)!r}))"
    subprocess.run([sys.executable, "-c", build], cwd=root, check=True, capture_output=True)
    (wheel,) = folder.glob("*.whl")
    return set(zipfile.ZipFile(wheel).namelist())


def test_every_tracked_file_of_the_package_is_in_it(root: Path, packed: set[str]) -> None:
    listed = subprocess.run(
        ["git", "ls-files", "src/limbwright"], cwd=root, capture_output=True, text=True, check=True
    )
    tracked = {name.removeprefix("src/") for name in listed.stdout.split()}
    assert tracked
    assert tracked - packed == set()


def test_demo_suits_are_in_it_without_their_outputs(root: Path, packed: set[str]) -> None:
    demos = {name for name in packed if name.startswith("limbwright/demos/")}
    for suit in (root / "examples").glob("*/suit.yaml"):
        assert f"limbwright/demos/{suit.parent.name}/suit.yaml" in demos
    assert not [name for name in demos if "out" in PurePosixPath(name).parts]


def test_licences_travel_along(packed: set[str]) -> None:
    assert [name for name in packed if name.endswith("licenses/LICENSE")]
    assert "limbwright/outputs/fonts/LICENSE-DejaVu.txt" in packed
    assert "limbwright/py.typed" in packed
