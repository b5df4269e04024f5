"""The performer's range as weights over elevation and elbow, and what of it hangs together.

The closure's three locks depend on elevation and elbow alone, so over them every crank angle can be
weighed at once; the swing only decides how many poses stand behind each pair, and which of them are
connected. Weight and share are those of `analyses.reach`: sin(elevation), over the swivel's travel.
"""

import math
from typing import NamedTuple

import numpy as np
from jaxtyping import Bool, Float
from scipy import ndimage

from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.limbs.performer_range import FREE_ELBOW, UNDRIVEN, allowed_by_performer, swivel_lever
from limbwright.model.joint_limits import JointLimits

STEP_SWING = math.radians(5.0)
STEP = math.radians(1.0)  # of elevation and elbow, since crank angles are whole degrees
SLACK = 1e-9  # [rad] so that a node exactly on the edge of a window counts
Triple = tuple[float, float, float]
Windows = Float[np.ndarray, "3 2"]  # least and greatest elevation, elevation + elbow, elbow [rad]

EVERYWHERE: Windows = np.tile([-np.inf, np.inf], (3, 1))


class PerformerGrid(NamedTuple):
    """Poses of the rig at whole steps [rad]; allowed ones, and their weight summed over the swing.

    Elevation and elbow start at zero and share one step.
    """

    step: float
    swing: Float[np.ndarray, " s"]
    elevation: Float[np.ndarray, " e"]
    elbow: Float[np.ndarray, " f"]
    straight: Bool[np.ndarray, "s e"]  # allowed while the elbow is nearly straight
    bent: Bool[np.ndarray, "s e"]  # allowed with the rotation that a bent elbow dictates
    driven: Bool[np.ndarray, "e f"]  # some cuff has a lever about the swivel
    worth: Float[np.ndarray, "e f"]  # weight of one pose; none where the swivel is undriven
    weight: Float[np.ndarray, "e f"]  # of all allowed poses
    whole: float  # weight of everything within the performer's own limits

    def inside(self, windows: Windows) -> Bool[np.ndarray, "e f"]:
        """Pairs of elevation and elbow that lie in every stage's window."""
        th, fl = self.elevation[:, None], self.elbow[None, :]
        inside = np.ones((len(self.elevation), len(self.elbow)), dtype=np.bool_)
        for place, (low, high) in zip((th, th + fl, fl), windows, strict=True):
            inside &= (place >= low - SLACK) & (place <= high + SLACK)
        return inside

    def share(self, windows: Windows) -> float:
        """Share of the performer's range inside the windows, connected or not."""
        return float(self.weight[self.inside(windows)].sum()) / self.whole

    def connected_share(self, windows: Windows, start: Triple) -> float:
        """Share that can be reached from a pose (swing, elevation, elbow) without leaving the windows.

        The nearest usable node stands for the pose, which the performer need not be able to take up:
        it is where the shop puts the arm together. Where the swivel is undriven the swing cannot change.
        """
        return float(self._weigh(self._reached(windows, start)).sum()) / self.whole

    def connected_to(self, start: Triple) -> "PerformerGrid":
        """The same grid with no weight where no arm at all could be brought from a pose."""
        return self._replace(weight=self._weigh(self._reached(EVERYWHERE, start)))

    def _weigh(self, nodes: Bool[np.ndarray, "s e f"]) -> Float[np.ndarray, "e f"]:
        return np.count_nonzero(nodes, axis=0) * self.worth

    def _reached(self, windows: Windows, start: Triple) -> Bool[np.ndarray, "s e f"]:
        bent = (self.elbow >= FREE_ELBOW - SLACK)[None, None, :]
        allowed = np.where(bent, self.bent[:, :, None], self.straight[:, :, None])
        usable = allowed & self.inside(windows)
        reached = np.zeros(usable.shape, dtype=np.bool_)
        at = self._nearest(usable, start)
        if at is None:
            return reached
        reached[at] = True
        along = np.asarray(ndimage.generate_binary_structure(3, 1), dtype=np.bool_)
        still = along.copy()
        still[0, 1, 1] = still[2, 1, 1] = False  # no step along the swing
        count = 0
        while (now := int(np.count_nonzero(reached))) > count:
            count = now
            reached = _spread(reached, still, usable)
            reached |= _spread(reached & self.driven, along, usable & self.driven)
        return reached

    def _nearest(self, usable: Bool[np.ndarray, "s e f"], start: Triple) -> tuple[int, int, int] | None:
        swing, elevation, elbow = np.ix_(
            self.swing - start[0], self.elevation - start[1], self.elbow - start[2]
        )
        distance = np.where(usable, swing**2 + elevation**2 + elbow**2, np.inf)
        best = int(distance.argmin())
        if not math.isfinite(float(distance.flat[best])):
            return None
        s, e, f = np.unravel_index(best, distance.shape)
        return (int(s), int(e), int(f))


def performer_grid(geometry: ArmGeometry, limits: JointLimits) -> PerformerGrid:
    """What the performer's own limits allow, on the grid that crank angles are chosen on.

    Of the geometry only the swivel and the performer's own lengths are used.
    """
    low, high = geometry.swing_range
    highest = max(limits.flexion.value, limits.abduction.value, limits.extension.value)
    swing = _span(low, high, STEP_SWING)
    elevation = _span(0.0, highest, STEP)
    elbow = _span(0.0, limits.elbow[1], STEP)
    s, e = np.meshgrid(swing, elevation, indexing="ij")
    # the elbow matters to the performer's limits only by being nearly straight or not
    straight = allowed_by_performer(geometry, limits, s, e, np.zeros_like(s))
    bent = allowed_by_performer(geometry, limits, s, e, np.full_like(s, FREE_ELBOW))
    joints, turned = straight.joints, bent.joints & bent.rotation
    th, fl = np.meshgrid(elevation, elbow, indexing="ij")
    driven = swivel_lever(geometry, th, fl) >= UNDRIVEN
    straight_poses, bent_poses = joints.sum(axis=0)[:, None], turned.sum(axis=0)[:, None]
    poses = np.asarray(np.where(fl < FREE_ELBOW - SLACK, straight_poses, bent_poses), dtype=np.float64)
    return PerformerGrid(
        step=STEP,
        swing=swing,
        elevation=elevation,
        elbow=elbow,
        straight=joints,
        bent=turned,
        driven=driven,
        worth=np.sin(th) * driven,
        weight=np.sin(th) * driven * poses,
        whole=float((np.sin(elevation) * joints.sum(axis=0)).sum()) * len(elbow),
    )


def _spread(
    seeds: Bool[np.ndarray, "s e f"], steps: Bool[np.ndarray, "3 3 3"], mask: Bool[np.ndarray, "s e f"]
) -> Bool[np.ndarray, "s e f"]:
    """Everything within the mask that the steps lead to from the seeds."""
    return np.asarray(ndimage.binary_propagation(seeds, steps, mask=mask), dtype=np.bool_)


def _span(low: float, high: float, step: float) -> Float[np.ndarray, " n"]:
    """Whole steps from low, none past high."""
    return low + step * np.arange(math.floor((high - low) / step + 1e-9) + 1)
