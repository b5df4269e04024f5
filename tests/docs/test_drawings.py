"""The drawings of the zeros: up to date, all used, and true to the code's own directions."""

import importlib.util
import math
import re
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from limbwright.limbs.arm_geometry import direction


def _sketch(root: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location("sketch", root / "scripts" / "sketch.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_drawings_are_what_the_script_draws(root: Path, tmp_path: Path) -> None:
    script = root / "scripts" / "draw_conventions.py"
    subprocess.run([sys.executable, str(script), str(tmp_path)], check=True)
    kept = {p.name: p.read_bytes() for p in (root / "docs" / "drawings").iterdir()}
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == kept


def test_every_drawing_is_shown_on_the_page(root: Path) -> None:
    page = (root / "docs" / "conventions.md").read_text(encoding="utf-8")
    shown = set(re.findall(r"\]\(drawings/([a-z-]+\.svg)\)", page))
    assert shown == {p.name for p in (root / "docs" / "drawings").iterdir()}


@pytest.mark.parametrize("degrees", [0.0, 35.0, 90.0, 180.0])
def test_limbs_are_drawn_the_way_the_code_points_them(root: Path, degrees: float) -> None:
    drawn = _sketch(root).Point(0.0, 0.0).toward(degrees, 1.0)
    out, _, up = direction(math.radians(degrees))
    np.testing.assert_allclose((drawn.x, drawn.y), (out, up), atol=1e-12)
