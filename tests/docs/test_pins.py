"""The pinned requirements: complete, hashed, and the same wherever two files name a package."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

FILES = ("run", "test", "lint")


def pins(root: Path, name: str) -> dict[str, list[Requirement]]:
    """Requirements of one file by package; several where they differ by Python version."""
    text = (root / "requirements" / f"{name}.txt").read_text(encoding="utf-8")
    found: dict[str, list[Requirement]] = {}
    for entry in re.split(r"\n(?=[a-z0-9])", text):
        lines = [line for line in entry.splitlines() if not line.lstrip().startswith("#")]
        if not lines or not lines[0].strip():
            continue
        requirement = Requirement(lines[0].rstrip("\\ "))
        hashes = [line for line in lines[1:] if re.search(r"--hash=sha256:[0-9a-f]{64}\b", line)]
        assert hashes, f"{requirement.name} in {name}.txt has no hash"
        assert re.fullmatch(r"==[^*]+", str(requirement.specifier)), f"{requirement} is not pinned"
        found.setdefault(canonicalize_name(requirement.name), []).append(requirement)
    return found


def declared(root: Path) -> dict[str, list[str]]:
    """What pyproject.toml and build.in ask for, by requirements file."""
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    build = (root / "requirements" / "build.in").read_text(encoding="utf-8").splitlines()
    base = [*project["dependencies"], *(line for line in build if line and not line.startswith("#"))]
    extras = project["optional-dependencies"]
    return {"run": base, "test": base + extras["test"], "lint": base + extras["lint"]}


@pytest.mark.parametrize("name", FILES)
def test_every_declared_package_is_pinned_within_its_range(root: Path, name: str) -> None:
    pinned = pins(root, name)
    for text in declared(root)[name]:
        wanted = Requirement(text)
        versions = pinned.get(canonicalize_name(wanted.name))
        assert versions, f"{wanted.name} is not pinned in {name}.txt; run make pins"
        for pin in versions:
            assert wanted.specifier.contains(str(pin.specifier)[2:]), f"{pin} is outside {wanted}"


@pytest.mark.parametrize("name", ["test", "lint"])
def test_files_agree_with_what_is_run(root: Path, name: str) -> None:
    run, other = pins(root, "run"), pins(root, name)
    shared = run.keys() & other.keys()
    assert shared == run.keys()
    for package in shared:
        assert {str(r) for r in run[package]} == {str(r) for r in other[package]}


@pytest.mark.parametrize("name", FILES)
def test_every_python_and_system_gets_exactly_one_version(root: Path, name: str) -> None:
    for python in ("3.11", "3.12", "3.13", "3.14"):
        for system in ("linux", "darwin", "win32"):
            here = {"python_version": python, "python_full_version": f"{python}.1", "sys_platform": system}
            for package, versions in pins(root, name).items():
                fitting = [r for r in versions if r.marker is None or r.marker.evaluate(here)]
                assert len(fitting) <= 1, f"{package} on Python {python}, {system}: {fitting}"
                if all(r.marker is None or "python" in str(r.marker) for r in versions):
                    assert len(fitting) == 1, f"{package} on Python {python}, {system}: none"


def test_headers_name_the_command_and_no_path(root: Path) -> None:
    for name in FILES:
        head = (root / "requirements" / f"{name}.txt").read_text(encoding="utf-8").split("\n\n", 1)[0][:300]
        assert "make pins" in head
        assert "://" not in head
