"""How parallel the character's forearm stays to the performer's when no length is exact.

To first order a length error dL turns the dependent joints by dq_d = -(dc/dq_d)^+ (dc/dL) dL; the
character's forearm then differs from the performer's by the sum of carrier and elbow. The worst
case adds every length's share, the likely case adds their squares. A rod that is trimmed on its
threads until it matches the side it copies takes over that side's error and leaves only what the
trimming leaves. Exact rods give zero: that is a check of the arithmetic, not a result.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from jaxtyping import Float

from limbwright.core.errors import GeometryError
from limbwright.engine.closure import follow_drive, stage_angles
from limbwright.engine.outcome import Outcome
from limbwright.engine.rates import rows_at
from limbwright.limbs.arm_geometry import COPIES, LENGTHS, TRIM_LEFT
from limbwright.limbs.parallel_arm import Drive, build_arm, lay_out
from limbwright.limbs.worn_arm import WornArm

DIFFERENCE = 1e-6  # [m]; rows and stage angles are all but linear in a length


@dataclass(frozen=True)
class Matching:
    """Angle between the two forearms over the usable range [rad]; lengths in the order of LENGTHS."""

    drive: Float[np.ndarray, "pose 2"]  # elevation, elbow; the swing changes nothing here
    offset: Float[np.ndarray, " pose"]  # with the lengths as written
    sensitivity: Float[np.ndarray, "pose length"]  # every length on its own [rad/m]
    shares: Float[np.ndarray, "pose length"]  # of each length at its +/-, as cut
    trimmed_shares: Float[np.ndarray, "pose length"]  # once the rods are set to match their sides

    @property
    def worst(self) -> Float[np.ndarray, " pose"]:
        """Every length off its full tolerance the bad way, as cut."""
        return self.shares.sum(axis=1)

    @property
    def likely(self) -> Float[np.ndarray, " pose"]:
        """Root of the sum of squares, as cut."""
        return np.sqrt((self.shares**2).sum(axis=1))

    @property
    def trimmed_worst(self) -> Float[np.ndarray, " pose"]:
        """Worst case once the rods are trimmed."""
        return self.trimmed_shares.sum(axis=1)

    @property
    def trimmed_likely(self) -> Float[np.ndarray, " pose"]:
        """Root of the sum of squares once the rods are trimmed."""
        return np.sqrt((self.trimmed_shares**2).sum(axis=1))


def matching_over(arm: WornArm, q: Float[np.ndarray, "usable q"]) -> Matching:
    """Matching over every distinct pair of elevation and elbow among usable poses."""
    drive = arm.mechanism.driven_values(q)
    _, first = np.unique(drive[:, 1:], axis=0, return_index=True)
    return matching_at(arm, q[np.sort(first)])


def matching_at(arm: WornArm, q: Float[np.ndarray, "pose q"]) -> Matching:
    """Matching at closed poses of an arm."""
    mechanism = arm.mechanism
    carrier, character = (_dof(arm, name) for name in ("carrier", "character_forearm"))
    picks = np.isin(mechanism.linkage.dependent, (carrier, character)).astype(float)
    sensitivity = np.stack([rates @ picks for rates in _joint_rates(arm, q)], axis=1)
    angles = q[:, mechanism.linkage.dof_q]
    driver, forearm = _dof(arm, "driver"), _dof(arm, "performer_forearm")
    return Matching(
        drive=angles[:, [driver, forearm]],
        offset=angles[:, carrier] + angles[:, character] - angles[:, driver] - angles[:, forearm],
        sensitivity=sensitivity,
        shares=np.abs(sensitivity) * _tolerances(arm, ()),
        trimmed_shares=np.abs(_with_trim(arm, sensitivity)) * _tolerances(arm, arm.geometry.trimmed),
    )


def margin_spread(arm: WornArm, q: Float[np.ndarray, "pose q"]) -> Float[np.ndarray, "pose s"]:
    """How far length errors move each stage's angle from its lock [rad].

    Root of the sum of squares over the lengths at their +/-, rods trimmed where the suit has trim.
    """
    mechanism = arm.mechanism
    solved = mechanism.linkage.dof_q[mechanism.linkage.dependent]
    here = np.stack([stage_angles(mechanism, one) for one in q])
    moved = np.empty((*here.shape, len(LENGTHS)))
    for column, (name, rates) in enumerate(zip(LENGTHS, _joint_rates(arm, q), strict=True)):
        builder, driven, _ = lay_out(arm.geometry.with_length(name, DIFFERENCE), arm.assembled)
        changed = replace(mechanism, linkage=builder.linkage(driven))
        near = q.copy()
        near[:, solved] += rates * DIFFERENCE
        moved[:, :, column] = (np.stack([stage_angles(changed, one) for one in near]) - here) / DIFFERENCE
    flat = _with_trim(arm, moved.reshape(-1, len(LENGTHS))) * _tolerances(arm, arm.geometry.trimmed)
    return np.sqrt((flat**2).sum(axis=1)).reshape(here.shape)


class Corner(NamedTuple):
    """Every length at an end of its +/- at once, solved exactly."""

    offset: float  # greatest angle between the forearms of the combinations that close [rad]; NaN if none
    locks: bool  # one of them cannot be assembled or taken to the pose


def worst_corner(arm: WornArm, matching: Matching, at: int, *, trimmed: bool) -> Corner:
    """The two combinations that the sensitivities call worst in a pose, one each way."""
    sensitivity = matching.sensitivity[[at]]
    rods = arm.geometry.trimmed if trimmed else ()
    signs = np.sign(_with_trim(arm, sensitivity) if trimmed else sensitivity)[0]
    halves = signs * _tolerances(arm, rods)
    changes: dict[str, float] = {name: float(half) for name, half in zip(LENGTHS, halves, strict=True)}
    for rod in rods:
        changes[rod] += sum(sign * changes[side] for side, sign in COPIES[rod].items())
    elevation, elbow = (float(v) for v in matching.drive[at])
    drive = Drive(arm.assembled.swing, elevation, elbow)
    ends = np.abs([_solved_offset(arm, drive, {n: way * c for n, c in changes.items()}) for way in (1, -1)])
    closed = ends[np.isfinite(ends)]
    return Corner(float(closed.max()) if len(closed) else math.nan, len(closed) < len(ends))


def exact_offset(arm: WornArm, drive: Drive, name: str, change: float) -> float:
    """The forearms' angle with one length changed, solved exactly [rad]; NaN where it locks."""
    return _solved_offset(arm, drive, {name: change})


def _solved_offset(arm: WornArm, drive: Drive, changes: Mapping[str, float]) -> float:
    geometry = arm.geometry
    for name, change in changes.items():
        geometry = geometry.with_length(name, float(change))
    try:
        changed = build_arm(geometry, arm.assembled)
    except GeometryError:
        return math.nan
    poses = follow_drive(changed, np.array([[drive.swing, drive.elevation, drive.elbow]]))
    if poses.outcome[0] != Outcome.CLOSED:
        return math.nan
    q = poses.q[0]
    return float(q[3] + q[5] - q[1] - q[2])


def _joint_rates(arm: WornArm, q: np.ndarray) -> list[np.ndarray]:
    """dq_d/dL of every length in turn (n, d) [rad/m]."""
    inverse = np.linalg.pinv(rows_at(arm.mechanism.linkage, q).jacobian)
    return [-np.einsum("ndr,nr->nd", inverse, _row_rates(arm, q, name)) for name in LENGTHS]


def _with_trim(arm: WornArm, sensitivity: np.ndarray) -> np.ndarray:
    """Sensitivities (n, length) once trimmed rods take over the errors of the sides they copy."""
    trimmed = sensitivity.copy()
    for rod in arm.geometry.trimmed:
        for side, sign in COPIES[rod].items():
            trimmed[:, LENGTHS.index(side)] += sign * sensitivity[:, LENGTHS.index(rod)]
    return trimmed


def _tolerances(arm: WornArm, trimmed: tuple[str, ...]) -> np.ndarray:
    """Half-width of every length [m]."""
    stated = arm.geometry.tolerance
    return np.array([min(TRIM_LEFT, stated[n]) if n in trimmed else stated[n] for n in LENGTHS])


def _row_rates(arm: WornArm, q: np.ndarray, name: str) -> np.ndarray:
    """dc/dL of every row at fixed coordinates (n, r), by central difference of the laid-out arm."""
    rows: list[np.ndarray] = []
    for step in (DIFFERENCE, -DIFFERENCE):
        builder, driven, _ = lay_out(arm.geometry.with_length(name, step), arm.assembled)
        rows.append(rows_at(builder.linkage(driven), q).rows)
    return (rows[0] - rows[1]) / (2.0 * DIFFERENCE)


def _dof(arm: WornArm, body: str) -> int:
    """The one coordinate of a body's pin."""
    linkage = arm.mechanism.linkage
    return int(np.flatnonzero(linkage.dof_body == arm.mechanism.body(body))[0])
