"""The arm as a mechanism against exact parallelogram geometry and hand trigonometry (`by_trig`).

Source: opposite sides of a parallelogram stay parallel and equal (Euclid I.34); three of them in a chain
carry the direction of the performer's links to the character's. Nothing of the engine is on the other side.
"""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from limbs.by_trig import exact_points, inside, plane_frame, solved_sines
from limbs.trial import arms_of, random_geometry, suit_of
from limbwright.core.errors import GeometryError, SuitError
from limbwright.engine.closure import closure_rows, stage_angles
from limbwright.engine.mobility import mobility
from limbwright.limbs.arm_geometry import LENGTHS, check_assembly, check_folding, resolve_arm, stage_margins
from limbwright.limbs.arm_points import BARS, arm_points
from limbwright.limbs.parallel_arm import Drive, build_arm, pose_of
from limbwright.model.body import complete_body

RIGHT, LEFT = arms_of()
ARMS = 12
POSES = 6


def random_arms(seed: int, side: str = "right"):
    rng = np.random.default_rng(seed)
    base = RIGHT.geometry if side == "right" else LEFT.geometry
    for _ in range(ARMS):
        geometry, home = random_geometry(rng, base)
        yield geometry, home, build_arm(geometry, home), rng


def unit(v: np.ndarray) -> np.ndarray:
    return v / np.linalg.norm(v)


def angle_between(u: np.ndarray, v: np.ndarray) -> float:
    """Stable near zero, where arccos is not."""
    return float(np.linalg.norm(np.cross(unit(u), unit(v))))


@pytest.mark.parametrize("side", ["right", "left"])
def test_points_are_where_trigonometry_puts_them(side):
    for geometry, home, mechanism, rng in random_arms(1, side):
        for _ in range(POSES):
            drive = inside(geometry, home, rng, 0.15)
            q = pose_of(mechanism, drive)
            assert q is not None
            want = exact_points(geometry, drive)
            got = arm_points(mechanism, geometry, q)
            assert got.keys() == want.keys()
            for name, place in want.items():
                np.testing.assert_allclose(got[name], place, atol=1e-10, err_msg=name)


def test_forearms_stay_parallel_and_the_carrier_follows_the_driver():
    """1e-9 rad, at random poses of random arms with leaning masts and swivels."""
    for geometry, home, mechanism, rng in random_arms(2):
        for _ in range(POSES):
            q = pose_of(mechanism, inside(geometry, home, rng, 0.15))
            assert q is not None
            p = arm_points(mechanism, geometry, q)
            assert angle_between(p["W'"] - p["E'"], p["W"] - p["E"]) < 1e-9
            assert np.dot(p["W'"] - p["E'"], p["W"] - p["E"]) > 0.0
            assert angle_between(p["E'"] - p["S'"], p["E"] - p["S"]) < 1e-9
            assert angle_between(p["E1"] - p["S'"], p["E'"] - p["E1"]) < 1e-9  # S', E1, E' in one line
            assert np.linalg.norm(p["E1"] - p["S'"]) == pytest.approx(geometry.relay_at, abs=1e-12)
            for ends in (("A", "A'"), ("B", "B'")):
                assert angle_between(p[ends[1]] - p[ends[0]], p["S'"] - p["S"]) < 1e-9


def test_bars_keep_their_lengths_and_lie_in_one_plane():
    """Every bar of the picture is as long as the geometry says, across no layer."""
    for geometry, home, mechanism, rng in random_arms(3):
        want = {
            "mast": geometry.mast, "driver": geometry.drive, "carrier": geometry.carrier,
            "performer forearm": geometry.performer_forearm, "character forearm": geometry.character_forearm,
            "performer hand": geometry.performer_grip - geometry.performer_forearm,
            "character hand": geometry.character_hand, "shoulder rod": geometry.rod_shoulder,
            "forearm rod": geometry.rod_forearm, "relay rod": geometry.rod_relay,
            "driver crank": geometry.crank_driver, "carrier crank": geometry.crank_carrier,
            "forearm crank": geometry.crank_forearm, "relay, lower arm": geometry.crank_relay_lower,
            "relay, outer arm": geometry.crank_relay_outer, "character crank": geometry.crank_character,
        }  # fmt: skip
        assert {bar.name for bar in BARS} == want.keys()
        drive = inside(geometry, home, rng, 0.15)
        q = pose_of(mechanism, drive)
        assert q is not None
        p = arm_points(mechanism, geometry, q)
        across = np.cross(*plane_frame(geometry, drive.swing))
        for bar in BARS:
            assert np.linalg.norm(p[bar.end] - p[bar.start]) == pytest.approx(want[bar.name], abs=1e-10)
        for place in p.values():
            assert abs((place - geometry.shoulder) @ across) < 1e-10


def test_left_arm_is_the_mirror_image():
    """y to -y, pose for pose, leaning swivels too."""
    for geometry, home, mechanism, rng in random_arms(4):
        shoulder = geometry.shoulder * [1, -1, 1]
        other = replace(geometry, side="left", shoulder=shoulder)
        twin = build_arm(other, home)
        for _ in range(POSES):
            drive = inside(geometry, home, rng, 0.15)
            ours, theirs = pose_of(mechanism, drive), pose_of(twin, drive)
            assert ours is not None
            assert theirs is not None
            np.testing.assert_allclose(ours, theirs, atol=1e-12)
            mirrored = arm_points(twin, other, theirs)
            for name, place in arm_points(mechanism, geometry, ours).items():
                np.testing.assert_allclose(place * [1, -1, 1], mirrored[name], atol=1e-12)


def test_swivel_leans_outward_and_forward():
    """A right swivel 10 deg outward carries the mast's head 0.6 sin 10 deg to the right, or ahead."""
    upright = replace(RIGHT.geometry, mast=0.6, mast_lean=0.0).matched()
    for side, outward in (("right", -1.0), ("left", 1.0)):
        for field, want in (
            ("lean_out", [0.0, outward * np.sin(np.radians(10)), np.cos(np.radians(10))]),
            ("lean_forward", [np.sin(np.radians(10)), 0.0, np.cos(np.radians(10))]),
        ):
            geometry = replace(upright, side=side, **{field: np.radians(10)})
            mechanism = build_arm(geometry, RIGHT.assembled)
            p = arm_points(mechanism, geometry, mechanism.assembled)
            np.testing.assert_allclose(p["S'"] - p["S"], 0.6 * np.array(want), atol=1e-12)


def test_mast_leans_in_the_arms_plane():
    """A mast 8 deg outward on an upright swivel turns with the swing."""
    geometry = replace(RIGHT.geometry, mast=0.6, mast_lean=np.radians(8)).matched()
    mechanism = build_arm(geometry, RIGHT.assembled)
    for swing in (0.0, 0.7, 1.6):
        q = pose_of(mechanism, replace(RIGHT.assembled, swing=swing))
        assert q is not None
        p = arm_points(mechanism, geometry, q)
        out = np.sin(np.radians(8))
        want = 0.6 * np.array([out * np.sin(swing), -out * np.cos(swing), np.cos(np.radians(8))])
        np.testing.assert_allclose(p["S'"] - p["S"], want, atol=1e-12)


@pytest.mark.parametrize("error", [0.0, 0.0008])
def test_rods_as_bodies_give_the_same_pose_as_rods_as_rows(error):
    for geometry, home, _, rng in random_arms(5):
        geometry = replace(
            geometry, rod_shoulder=geometry.rod_shoulder + error, rod_forearm=geometry.rod_forearm - error
        )
        rows, bodies = build_arm(geometry, home), build_arm(geometry, home, rods="bodies")
        for _ in range(POSES):
            drive = inside(geometry, home, rng, 0.3)
            sines = solved_sines(geometry, home, np.array(drive.elevation), np.array(drive.elbow))
            if not np.all(sines > 0.1):  # the rods' errors lock it there
                continue
            one, two = pose_of(rows, drive), pose_of(bodies, drive)
            assert one is not None
            assert two is not None
            np.testing.assert_allclose(one, two[: len(one)], atol=1e-10)
            ours, theirs = arm_points(rows, geometry, one), arm_points(bodies, geometry, two)
            for name in ours:
                np.testing.assert_allclose(ours[name], theirs[name], atol=1e-10)


def test_kutzbach_counts_minus_six_and_the_arm_moves_in_three():
    """Design section 4: 6*9 - 5*12 = -6 and truly 3, so nine redundant; Hunt 1978 for the count itself."""
    for geometry, home, _, rng in random_arms(6):
        arm = build_arm(geometry, home, rods="bodies")
        assert len(arm.body_names) - 1 == 9
        assert arm.rows == 15
        for _ in range(2):
            q = pose_of(arm, inside(geometry, home, rng, 0.15))
            assert q is not None
            count = mobility(arm, q)
            assert (count.counted, count.true, count.redundant) == (-6, 3, 9)
        rows = build_arm(geometry, home)
        count = mobility(rows, rows.assembled)
        assert (count.counted, count.true, count.redundant) == (3, 3, 0)


def test_stage_angles_with_length_errors_are_the_four_bars():
    """Law of cosines at each copying crank; both ends of each rod, 0.5 mm and 2 mm off."""
    for (geometry, home, _, rng), size in itertools.product(random_arms(7), (0.0005, 0.002)):
        changed = geometry
        for name in LENGTHS:
            changed = changed.with_length(name, float(rng.uniform(-size, size)))
        mechanism = build_arm(changed, home)
        for _ in range(POSES):
            drive = inside(geometry, home, rng, 0.5)
            q = pose_of(mechanism, drive)
            assert q is not None
            want = np.arcsin(solved_sines(changed, home, np.array(drive.elevation), np.array(drive.elbow)))
            np.testing.assert_allclose(stage_angles(mechanism, q), want, atol=1e-8)


def test_stage_margins_are_the_assembled_sides_angles():
    """limbs.arm_geometry.stage_margins, the closed form, against the mechanism's own crank-to-rod angles."""
    for geometry, home, mechanism, rng in random_arms(8):
        drive = inside(geometry, home, rng, 0.15)
        q = pose_of(mechanism, drive)
        assert q is not None
        built = np.sign(stage_margins(geometry, np.array([home.elevation]), np.array([home.elbow]))[0])
        signed = stage_margins(geometry, np.array([drive.elevation]), np.array([drive.elbow]))[0]
        np.testing.assert_allclose(np.repeat(built * signed, 2), stage_angles(mechanism, q), atol=1e-8)


@pytest.mark.parametrize("stage", ["shoulder", "forearm", "relay"])
@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_rods_that_reach_no_crank_are_refused(stage, sign):
    """A rod reaches between pins L +- 2b apart at most; beyond that no pose assembles."""
    geometry = RIGHT.geometry
    crank = {
        "shoulder": geometry.crank_driver,
        "forearm": geometry.crank_forearm,
        "relay": geometry.crank_character,
    }
    field = f"rod_{stage}"
    with pytest.raises(GeometryError) as caught:
        check_assembly(geometry.with_length(field, sign * 2.0001 * crank[stage]))
    assert caught.value.field == f"rods.{stage}.length"
    check_assembly(geometry.with_length(field, sign * 1.9999 * crank[stage]))


def test_a_pose_that_cannot_be_assembled_says_by_how_much_it_misses():
    """Shoulder rod 100 mm short in a pose where the cranks stand square to it. Wherever the carrier's crank
    turns, its pin stays |A - S'| - b from A, so the rod misses by at least that less its length."""
    geometry = replace(RIGHT.geometry, mast_lean=0.0).matched()
    square = Drive(1.0, np.pi / 2 - geometry.angle_shoulder, 0.6)
    short = replace(geometry, rod_shoulder=geometry.mast - 0.1)
    placed = exact_points(short, square)
    gap = np.linalg.norm(placed["A"] - placed["S'"]) - short.crank_carrier - short.rod_shoulder
    assert gap > 0.020
    with pytest.raises(GeometryError, match=r"cannot be put together .* misses by [0-9.]+ mm") as caught:
        build_arm(short, square)
    said = float(str(caught.value).split("misses by ")[1].split(" mm")[0])
    assert said > 1e3 * gap - 0.01


def test_a_crank_longer_than_its_rod_is_refused():
    """Side 45 mm, cranks 60 mm: the exact crossed form past the change point (law of cosines, 10 deg on)
    shows both crank-to-rod sines on the side they were on before it, so no sign would tell it from the
    parallel one."""
    outer = 0.045
    geometry = replace(RIGHT.geometry, carrier=RIGHT.geometry.relay_at + outer).matched()
    past = np.array([-geometry.angle_relay - np.radians(10.0)])
    assert np.all(solved_sines(geometry, RIGHT.assembled, np.array([0.8]), past)[0, 4:] > 0.01)
    with pytest.raises(GeometryError, match=r"60\.0 mm is no shorter than the 45\.0 mm") as caught:
        check_folding(geometry)
    assert caught.value.field == "cranks.relay.length"
    wide = replace(geometry, carrier=geometry.relay_at + 0.061).matched()
    check_folding(wide)
    sines = solved_sines(wide, RIGHT.assembled, np.array([0.8]), past)[0, 4:]
    assert sines.min() < 0.0 < sines.max()


def test_with_length_refuses_a_name_that_is_none():
    with pytest.raises(ValueError, match="no length 'boom'"):
        RIGHT.geometry.with_length("boom", 0.001)


def test_assembled_pose_closes():
    for _, _, mechanism, _ in random_arms(9):
        assert np.abs(closure_rows(mechanism, mechanism.assembled)).max() < 1e-12


def test_lengths_come_from_the_performer_where_the_suit_says_so():
    """driver and relay_at by SE, forearm by EW; the swivel's offsets and the stilts lift and shift S."""
    suit = suit_of()
    body = complete_body(suit.active)
    for side, outward in (("right", -1.0), ("left", 1.0)):
        g = resolve_arm(suit, "arm", body, side)
        assert g.drive == g.relay_at == body.upper_arm.value
        assert g.performer_forearm == body.forearm.value
        assert (g.rod_shoulder, g.rod_forearm) == (0.6, 0.6)
        assert g.rod_relay == 0.68 - body.upper_arm.value
        want = [
            body.shoulder_forward.value - 0.015,
            outward * (body.shoulder_out.value + 0.010),
            0.4 + body.shoulder_up.value + 0.005,
        ]
        np.testing.assert_allclose(g.shoulder, want, atol=1e-15)
        assert g.tolerance["mast"] == pytest.approx(0.0004)
        assert g.stated["mast"]
        assert not g.stated["rod_shoulder"]


def test_another_drivers_length_takes_the_relay_along():
    """Design section 6: S'E1 = SE; for another performer both move by the same amount."""
    suit = suit_of({"limbs.arm.driver.length": "310 mm"})
    g = resolve_arm(suit, "arm", complete_body(suit.active), "right")
    assert g.drive == g.relay_at == pytest.approx(0.31)
    assert g.rod_relay == pytest.approx(0.37)


def test_a_short_cuff_does_not_shorten_the_performer():
    """The hand is where the performer's forearm ends, however far down it the link's cuff sits."""
    suit = suit_of({"limbs.arm.performer_forearm.length": "200 mm"})
    body = complete_body(suit.active)
    g = resolve_arm(suit, "arm", body, "right")
    assert g.performer_forearm == pytest.approx(0.2)
    assert g.performer_grip == pytest.approx(body.forearm.value + body.hand_to_grip.value, abs=1e-15)


@pytest.mark.parametrize(
    ("edits", "field"),
    [
        ({"limbs.arm.carrier.length": "250 mm"}, "limbs.arm.relay_at"),
        ({"limbs.arm.mast.length": "fit"}, "limbs.arm.mast.length"),
        ({"limbs.arm.cranks.relay.angle": "fit"}, "limbs.arm.cranks.relay.angle"),
    ],
)
def test_what_cannot_be_resolved_names_its_field(edits, field):
    suit = suit_of(edits)
    with pytest.raises(SuitError) as caught:
        resolve_arm(suit, "arm", complete_body(suit.active), "right")
    assert caught.value.field == field
