"""What an arm weighs, by hand.

Sources: density of 6061 2,700 kg/m3 (ASM handbook vol. 2) and of structural steel 7,850 kg/m3 (EN 1993-1-1,
3.2.6); areas by school geometry; own arm by de Leva 1996, table 4 (men: .0271, .0162, .0061 of body mass,
centres at .5772 and .4574 of the length, hand .3624 of the hand's length).
"""

import math

import numpy as np
import pytest

from limbs.by_trig import plane_frame
from limbs.trial import arms_of, suit_of
from limbwright.engine.closure import frames
from limbwright.limbs.arm_masses import MassItem, arm_items, carried_at, gather_masses, own_arm_items
from limbwright.limbs.worn_arm import WornArm

ALUMINIUM, STEEL = 2700.0, 7850.0
LAYERS: dict[str, object] = {
    f"limbs.arm.{name}.layer": f"{layer} mm"
    for name, layer in {
        "mast": 70, "driver": 86, "carrier": 96, "performer_forearm": 92, "character_forearm": 120,
        "relay": 112, "rods.shoulder": 75, "rods.forearm": 121, "rods.relay": 137,
    }.items()
}  # fmt: skip


def items_of(edits: dict[str, object], side: str = "right") -> tuple[WornArm, dict[str, MassItem]]:
    suit = suit_of(edits)
    arm = next(a for a in arms_of(edits) if a.side == side)
    items = (*arm_items(suit, arm), *own_arm_items(arm))
    assert len({i.name for i in items}) == len(items)
    return arm, {i.name: i for i in items}


def world(arm: WornArm, item: MassItem) -> np.ndarray:
    """Where an item is in the assembled pose."""
    placed = frames(arm.mechanism, arm.mechanism.assembled)
    return sum((share * placed.point(b, at) for b, at, share in carried_at(arm.mechanism, item)), np.zeros(3))


def in_plane(arm: WornArm, place: np.ndarray) -> np.ndarray:
    """(outward, up, sideways away from the body) of a world place from the shoulder."""
    r, up = plane_frame(arm.geometry, arm.assembled.swing)
    aside = np.cross(r, up) * (-1.0 if arm.side == "left" else 1.0)
    return np.array([r, up, aside]) @ (place - arm.geometry.shoulder)


def along(angle: float) -> np.ndarray:
    return np.array([math.sin(angle), -math.cos(angle), 0.0])


def raising(angle: float) -> np.ndarray:
    return np.array([math.cos(angle), math.sin(angle), 0.0])


def part(name: str, on: str, centre: list[float], side: str = "both") -> dict[str, object]:
    """A part of 100 g, its centre in mm."""
    return {"name": name, "on": on, "side": side, "mass": "100 g", "centre": [f"{c} mm" for c in centre]}


def tube(outside: float, wall: float) -> float:
    return math.pi / 4 * (outside**2 - (outside - 2 * wall) ** 2)


def test_links_and_rods_weigh_density_times_section_times_length():
    arm, items = items_of({})
    g = arm.geometry
    for name, area, length in (
        ("mast", tube(0.025, 0.0015), 0.6), ("driver", 0.030 * 0.005, g.drive),
        ("carrier", tube(0.025, 0.0015), 0.68), ("character forearm", tube(0.022, 0.0015), 0.72),
        ("performer forearm", 0.025 * 0.005, g.performer_forearm),
        ("shoulder rod", tube(0.010, 0.001), 0.6), ("forearm rod", tube(0.010, 0.001), 0.6),
        ("relay rod", tube(0.010, 0.001), 0.68 - g.drive),
    ):  # fmt: skip
        assert items[name].mass == pytest.approx(ALUMINIUM * area * length, rel=1e-12)
        assert items[name].basis == "published"
        low, high = items[name].ends
        assert low < items[name].mass < high
    assert items["character hand"].mass == 0.2  # as stated
    assert items["character hand"].ends == (0.1, 0.3)


def test_plates_are_strips_with_round_ends():
    """2 r L + pi r2: a strip of half width r between two holes L apart, round at both ends."""
    _, items = items_of({})
    sheet = ALUMINIUM * 0.006

    def strip(length: float) -> float:
        return 2 * 0.012 * length + math.pi * 0.012**2

    assert items["driver crank"].mass == pytest.approx(sheet * strip(0.08), rel=1e-12)
    assert items["character forearm crank"].mass == pytest.approx(sheet * strip(0.06), rel=1e-12)
    assert items["relay"].mass == pytest.approx(sheet * (strip(0.07) + strip(0.06)), rel=1e-12)


def test_pins_weigh_as_round_bars_of_their_material():
    pins = {
        "diameter": "8 mm",
        "material": "S355",
        "each": {
            "shoulder": {"stack": ["mast", "driver"], "length": "40 mm"},
            "relay": {"stack": ["carrier", "relay"], "length": "36 mm", "diameter": "6 mm"},
        },
    }
    layers = {k: v for k, v in LAYERS.items() if "rods" not in k}
    arm, items = items_of({"limbs.arm.pins": pins, **layers})
    assert items["shoulder pin"].mass == pytest.approx(STEEL * math.pi / 4 * 0.008**2 * 0.040, rel=1e-12)
    assert items["relay pin"].mass == pytest.approx(STEEL * math.pi / 4 * 0.006**2 * 0.036, rel=1e-12)
    head = 0.6 * along(math.pi - math.radians(6))
    relay = head + arm.geometry.relay_at * along(math.radians(45)) + [0, 0, 0.5 * (0.096 + 0.112)]
    np.testing.assert_allclose(in_plane(arm, world(arm, items["relay pin"])), relay, atol=1e-12)
    light = items_of({"limbs.arm.pins": {**pins, "material": "6061-T6"}, **layers})[1]
    assert light["shoulder pin"].mass == pytest.approx(
        items["shoulder pin"].mass * ALUMINIUM / STEEL, rel=1e-12
    )


def two_strips(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Centre of two strips of one sheet from the same pin, each a rectangle with round ends of the rim."""
    areas = [2 * 0.012 * np.linalg.norm(s) + math.pi * 0.012**2 for s in (one, other)]
    return (areas[0] * 0.5 * one + areas[1] * 0.5 * other) / sum(areas)


@pytest.mark.parametrize("side", ["right", "left"])
def test_items_hang_where_they_are_drawn(side):
    """In the assembled pose (elevation 45, elbow 40 deg), every layer's offset away from the body."""
    arm, items = items_of(LAYERS, side)
    g, th, ph, mu = arm.geometry, math.radians(45), math.radians(85), math.pi - math.radians(6)
    head, e = 0.6 * along(mu), g.drive * along(th)
    e1, e2 = head + g.relay_at * along(th), head + 0.68 * along(th)
    c0, c1, c2 = (math.radians(v) for v in (15, -5, 20))
    pins = {
        "shoulder rod": (0.08 * along(th + c0), head + 0.08 * along(th + c0)),
        "forearm rod": (e + 0.07 * along(ph + c1), e1 + 0.07 * along(ph + c1)),
        "relay rod": (e1 + 0.06 * along(ph + c2), e2 + 0.06 * along(ph + c2)),
    }
    want = {
        "mast": (0.5 * head, 0.070), "driver": (0.5 * e, 0.086), "carrier": (head + 0.34 * along(th), 0.096),
        "performer forearm": (e + 0.5 * g.performer_forearm * along(ph), 0.092),
        "character forearm": (e2 + 0.36 * along(ph), 0.120), "character hand": (e2 + 0.84 * along(ph), 0.0),
        "driver crank": (0.04 * along(th + c0), 0.086),
        "carrier crank": (head + 0.04 * along(th + c0), 0.096),
        "character forearm crank": (e2 + 0.03 * along(ph + c2), 0.120),
        "relay": (e1 + two_strips(0.07 * along(ph + c1), 0.06 * along(ph + c2)), 0.112),
        "arm shell": (head + 0.35 * along(th) + 0.02 * raising(th), 0.015),
        "forearm shell": (e2 + 0.33 * along(ph) - 0.01 * raising(ph), 0.005),
        "own upper arm": (0.5772 * g.drive * along(th), 0.0),
        "shoulder rod": (0.5 * sum(pins["shoulder rod"]), 0.075),
        "forearm rod": (0.5 * sum(pins["forearm rod"]), 0.121),
        "relay rod": (0.5 * sum(pins["relay rod"]), 0.137),
    }  # fmt: skip
    for name, (place, aside) in want.items():
        got = in_plane(arm, world(arm, items[name]))
        np.testing.assert_allclose(got, place + np.array([0, 0, aside]), atol=1e-12, err_msg=name)


def test_own_arm_after_de_leva():
    arm, items = items_of({})
    hand = arm.body.segments["hand"].length
    for name, share, centre in (
        ("own upper arm", 0.0271, 0.5772 * arm.body.upper_arm.value),
        ("own forearm", 0.0162, 0.4574 * arm.body.forearm.value),
        ("own hand", 0.0061, arm.body.forearm.value + 0.3624 * hand),
    ):
        assert items[name].mass == pytest.approx(75 * share, rel=1e-12)
        np.testing.assert_allclose(items[name].centre, [0, 0, -centre], atol=1e-12)
        # +- 1.5 kg of body mass is +- 2 %
        np.testing.assert_allclose(items[name].ends, (75 * share * 0.98, 75 * share * 1.02), rtol=1e-12)


def test_own_hand_stays_at_the_wrist_when_the_cuff_does_not():
    plain, short = items_of({})[1], items_of({"limbs.arm.performer_forearm.length": "180 mm"})[1]
    np.testing.assert_allclose(short["own hand"].centre, plain["own hand"].centre, atol=1e-15)


def test_parts_ride_on_what_they_are_fastened_to():
    """A part on a part counts from that part's centre, in the link's own directions; sides as written."""
    edits: dict[str, object] = {
        "parts": [
            {
                "name": "fist",
                "on": "arm/character_hand",
                "mass": "300 g",
                "centre": ["90 mm", "0 mm", "0 mm"],
            },
            {
                "name": "ring",
                "on": "fist",
                "side": "left",
                "mass": "50 g",
                "centre": ["20 mm", "-30 mm", "10 mm"],
            },
            {"name": "head", "on": "harness", "mass": "1 kg", "centre": ["0 mm", "0 mm", "2700 mm"]},
            {"name": "horn", "on": "head", "mass": "100 g", "centre": ["0 mm", "0 mm", "100 mm"]},
        ]
    }
    right, left = items_of(edits)[1], items_of(edits, "left")[1]
    assert "ring" not in right
    assert not {"head", "horn"} & (right.keys() | left.keys())
    np.testing.assert_allclose(right["fist"].centre, [0, 0, -(0.72 + 0.09)], atol=1e-12)
    np.testing.assert_allclose(left["ring"].centre, [-0.03, 0.01, -(0.72 + 0.11)], atol=1e-12)


MEMBERS = ["mast", "driver", "carrier", "performer_forearm", "character_forearm", "character_hand", "relay",
           "shoulder_rod", "forearm_rod", "relay_rod"]  # fmt: skip


@pytest.mark.parametrize("member", MEMBERS)
def test_a_part_on_any_member_counts(member):
    """Nothing the file accepts may weigh nothing: unknown is never a pass."""
    arm, items = items_of({"parts": [part("bell", f"arm/{member}", [0, 0, 0])]})
    assert items["bell"].mass == pytest.approx(0.1)
    masses = gather_masses(arm.mechanism, list(items.values()))
    total = masses.mass.sum() + masses.rod_mass.sum()
    assert total == pytest.approx(sum(i.mass for i in items.values()), rel=1e-12)


def test_a_part_on_a_rod_sits_along_it():
    """150 mm up the 600 mm shoulder rod: a quarter of the way from A to A'."""
    arm, items = items_of({"parts": [part("bell", "arm/shoulder_rod", [150, 0, 12])]})
    th, c0 = math.radians(45), math.radians(15)
    want = 0.08 * along(th + c0) + 0.25 * 0.6 * along(math.pi - math.radians(6)) + [0, 0, 0.012]
    np.testing.assert_allclose(in_plane(arm, world(arm, items["bell"])), want, atol=1e-12)


def test_a_weighed_relay_needs_no_material():
    """Where only the relay was weighed, the crank plates are of the same sheet: mass by area."""
    edits: dict[str, object] = {"limbs.arm.relay": {"plate": "6 mm", "mass": "130 g"}}
    items = items_of(edits)[1]
    assert items["relay"].mass == pytest.approx(0.13)
    areas = [2 * 0.012 * length + math.pi * 0.012**2 for length in (0.08, 0.07, 0.06)]
    want = 0.13 * areas[0] / (areas[1] + areas[2])
    assert items["driver crank"].mass == pytest.approx(want, rel=1e-12)


def test_gathered_masses_keep_total_and_first_moment():
    """Sum of m and m r of items and of the engine's bodies agree (parallel forces, statics)."""
    arm, items = items_of(LAYERS)
    masses = gather_masses(arm.mechanism, list(items.values()))
    placed = frames(arm.mechanism, arm.mechanism.assembled)
    moment = sum(
        (m * placed.point(b, c) for b, (m, c) in enumerate(zip(masses.mass, masses.centre, strict=True))),
        np.zeros(3),
    )
    want = sum((i.mass * world(arm, i) for i in items.values()), np.zeros(3))
    assert not masses.rod_mass.any()
    np.testing.assert_allclose(moment, want, atol=1e-12)


def test_other_masses_in_the_same_order():
    arm, items = items_of({})
    listed = list(items.values())
    doubled = gather_masses(arm.mechanism, listed, [2.0 * i.mass for i in listed])
    np.testing.assert_allclose(doubled.mass, 2.0 * gather_masses(arm.mechanism, listed).mass, rtol=1e-12)
    with pytest.raises(ValueError, match="zip"):
        gather_masses(arm.mechanism, listed, [1.0])
