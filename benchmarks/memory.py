"""Memory of streamed batches, and bytes an atlas takes for each pose."""

import sys

import numpy as np

from benchmarks.process import run
from benchmarks.row import Row
from benchmarks.tree import HOME, build

BATCH = 20_000
FLAT = 8.0  # MB that a run a hundred times as long may take more
BYTES = 64

STREAM = """
import resource, sys
import numpy as np
from benchmarks.memory import batches
from benchmarks.tree import build
from limbwright.engine.closure import follow_stream
mechanism = build("bodies").mechanism
for poses in (int(sys.argv[1]), int(sys.argv[2])):
    done = sum(int(np.count_nonzero(p.outcome == 0)) for p in follow_stream(mechanism, batches(poses)))
    unit = 1 << 20 if sys.platform == "darwin" else 1024
    print(done, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / unit)
"""


def batches(poses: int):
    """Driven values along a wave, a batch at a time."""
    for first in range(0, poses, BATCH):
        t = np.arange(first, min(first + BATCH, poses))[:, None] / np.array([4001.0, 311.0, 47.0])
        yield np.array(HOME) + np.array([0.6, 0.12, 0.12]) * np.sin(t)


def memory_rows(poses: int) -> list[Row]:
    first = 100_000
    ran = run([sys.executable, "-c", STREAM, str(first), str(poses)])
    if ran.code != 0:
        raise RuntimeError(ran.errors)
    lines = ran.output.split()
    done = [int(lines[0]), int(lines[2])]
    peak = [float(lines[1]), float(lines[3])]
    if done != [first, poses]:
        raise RuntimeError(f"{done} of {first} and {poses} poses closed")
    return [
        Row(
            f"peak memory after {first:,} streamed poses and after {poses:,}",
            f"flat (<= {FLAT:.0f} MB more)",
            f"{peak[0]:.0f} and {peak[1]:.0f} MB",
            peak[1] - peak[0] <= FLAT,
        ),
        _atlas_row(),
    ]


def _atlas_row() -> Row:
    from limbwright.engine.flood import flood_range

    mechanism = build("rows").mechanism
    axes = [np.radians(np.linspace(low, high, 24)) for low, high in ((-30, 60), (52, 95), (50, 80))]
    nodes = 24**3
    found = flood_range(mechanism, axes, np.ones(nodes, dtype=np.bool_), np.zeros(len(mechanism.stage_names)))
    parts = (found.barrier, found.behind, found.stage, found.margin, found.dependent)
    taken = sum(part.nbytes for part in parts)
    return Row("bytes a pose in an atlas", f"<= {BYTES}", f"{taken / nodes:.0f}", taken <= BYTES * nodes)
