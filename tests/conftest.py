"""What every test shares: checked array shapes, one hypothesis profile, the demo suit."""

import shutil
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from jaxtyping import install_import_hook

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "src" / "limbwright"
DEMO = ROOT / "examples" / "orchard-warden"

# The same examples on every run: a failure at one desk is a failure at all of them.
settings.register_profile(
    "repeatable",
    derandomize=True,
    deadline=None,
    database=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("repeatable")


def checked_modules() -> list[str]:
    """Modules whose array shapes are checked while the tests run.

    Compiled ones are left out, since the compiler has to see the bare function; a module is
    known as compiled by importing a decorator from `engine.compiled`.
    """
    names: list[str] = []
    for layer in ("engine", "limbs", "analyses"):
        for path in sorted((PACKAGE / layer).rglob("*.py")):
            if path.name in {"__init__.py", "compiled.py"}:
                continue
            source = path.read_text(encoding="utf-8")
            if "from limbwright.engine.compiled import" in source:
                continue
            names.append(".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts))
    return names


install_import_hook(checked_modules(), "beartype.beartype")


@pytest.fixture(scope="session")
def root() -> Path:
    """Top folder of the checkout."""
    return ROOT


@pytest.fixture(scope="session")
def demo_suit_path() -> Path:
    """Suit file of the demo suit; to be read, never written."""
    return DEMO / "suit.yaml"


@pytest.fixture
def demo_copy(tmp_path: Path) -> Path:
    """Suit file of a private copy of the demo project, free to be changed."""
    folder = tmp_path / DEMO.name
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out"))
    return folder / "suit.yaml"
