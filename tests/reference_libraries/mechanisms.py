"""Random mechanisms that both libraries can write: trees, and loops of balls with a sound choice of drive."""

import numpy as np
from scipy.linalg import qr

from engine import by_hand
from engine.rigs import Rig, random_pose, random_tree
from limbwright.engine.closure import assemble, closure_jacobian
from limbwright.engine.mechanism import PIN, SLIDER, UNIVERSAL, Mechanism


def random_ball_loop(rng: np.random.Generator) -> tuple[Rig, Mechanism]:
    """A tree of pins, sliders and universals with one or two ball closures between branches.

    Which coordinates are driven is chosen by pivoting, so that the others are well determined.
    """
    while True:
        builder = random_tree(rng, int(rng.integers(6, 9)), (PIN, PIN, SLIDER, UNIVERSAL))
        q = random_pose(rng, builder)
        placed = by_hand.place(builder, q[None])
        bodies = len(builder.names)
        for i in range(int(rng.integers(1, 3))):
            a, b = (int(x) for x in rng.choice(bodies, 2, replace=False))
            pa = rng.uniform(-0.3, 0.3, 3)
            there = placed.point(a, pa)[0] - placed.position[b, 0]
            builder.ball(f"ball {i}", a, pa, b, placed.rotation[b].inv().apply(there)[0])
        jacobian = closure_jacobian(assemble(builder, [], q), q)
        values = np.linalg.svd(jacobian, compute_uv=False)
        rank = int(np.sum(values > 1e-9))
        if rank == 0 or values[rank - 1] < 0.02 or rank == jacobian.shape[1]:
            continue  # nothing closed, near a singular pose, or nothing left to drive
        order = qr(jacobian, pivoting=True, mode="r")[1]
        driven = sorted(int(d) for d in order[rank:])
        owners = [(b, i) for b, j in enumerate(builder.joints) for i in range({UNIVERSAL: 2}.get(j, 1)) if b]
        rig = Rig(builder, [owners[d] for d in driven], q)
        return rig, rig.assemble()
