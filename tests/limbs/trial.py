"""A small suit of round invented numbers, and the means to change any of them.

It stands apart from the demo suit, whose numbers may change for its own reasons.
"""

import copy
import io
import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
from ruamel.yaml import YAML

from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.limbs.parallel_arm import Drive, build_arm
from limbwright.limbs.worn_arm import WornArm, wear_arms
from limbwright.model.body import complete_body
from limbwright.model.suit import Suit
from limbwright.model.suit_file import parse_suit

TEXT = """
format: 1
name: Trial
revision: A
performer:
  active: Ash
  cast:
    Ash:
      sex: male
      stature: 1750 mm
      body_mass: 75 kg +/- 1.5 kg
      measured: {acromion_radiale_length: 330 mm, radiale_stylion_length: 265 mm}
      limits: {shoulder_flexion: 160 deg, shoulder_extension: 45 deg, shoulder_abduction: 150 deg,
               medial_rotation: 60 deg, lateral_rotation: 90 deg, elbow_flexion: 140 deg}
character: {height: 3000 mm}
harness: {mass: {value: 4 kg, range: [3.5 kg, 5 kg], basis: guessed}, centre: [-80 mm, 0 mm, 1600 mm]}
stilts: {height: 400 mm, mass: {value: 1.5 kg, range: [1.4 kg, 1.6 kg], basis: weighed}, foot: [28 cm, 11 cm]}
limbs:
  arm:
    kind: parallel-arm
    side: right
    mirrored: true
    swivel: {out: 10 mm, forward: -15 mm, up: 5 mm, lean_out: 0 deg, lean_forward: 0 deg,
             range: [-40 deg, 120 deg]}
    mast: {length: 600 mm +/- 0.4 mm, lean: 6 deg, section: tube 25 x 1.5 mm, material: 6061-T6}
    driver: {length: performer, section: flat 30 x 5 mm, material: 6061-T6}
    carrier: {length: 680 mm +/- 0.4 mm, section: tube 25 x 1.5 mm, material: 6061-T6}
    relay_at: performer
    performer_forearm: {length: performer, section: flat 25 x 5 mm, material: 6061-T6}
    character_forearm: {length: 720 mm, section: tube 22 x 1.5 mm, material: 6061-T6}
    character_hand: {length: 240 mm, mass: {value: 0.2 kg, range: [0.1 kg, 0.3 kg], basis: guessed}}
    cranks:
      shoulder: {length: 80 mm +/- 0.2 mm, angle: 15 deg}
      forearm: {length: 70 mm +/- 0.2 mm, angle: -5 deg}
      relay: {length: 60 mm +/- 0.2 mm, angle: 20 deg}
    rods:
      shoulder: {length: match, section: tube 10 x 1 mm, material: 6061-T6}
      forearm: {length: match, section: tube 10 x 1 mm, material: 6061-T6}
      relay: {length: match, section: tube 10 x 1 mm, material: 6061-T6}
    relay: {plate: 6 mm, rim: 12 mm, material: 6061-T6}
    stops: 10 deg
    pins: {diameter: 8 mm, material: S355}
parts:
  - {name: arm shell, on: arm/carrier, mass: {value: 0.5 kg, range: [0.4 kg, 0.65 kg], basis: guessed},
     centre: [350 mm, 20 mm, 15 mm]}
  - {name: forearm shell, on: arm/character_forearm, centre: [330 mm, -10 mm, 5 mm],
     mass: {value: 0.4 kg, range: [0.3 kg, 0.5 kg], basis: weighed}}
  - {name: head, on: harness, mass: {value: 1.5 kg, range: [1.2 kg, 2 kg], basis: guessed},
     centre: [60 mm, 0 mm, 2700 mm]}
poses:
  rest: {swing: 60 deg, elevation: 45 deg, elbow: 40 deg}
  reach: {swing: 80 deg, elevation: 80 deg, elbow: 20 deg}
assembled: rest
sweep: {swing: 20 deg, elevation: 10 deg, elbow: 10 deg}
targets: {usable_share: 20 %, lock_margin: 8 deg, suit_mass: 30 kg,
          holding_moment: {shoulder: 40 N m, elbow: 20 N m}}
"""


@cache
def _tree() -> dict[str, Any]:
    return YAML(typ="safe").load(TEXT)


def suit_text(edits: Mapping[str, object] = {}) -> str:
    """The suit file with values replaced; keys are dotted paths, list items by number."""
    tree = copy.deepcopy(_tree())
    for path, value in edits.items():
        *way, last = path.split(".")
        node: Any = tree
        for step in way:
            node = node[int(step)] if isinstance(node, list) else node.setdefault(step, {})
        if value is None:
            del node[last]
        elif isinstance(node, list):
            node[int(last)] = value
        else:
            node[last] = value
    out, yaml = io.StringIO(), YAML(typ="safe")
    yaml.representer.ignore_aliases = lambda *_: True
    yaml.width = 1000
    yaml.dump(tree, out)
    return out.getvalue()


def suit_of(edits: Mapping[str, object] = {}) -> Suit:
    return parse_suit(suit_text(edits), "trial.yaml")


def arms_of(edits: Mapping[str, object] = {}) -> tuple[WornArm, ...]:
    """Both arms of the suit as worn."""
    suit = suit_of(edits)
    return wear_arms(suit, complete_body(suit.active))


def altered(arm: WornArm, **changes: object) -> WornArm:
    """An arm with fields of its geometry replaced, put together anew in its own assembled pose."""
    geometry = replace(arm.geometry, **changes)  # type: ignore[arg-type]
    return replace(arm, geometry=geometry, mechanism=build_arm(geometry, arm.assembled))


def assembled_at(arm: WornArm, swing: float, elevation: float, elbow: float) -> WornArm:
    """An arm put together in another pose [deg]."""
    pose = Drive(*(math.radians(v) for v in (swing, elevation, elbow)))
    return replace(arm, assembled=pose, mechanism=build_arm(arm.geometry, pose))


def random_geometry(rng: np.random.Generator, base: ArmGeometry) -> tuple[ArmGeometry, Drive]:
    """An exact arm of other lengths, crank angles, mast lean and swivel lean, and a pose well inside
    all three of its windows."""
    drive = float(rng.uniform(0.22, 0.36))
    elevation, elbow = (float(v) for v in rng.uniform((0.5, 0.4), (1.6, 1.6)))
    lean = float(rng.uniform(-0.35, 0.35))
    into = rng.uniform(0.9, 2.2, 3) + math.pi * rng.integers(0, 2, 3)
    cranks = rng.uniform(0.04, 0.12, 3)
    mast, carrier = float(rng.uniform(0.35, 0.8)), drive + float(rng.uniform(0.2, 0.5))
    geometry = replace(
        base,
        mast=mast,
        mast_lean=lean,
        drive=drive,
        relay_at=drive,
        carrier=carrier,
        performer_forearm=float(rng.uniform(0.2, 0.3)),
        character_forearm=float(rng.uniform(0.4, 0.9)),
        character_hand=float(rng.uniform(0.15, 0.3)),
        crank_driver=float(cranks[0]),
        crank_carrier=float(cranks[0]),
        crank_forearm=float(cranks[1]),
        crank_relay_lower=float(cranks[1]),
        crank_relay_outer=float(cranks[2]),
        crank_character=float(cranks[2]),
        angle_shoulder=float(into[0]) + math.pi - lean - elevation,
        angle_forearm=float(into[1]) + math.pi - lean - elevation - elbow,
        angle_relay=float(into[2]) - elbow,
        lean_out=float(rng.uniform(-0.3, 0.3)),
        lean_forward=float(rng.uniform(-0.3, 0.3)),
    ).matched()
    return geometry, Drive(float(rng.uniform(-0.3, 1.5)), elevation, elbow)
