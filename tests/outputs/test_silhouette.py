"""Silhouettes: SVG outlines into metres, by cases that can be worked out by hand; hostile files refused."""

import math
from pathlib import Path

import pytest

from limbwright.model.character import Silhouette
from limbwright.outputs.silhouette import SilhouetteError, read_silhouette

SVG = '<svg xmlns="http://www.w3.org/2000/svg" {}>{}</svg>'
# 500 units are 2.5 m: 5 mm a unit; the floor between the feet is at 100, 600
FLOOR = (100.0, 600.0)
KNOWN = Silhouette.model_validate(
    {"file": "a.svg", "known_length": 2.5, "from": (100.0, 100.0), "to": FLOOR, "origin": FLOOR}
)


def runs(folder: Path, view_box: str, body: str) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Outlines of a drawing."""
    (folder / "a.svg").write_text(SVG.format(view_box, body), encoding="utf-8")
    return read_silhouette(KNOWN, folder).runs


@pytest.mark.parametrize(
    "size",
    [
        'viewBox="0 0 800 660"',
        'viewBox="0 0 800 660" width="800" height="660"',
        'viewBox="0 0 800 660" width="297mm" height="245mm"',
        'viewBox="0 0 800 660" width="4in" height="10in"',
        'viewBox="-50 20 800 640" width="1600"',
        'width="800" height="660"',
    ],
)
def test_points_are_in_the_drawing_s_own_units_at_any_size_of_page(tmp_path: Path, size: str) -> None:
    (run,) = runs(tmp_path, size, '<path d="M100 600 L100 100 L300 600 Z"/>')
    assert run[:3] == (
        pytest.approx((0.0, 0.0), abs=1e-9),
        pytest.approx((0.0, 2.5)),
        pytest.approx((1.0, 0.0), abs=1e-9),
    )


def test_transforms_and_nesting_are_followed(tmp_path: Path) -> None:
    body = '<g transform="translate(40 0)"><g transform="scale(2)"><path d="M30 300 L130 300"/></g></g>'
    (run,) = runs(tmp_path, 'viewBox="0 0 800 660"', body)
    # 40 + 2*30 = 100 and 40 + 2*130 = 300 across, 600 down
    assert run == (pytest.approx((0.0, 0.0), abs=1e-9), pytest.approx((1.0, 0.0), abs=1e-9))


def test_a_circle_stays_a_circle(tmp_path: Path) -> None:
    (run,) = runs(tmp_path, 'viewBox="0 0 800 660"', '<circle cx="100" cy="400" r="60"/>')
    radii = [math.dist(spot, (0.0, 1.0)) for spot in run]
    assert max(radii) <= 0.3 + 1e-9
    assert min(radii) > 0.3 * math.cos(math.pi / 90)


def test_every_shape_counts_and_text_does_not(tmp_path: Path) -> None:
    body = '<rect x="100" y="500" width="20" height="100"/><text x="0" y="0">head</text><path d="M1 1 L2 2"/>'
    found = runs(tmp_path, 'viewBox="0 0 800 660"', body)
    assert len(found) == 2
    assert max(v for _, v in found[0]) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", "not an SVG drawing"),
        ("no markup at all", "not an SVG drawing"),
        ('<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0 L1', "not an SVG drawing"),
        (SVG.format("", ""), "no outline"),
        (SVG.format("", '<path d=""/>'), "no outline"),
        (
            '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>' + SVG.format("", "&b;"),
            "entities",
        ),
        (SVG.format("", '<path id="p" d="M0 0 L1 1"/>' + '<use href="#p"/>' * 21), "copies"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_in_one_line(tmp_path: Path, content: str, said: str) -> None:
    (tmp_path / "a.svg").write_text(content, encoding="utf-8")
    with pytest.raises(SilhouetteError, match=said) as refused:
        read_silhouette(KNOWN, tmp_path)
    assert "a.svg" in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(SilhouetteError, match=r"a\.svg"):
        read_silhouette(KNOWN, tmp_path)
