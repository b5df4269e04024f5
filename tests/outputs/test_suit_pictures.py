"""Pictures of an assessed suit: which poses, what is said about them, and no stale ones left."""

import math
from pathlib import Path

import numpy as np
import pytest

from limbwright.analyses.assess import Assessment, assess
from limbwright.limbs.arm_points import arm_points
from limbwright.model.suit_file import load_suit
from limbwright.outputs.ink import Words
from limbwright.outputs.picture import draw_pictures
from limbwright.outputs.poses_shown import poses_to_show
from limbwright.outputs.suit_pictures import LIST, read_outlines, suit_scene, write_pictures

COARSE = math.radians(10.0)


@pytest.fixture(scope="module")
def found(demo_suit_path: Path) -> Assessment:
    suit = load_suit(demo_suit_path)
    sweep = suit.sweep.model_copy(update=dict.fromkeys(("swing", "elevation", "elbow"), COARSE))
    return assess(suit.model_copy(update={"sweep": sweep}))


def test_worst_and_named_poses_are_shown(found: Assessment) -> None:
    titles = [pose.title for pose in poses_to_show(found)]
    taken = [p.name for p in found.arms[0].named if any(a.named[k].q is not None for a in found.arms
             for k, n in enumerate(a.named) if n.name == p.name)]  # fmt: skip
    assert titles == ["nearest to a lock", "most effort", *taken]


def test_the_pose_nearest_to_a_lock_is_the_one_of_the_finding(found: Assessment) -> None:
    (pose,) = [p for p in poses_to_show(found) if p.title == "nearest to a lock"]
    (least,) = [f for f in found.findings if f.key.endswith("lock.least")]
    assert least.value is not None
    assert math.degrees(min(arm.margin for arm in pose.arms)) == pytest.approx(least.value, abs=1e-6)


def test_the_pose_of_most_effort_is_the_one_of_the_finding(found: Assessment) -> None:
    (pose,) = [p for p in poses_to_show(found) if p.title == "most effort"]
    asked = [r.effort.worst["shoulder"] for r in found.arms if r.effort is not None]
    worst = max(asked, key=lambda p: abs(p.asked["shoulder"].value))
    assert any(np.allclose(arm.q[:3], worst.drive, atol=1e-9) for arm in pose.arms)


def test_what_is_drawn_is_the_solved_pose(found: Assessment) -> None:
    outlines = read_outlines(found.suit)
    for pose in poses_to_show(found):
        drawn = suit_scene(found, pose, outlines)
        for posed, arm in zip(drawn.arms, pose.arms, strict=True):
            worn = arm.result.arm
            wanted = arm_points(worn.mechanism, worn.geometry, arm.q)
            for name, at in posed.points.items():
                np.testing.assert_allclose(at, wanted[name], atol=1e-12)
            # a rod as drawn is as long as it is cut
            for low, high, length in (
                ("A", "A'", worn.geometry.rod_shoulder),
                ("B", "B'", worn.geometry.rod_forearm),
                ("C", "C'", worn.geometry.rod_relay),
            ):
                assert math.dist(posed.points[low], posed.points[high]) == pytest.approx(length, abs=1e-9)


def test_every_number_said_has_a_basis_or_says_that_there_is_none(found: Assessment) -> None:
    for pose in poses_to_show(found):
        for head, body in suit_scene(found, pose, read_outlines(found.suit)).says:
            if " deg to the nearest lock" in head:
                assert "no estimate" in body
            elif body:
                assert any(b in body for b in ("measured", "published", "common practice", "assumed"))


def test_pages_of_the_demo_have_no_clashing_words(found: Assessment) -> None:
    from limbwright.outputs.lettering import text_width

    outlines = read_outlines(found.suit)
    for page in draw_pictures([suit_scene(found, pose, outlines) for pose in poses_to_show(found)]):
        boxes = []
        for words in (w for w in page.ink if isinstance(w, Words)):
            wide = text_width(words.text, words.height, bold=words.bold)
            left = words.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor] * wide
            boxes.append((left, words.at[1] - words.height, left + wide, words.at[1], words.text))
        clashes = [
            (a[4], b[4])
            for k, a in enumerate(boxes)
            for b in boxes[k + 1 :]
            if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
        ]
        assert clashes == [], page.title


def test_pictures_that_are_not_made_again_go_and_other_files_stay(found: Assessment, tmp_path: Path) -> None:
    (tmp_path / "photo.png").write_bytes(b"mine")
    (tmp_path / "orchard-warden-flying.svg").write_text("of a pose that is no more")
    (tmp_path / "outside.svg").write_text("mine")
    (tmp_path / LIST).write_text("orchard-warden-flying.svg\n../outside.svg\n/etc/passwd\n")
    out = tmp_path
    files = write_pictures(found, read_outlines(found.suit), out)
    assert not (out / "orchard-warden-flying.svg").exists()
    assert (out / "photo.png").read_bytes() == b"mine"
    assert (out / "outside.svg").exists()
    assert {f.name for f in files} | {"photo.png", "outside.svg"} == {f.name for f in out.iterdir()}
    assert (out / LIST).read_text().splitlines() == [f.name for f in files[:-1]]
