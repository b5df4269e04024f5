"""Whatever the code imports is asked for in pyproject.toml, so that a plain install can run it."""

import ast
import re
import sys
import tomllib
from collections.abc import Iterable
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

# Import names that differ from the package's, and one that its package re-exports on purpose.
PACKAGES = {"PIL": "pillow", "ruamel": "ruamel-yaml", "pydantic_core": "pydantic", "pinocchio": "pin"}


def imported(folder: Path, own: Iterable[str]) -> dict[str, str]:
    """Third-party packages by one file that imports them."""
    found: dict[str, str] = {}
    for path in sorted(folder.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names: list[str] = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                names = [node.module]
            for name in {n.partition(".")[0] for n in names} - set(own) - sys.stdlib_module_names:
                found[canonicalize_name(PACKAGES.get(name, name))] = path.name
    return found


@pytest.mark.parametrize(
    ("folder", "extras"),
    [("src", []), ("tests", ["test"]), ("scripts", []), ("benchmarks", ["test"])],
)
def test_imports_are_declared(root: Path, folder: str, extras: list[str]) -> None:
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *(r for e in extras for r in project["optional-dependencies"][e])]
    declared = {canonicalize_name(Requirement(text).name) for text in asked}
    own = {"limbwright", folder, *(p.stem for p in (root / folder).iterdir())}
    missing = {name: where for name, where in imported(root / folder, own).items() if name not in declared}
    assert missing == {}


def test_annotations_are_not_put_off_in_the_array_layers(root: Path) -> None:
    """Put-off annotations hide shapes from the checker (jaxtyping's documentation, FAQ)."""
    late = [
        path.name
        for layer in ("engine", "limbs", "analyses")
        for path in (root / "src" / "limbwright" / layer).rglob("*.py")
        if re.search(r"^from __future__ import annotations", path.read_text(encoding="utf-8"), re.MULTILINE)
    ]
    assert late == []
