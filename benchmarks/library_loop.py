"""The same closure solved pose by pose in Python over a general rigid-body library (Pinocchio).

Gauss-Newton on the three point closures from the pose before, with the library's frames and exact
Jacobians, to the same residual as the engine's. What anyone would write first.
"""

import numpy as np
import pinocchio as pin

from benchmarks.tree import Tree
from limbwright.engine.kernel_closure import TOLERANCE


class LibraryLoop:
    """Joints are numbered depth first there, so coordinates are mapped by name."""

    def __init__(self, tree: Tree) -> None:
        b = tree.builder
        self.model = pin.Model()
        waiting = [1]
        while waiting:
            body = waiting.pop()
            parent = self.model.getJointId(b.names[b.parents[body]]) if b.parents[body] else 0
            joint = pin.JointModelRevoluteUnaligned(b.axes[body])
            self.model.addJoint(parent, joint, pin.SE3(np.eye(3), b.origins[body]), b.names[body])
            waiting += [c for c in range(len(b.names) - 1, body, -1) if b.parents[c] == body]
        self.place = [self.model.idx_qs[self.model.getJointId(name)] for name in b.names[1:]]
        self.ends = [
            (self._frame(b.names[c.a], c.point_a), self._frame(b.names[c.b], c.point_b)) for c in b.closures
        ]
        self.data = self.model.createData()
        m = tree.mechanism.linkage
        self.driven = [self.place[d] for d in m.driven]
        self.dependent = [self.place[d] for d in m.dependent]
        self.start = np.empty(len(self.place))
        self.start[self.place] = tree.mechanism.assembled

    def _frame(self, body: str, point: np.ndarray) -> int:
        joint = self.model.getJointId(body)
        place, name = pin.SE3(np.eye(3), point), f"end {self.model.nframes}"
        return self.model.addFrame(pin.Frame(name, joint, 0, place, pin.FrameType.OP_FRAME))

    def follow(self, drive: np.ndarray) -> tuple[np.ndarray, float]:
        """Poses in our order, and the largest residual left [m]."""
        model, data, q = self.model, self.data, self.start.copy()
        out, worst = np.empty((len(drive), len(q))), 0.0
        aligned = pin.ReferenceFrame.LOCAL_WORLD_ALIGNED
        for i, values in enumerate(drive):
            q[self.driven] = values
            miss = np.inf
            for _ in range(30):
                pin.framesForwardKinematics(model, data, q)
                c = np.concatenate([data.oMf[a].translation - data.oMf[b].translation for a, b in self.ends])
                miss = float(np.abs(c).max())
                if miss < TOLERANCE:
                    break
                pin.computeJointJacobians(model, data, q)
                full = [
                    [pin.getFrameJacobian(model, data, end, aligned) for end in pair] for pair in self.ends
                ]
                jacobian = np.concatenate([(a - b)[:3, self.dependent] for a, b in full])
                q[self.dependent] -= np.linalg.solve(jacobian.T @ jacobian, jacobian.T @ c)
            worst = max(worst, miss)
            out[i] = q[self.place]
        return out, worst
