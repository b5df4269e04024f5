"""Arms and masks for the tests of the flood."""

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from limbs.by_flood import reached
from limbs.by_trig import solved_sines
from limbs.trial import arms_of, random_geometry
from limbwright.core.errors import GeometryError
from limbwright.engine.closure import stage_angles
from limbwright.engine.flood import Flood, flood_range
from limbwright.engine.mechanism import Mechanism
from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.limbs.parallel_arm import Drive, build_arm

BASE = arms_of()[0].geometry
GUARD = math.radians(0.5)


class Case(NamedTuple):
    geometry: ArmGeometry
    home: Drive
    mechanism: Mechanism
    axes: tuple[np.ndarray, ...]
    allowed: np.ndarray
    floor: np.ndarray  # of the three stages
    tied: np.ndarray

    def flood(self) -> Flood:
        return flood_range(
            self.mechanism, self.axes, self.allowed, np.repeat(self.floor, 2), tied=self.tied.astype(np.uint8)
        )

    def sines(self, elevation: np.ndarray, elbow: np.ndarray) -> np.ndarray:
        return solved_sines(self.geometry, self.home, elevation, elbow)

    def by_hand(self) -> np.ndarray:
        return reached(self.axes, self.home, self.sines, np.repeat(self.floor, 2), self.allowed, self.tied)


def axes_of(step: float) -> tuple[np.ndarray, ...]:
    elevation, elbow = (np.arange(0.0, top + 1e-9, step) for top in (160.0, 140.0))
    return (np.radians([0.0, 30.0, 60.0]), np.radians(elevation), np.radians(elbow))


def random_case(rng: np.random.Generator, error: float) -> Case:
    """An arm of any proportions, its lengths off by up to `error` [m], and a mask with holes in it."""
    geometry, home = random_geometry(rng, BASE)
    off = rng.uniform(-error, error, 5)
    geometry = replace(
        geometry,
        rod_shoulder=geometry.rod_shoulder + off[0],
        rod_forearm=geometry.rod_forearm + off[1],
        rod_relay=geometry.rod_relay + off[2],
        crank_carrier=geometry.crank_carrier + 0.3 * off[3],
        relay_at=geometry.relay_at + 0.3 * off[4],
    )
    axes = axes_of(float(rng.choice([5.0, 7.0, 10.0, 15.0, 28.0])))
    swing, elevation, elbow = np.meshgrid(*axes, indexing="ij")
    allowed = (rng.random(swing.shape) > 0.06) & (elevation < math.radians(150) - 0.2 * swing)
    tied = (elevation < 0.2) & (elbow < 0.3)
    floor = np.radians(rng.choice([0.5, 2.0, 6.5, 10.0, 20.0], 3))
    return Case(
        geometry, home, build_arm(geometry, home), axes, allowed.ravel(), floor, tied.ravel()
    )  # fmt: skip


def cases(seed: int, count: int, error: float):
    rng = np.random.default_rng(seed)
    while count:
        try:
            case = random_case(rng, error)
        except GeometryError:  # this one's errors keep it from being assembled
            continue
        start = stage_angles(case.mechanism, case.mechanism.assembled)
        if np.any(start < np.repeat(case.floor, 2) + 0.1):
            continue
        count -= 1
        yield case


def forearm_rod(error: float) -> tuple[ArmGeometry, Drive]:
    """jobmap's stage as the relay stage: side 400 mm, crank 80 mm, rod off by `error`, angle the elbow's."""
    geometry = replace(
        BASE, carrier=BASE.relay_at + 0.4, crank_relay_outer=0.08, crank_character=0.08, angle_relay=0.0,
        angle_shoulder=math.radians(60), angle_forearm=math.radians(141), mast_lean=0.0,
    ).matched()  # fmt: skip
    return replace(geometry, rod_relay=geometry.rod_relay + error), Drive(
        0.5, math.radians(40), math.radians(80)
    )
