"""Degrees of freedom counted two ways: by the Grübler-Kutzbach rule and by rank."""

from dataclasses import dataclass

import numpy as np
from jaxtyping import Float

from limbwright.engine.closure import closure_jacobian
from limbwright.engine.mechanism import Mechanism

RANK_TOLERANCE = 1e-8  # of the largest singular value


@dataclass(frozen=True)
class Mobility:
    """What moves and what is held twice, in one pose.

    `counted` is freedoms minus rows (Grübler-Kutzbach, with a rod's idle spin left out); `true` is
    freedoms minus rank. `redundant` rows carry forces that geometry alone cannot tell apart.
    """

    counted: int
    true: int
    redundant: int
    redundant_directions: Float[np.ndarray, "redundant row"]
    motions: Float[np.ndarray, "true velocity"]
    least_singular_value: float  # of the dependent block [m/rad]; zero at a dead or change point


def mobility(mechanism: Mechanism, q: Float[np.ndarray, " q"]) -> Mobility:
    """Mobility by singular value decomposition of the closure Jacobian in a closed pose."""
    jacobian = closure_jacobian(mechanism, q)
    left, values, right = np.linalg.svd(jacobian, full_matrices=True)
    rank = _rank(values)
    rows, freedoms = jacobian.shape
    dependent = jacobian[:, mechanism.linkage.dependent]
    block = np.linalg.svd(dependent, compute_uv=False) if dependent.size else np.zeros(1)
    return Mobility(
        counted=freedoms - rows,
        true=freedoms - rank,
        redundant=rows - rank,
        redundant_directions=left[:, rank:].T,
        motions=right[rank:],
        least_singular_value=float(block[-1]) if len(block) == dependent.shape[1] else 0.0,
    )


def drops_rank(jacobian: Float[np.ndarray, "r v"], dependent: Float[np.ndarray, "r d"]) -> tuple[bool, bool]:
    """Whether the whole Jacobian and its dependent block have less rank than they have columns or rows."""
    whole = np.linalg.svd(jacobian, compute_uv=False)
    block = np.linalg.svd(dependent, compute_uv=False)
    scale = RANK_TOLERANCE * float(whole[0])
    return bool(np.sum(whole > scale) < min(jacobian.shape)), bool(np.sum(block > scale) < dependent.shape[1])


def _rank(values: Float[np.ndarray, " n"]) -> int:
    if len(values) == 0 or values[0] == 0.0:
        return 0
    return int(np.sum(values > RANK_TOLERANCE * values[0]))
