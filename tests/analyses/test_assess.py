"""The whole answer: the same for the same suit to the byte, sound in form, and without a traceback at the
edges.

Values are held against outside sources in the tests of each analysis; here it is what gathers them. JSON
after RFC 8259 (no NaN, no Infinity).
"""

import json
import math
import re
from typing import Any

import pytest

from limbs.trial import suit_of
from limbwright.analyses.assess import Assessment, assess
from limbwright.core.errors import LimbwrightError
from limbwright.core.finding import Finding, worst

COARSE: dict[str, object] = {"sweep": dict.fromkeys(("swing", "elevation", "elbow"), "20 deg")}


def answer(edits: dict[str, object] | None = None) -> Assessment:
    return assess(suit_of({**COARSE, **(edits or {})}))


def as_json(found: Assessment) -> str:
    return json.dumps([f.as_dict() for f in found.findings], allow_nan=False)


def by_key(found: Assessment) -> dict[str, Finding]:
    keyed = {f.key: f for f in found.findings}
    assert len(keyed) == len(found.findings)
    return keyed


def pose(swing: float, elevation: float, elbow: float) -> dict[str, Any]:
    values = (swing, elevation, elbow)
    return {k: f"{v} deg" for k, v in zip(("swing", "elevation", "elbow"), values, strict=True)}


PLAIN = answer()


@pytest.mark.parametrize("threads", ["1", "2", "5"])
def test_same_suit_same_bytes(threads, monkeypatch):
    """Whatever the number of threads, every digit of every finding."""
    monkeypatch.setenv("LIMBWRIGHT_THREADS", threads)
    again = answer()
    assert as_json(again) == as_json(PLAIN)
    assert again.findings == PLAIN.findings
    assert (again.run_id, again.verdict, again.poses_solved) == (
        PLAIN.run_id,
        PLAIN.verdict,
        PLAIN.poses_solved,
    )


def test_run_id_is_of_what_is_assessed():
    """Twelve hex digits that change with any value of the suit, also where it was read from no file."""
    assert len(PLAIN.run_id) == 12
    int(PLAIN.run_id, 16)
    assert answer({"harness.mass": "4.001 kg"}).run_id != PLAIN.run_id


def test_run_id_is_of_the_files_bytes(demo_copy):
    from limbwright.model.suit_file import load_suit

    text = demo_copy.read_text(encoding="utf-8")
    coarse = "sweep: {swing: 30 deg, elevation: 30 deg, elbow: 30 deg}"
    demo_copy.write_text(re.sub(r"^sweep:.*$", coarse, text, flags=re.M), encoding="utf-8")
    one = assess(load_suit(demo_copy)).run_id
    demo_copy.write_bytes(demo_copy.read_bytes() + b"# a remark\n")
    assert assess(load_suit(demo_copy)).run_id != one


EDGES: dict[str, dict[str, object]] = {
    "as it is": {},
    "stops that leave little": {"limbs.arm.stops": "59 deg"},
    "no stops": {"limbs.arm.stops": "0 deg"},
    "elbow of 5 deg": {"performer.cast.Ash.limits.elbow_flexion": "5 deg"},
    "elbow of half a deg": {"performer.cast.Ash.limits.elbow_flexion": "0.5 deg"},
    "hardly any shoulder": {
        f"performer.cast.Ash.limits.shoulder_{m}": "3 deg" for m in ("flexion", "extension", "abduction")
    },
    "assembled out of reach": {"poses": {"rest": pose(60, 170, 40)}},
    "assembled past the rotation": {"poses": {"rest": pose(-30, 90, 60)}},
    "one swing": {"limbs.arm.swivel.range": ["60 deg", "61 deg"], "poses": {"rest": pose(60, 45, 40)}},
    "one side": {"limbs.arm.mirrored": "false"},
    "no targets": {"targets": {}},
    "no stilts, no parts": {"stilts": None, "parts": []},
    "bowed low": {"lean": "60 deg"},
    "swivel far out of plumb": {
        "limbs.arm.swivel.lean_out": "40 deg",
        "limbs.arm.swivel.lean_forward": "-40 deg",
    },
    "cranks of 16 mm": {f"limbs.arm.cranks.{s}.length": "16 mm" for s in ("shoulder", "forearm", "relay")},
    "a mast known to 100 mm": {"limbs.arm.mast.length": "600 mm +/- 100 mm"},
    "a hand of next to nothing": {"limbs.arm.character_hand.mass": "0.001 g"},
    "a rod 2 mm long": {"limbs.arm.rods.forearm.length": "602 mm"},
}


@pytest.mark.parametrize("name", EDGES)
def test_edges_are_answered(name):
    """No traceback, no NaN, no key twice; a band holds its value; a verdict follows its margin."""
    found = answer(EDGES[name])
    json.loads(as_json(found))
    assert found.verdict == worst(found.findings)
    for finding in by_key(found).values():
        assert finding.name
        assert finding.source
        assert finding.weakest_input
        if finding.value is not None:
            assert math.isfinite(finding.value)
            if finding.band is not None:
                low, high = finding.band
                slip = 1e-6 * max(1.0, abs(low), abs(high))
                assert low - slip <= finding.value <= high + slip, finding.key
        if finding.limit is None:
            assert finding.verdict is None
        elif finding.value is None:
            assert finding.verdict == "unknown"
        else:
            assert finding.margin is not None
            assert (finding.verdict == "falls short") == (finding.margin < 0.0)


def test_nothing_usable_is_told_and_never_a_pass():
    found = by_key(answer(EDGES["assembled out of reach"]))
    assert found["arm.range.usable"].value == pytest.approx(0.0)
    assert found["arm.range.usable"].verdict == "falls short"
    assert found["arm.lock.least"].verdict == "unknown"
    assert found["arm.poses.taken"].verdict == "falls short"


@pytest.mark.parametrize(
    ("edits", "said"),
    [
        ({"limbs.arm.rods.shoulder.length": "640 mm"}, r"limbs\.arm\.rods.*misses by"),
        ({"limbs.arm.stops": "61 deg"}, r"limbs\.arm\.stops.*relay.*60\.0 deg"),  # it is 60 deg from its lock
        ({"limbs.arm.carrier.length": "270 mm"}, r"limbs\.arm\.relay_at"),
        ({"limbs.arm.carrier.length": "330 mm"}, r"limbs\.arm\.cranks\.relay\.length.*no shorter than"),
    ],
)
def test_what_cannot_be_put_together_is_refused_in_one_line(edits, said):
    with pytest.raises(LimbwrightError, match=said) as caught:
        answer(edits)
    assert "\n" not in str(caught.value)


def test_a_symmetric_suit_shows_each_row_once():
    """Nothing that depends on the side: no key names one. A lantern on the right hand splits what it loads,
    and only that: moments, not range."""
    assert not [k for k in by_key(PLAIN) if ".right." in k or ".left." in k]
    lantern = {
        "name": "lantern", "on": "arm/character_hand", "side": "right", "mass": "250 g",
        "centre": ["50 mm", "0 mm", "0 mm"],
    }  # fmt: skip
    found = by_key(answer({"parts.2": lantern}))
    right, left = found["arm.right.effort.shoulder.worst"], found["arm.left.effort.shoulder.worst"]
    assert right.value is not None
    assert left.value is not None
    assert right.value > left.value + 1.0
    assert right.name.endswith("(right)")
    assert "arm.range.usable" in found
    assert "arm.lock.least" in found


@pytest.mark.parametrize("off", [-0.01, 0.01])
def test_limits_move_the_verdict(off):
    """A target a hair under or over the value found decides between holding and falling short."""
    plain = by_key(PLAIN)
    usable, mass = plain["arm.range.usable"].value, plain["suit.mass"].value
    moment = plain["arm.effort.shoulder.worst"].value
    assert usable is not None
    assert mass is not None
    assert moment is not None
    targets = {
        "usable_share": f"{usable + off:.9f} %",
        "suit_mass": f"{mass + off:.9f} kg",
        "holding_moment": {"shoulder": f"{moment + off:.9f} N m"},
    }
    found = by_key(answer({"targets": targets}))
    short = off > 0.0
    assert (found["arm.range.usable"].verdict == "falls short") == short
    assert (found["suit.mass"].verdict == "falls short") == (not short)
    assert (found["arm.effort.shoulder.worst"].verdict == "falls short") == (not short)
    # a value barely inside its limit, with a band across it, is unknown and no pass
    if short:
        assert found["suit.mass"].verdict == "unknown"
        assert found["arm.effort.shoulder.worst"].verdict == "unknown"


def test_a_stop_at_the_wanted_margin_does_not_fall_short_by_rounding():
    """docs/findings.md tells people to set the stops at the margin wanted: then nothing is nearer."""
    for margin in ("8 deg", "10 deg", "17 deg"):
        found = by_key(answer({"limbs.arm.stops": margin, "targets.lock_margin": margin}))
        assert found["arm.lock.least"].verdict != "falls short"
        assert found["arm.lock.named"].verdict != "falls short"
        share = found["arm.range.with_margin"].value
        assert share == pytest.approx(found["arm.range.usable"].value)


def test_a_named_pose_on_its_stop_does_not_fall_short_by_rounding():
    """Forearm stage at 169 deg of 179: 10 deg, which is stop and target."""
    edge = {"poses": {"rest": pose(60, 45, 40), "edge": pose(60, 45, 124)}, "targets.lock_margin": "10 deg"}
    found = by_key(answer(edge))
    assert found["arm.lock.named"].value == pytest.approx(10.0, abs=1e-6)
    assert found["arm.lock.named"].verdict == "unknown"  # the lengths' +/- reach below


def test_progress_rises_to_the_end_and_may_cancel():
    told: list[tuple[int, int]] = []
    assess(suit_of(COARSE), progress=lambda done, whole: told.append((done, whole)))
    shares = [done / whole for done, whole in told]
    assert shares == sorted(shares)
    assert 0.5 < shares[-1] <= 1.0

    def stop(_done: int, _whole: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        assess(suit_of(COARSE), progress=stop)


def test_poses_solved_counts_the_sweep():
    """Swing -40..120, elevation 0..160, elbow 0..140 at 20 deg, both arms: 2 x 9 x 9 x 8."""
    assert PLAIN.poses_solved == 2 * 9 * 9 * 8


def test_mobility_is_counted_both_ways():
    found = by_key(PLAIN)
    values = [found[f"arm.mobility.{k}"].value for k in ("counted", "true", "redundant")]
    assert values == [-6.0, 3.0, 9.0]
