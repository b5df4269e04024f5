"""How parallel the character's forearm stays to the performer's when no length is exact.

To first order a length error dL turns the dependent joints by dq_d = -(dc/dq_d)^+ (dc/dL) dL; the
character's forearm then differs from the performer's by the sum of carrier and elbow. The worst
case adds every length's share, the likely case adds their squares. Exact rods give zero: that is a
check of the arithmetic, not a result.
"""

from dataclasses import dataclass

import numpy as np
from jaxtyping import Float

from limbwright.engine.closure import follow_drive
from limbwright.engine.outcome import Outcome
from limbwright.engine.rates import rows_at
from limbwright.limbs.arm_geometry import LENGTHS
from limbwright.limbs.parallel_arm import Drive, build_arm, lay_out
from limbwright.limbs.worn_arm import WornArm

# angles of carrier, relay and character forearm in the arm's plane, from the dependent joints
_LINK_ANGLES = np.array([[1.0, 0.0, 0.0], [1.0, 1.0, 0.0], [1.0, 0.0, 1.0]])
DIFFERENCE = 1e-6  # [m]; the rows are all but linear in a length


@dataclass(frozen=True)
class Matching:
    """Angle between the two forearms over the usable range [rad]."""

    drive: Float[np.ndarray, "pose 2"]  # elevation, elbow; the swing changes nothing here
    offset: Float[np.ndarray, " pose"]  # with the lengths as written
    worst: Float[np.ndarray, " pose"]  # every length off its full tolerance the bad way
    likely: Float[np.ndarray, " pose"]  # root of the sum of squares
    sensitivity: Float[np.ndarray, "pose length"]  # [rad/m], lengths in the order of LENGTHS
    stage_turn: Float[np.ndarray, " pose"]  # most that any link of a stage turns, worst case [rad]

    @property
    def worst_pose(self) -> int:
        """Which pose has the greatest worst-case angle."""
        return int(np.argmax(np.abs(self.offset) + self.worst))

    def driver_of_worst(self) -> str:
        """The length that gives the most at the worst pose."""
        return LENGTHS[int(np.argmax(np.abs(self.sensitivity[self.worst_pose])))]


def matching_over(arm: WornArm, q: Float[np.ndarray, "usable q"]) -> Matching:
    """Matching over every distinct pair of elevation and elbow among usable poses."""
    drive = arm.mechanism.driven_values(q)
    _, first = np.unique(drive[:, 1:], axis=0, return_index=True)
    return matching_at(arm, q[np.sort(first)])


def matching_at(arm: WornArm, q: Float[np.ndarray, "pose q"]) -> Matching:
    """Matching at closed poses of an arm."""
    geometry, mechanism = arm.geometry, arm.mechanism
    here = rows_at(mechanism.linkage, q)
    inverse = np.linalg.pinv(here.jacobian) if len(q) else np.zeros((0, 0, 0))
    carrier, character = (_dof(arm, name) for name in ("carrier", "character_forearm"))
    picks = np.isin(mechanism.linkage.dependent, (carrier, character)).astype(float)
    sensitivity = np.empty((len(q), len(LENGTHS)))
    turns = np.empty((len(q), 3, len(LENGTHS)))  # carrier, relay, character forearm in the world
    for column, name in enumerate(LENGTHS):
        rates = -np.einsum("ndr,nr->nd", inverse, _row_rates(arm, q, name))
        sensitivity[:, column] = rates @ picks
        turns[:, :, column] = rates @ _LINK_ANGLES.T
    tolerance = np.array([geometry.tolerance[name] for name in LENGTHS])
    shares = np.abs(sensitivity) * tolerance
    angles = q[:, mechanism.linkage.dof_q]
    driver, forearm = _dof(arm, "driver"), _dof(arm, "performer_forearm")
    stage_turn = (np.abs(turns) * tolerance).sum(axis=2).max(axis=1) if len(q) else np.zeros(0)
    offset = angles[:, carrier] + angles[:, character] - angles[:, driver] - angles[:, forearm]
    return Matching(
        drive=angles[:, [driver, forearm]],
        offset=offset,
        worst=shares.sum(axis=1),
        likely=np.sqrt((shares**2).sum(axis=1)),
        sensitivity=sensitivity,
        stage_turn=stage_turn,
    )


def exact_offset(arm: WornArm, drive: Drive, name: str, change: float) -> float:
    """The forearms' angle with one length changed, solved exactly [rad]; NaN where it locks."""
    changed = build_arm(arm.geometry.with_length(name, change), arm.assembled)
    poses = follow_drive(changed, np.array([[drive.swing, drive.elevation, drive.elbow]]))
    if poses.outcome[0] != Outcome.CLOSED:
        return float("nan")
    q = poses.q[0]
    return float(q[3] + q[5] - q[1] - q[2])


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
