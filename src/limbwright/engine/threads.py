"""Kernels on all cores: a range of items cut into parts, each part one call without the interpreter's lock.

Plain threads instead of the compiler's own: its parallel loops take ten seconds longer to compile for
each kernel, and may not be entered from two threads of a server at once.
"""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache

POSES_A_PART = 256  # least number of poses that are worth a call of their own
PARTS = 4  # calls a thread gets in one run, so that an unlucky one is waited for a quarter as long


def thread_count() -> int:
    """LIMBWRIGHT_THREADS if set, else the cores this process may use."""
    wanted = os.environ.get("LIMBWRIGHT_THREADS", "")
    if wanted.isdigit() and int(wanted) > 0:
        return int(wanted)
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@cache
def _pool(count: int) -> ThreadPoolExecutor:
    return ThreadPoolExecutor(count, thread_name_prefix="kernel")


def spread(kernel: Callable[..., object], count: int, grain: int, *arguments: object) -> None:
    """Call kernel(first, last, *arguments) over items 0..count in parts of whole grains, on all cores.

    A kernel must give the same result however the range is cut at multiples of `grain`.
    """
    if count == 0:
        return
    threads = thread_count()
    grains = -(-count // grain)
    share = max(1, -(-grains // (threads * PARTS))) * grain
    if threads == 1 or count <= share:
        for first in range(0, count, share):
            kernel(first, min(count, first + share), *arguments)
        return
    firsts = range(0, count, share)
    lasts = [min(count, first + share) for first in firsts]
    calls = [_pool(threads).submit(kernel, a, b, *arguments) for a, b in zip(firsts, lasts, strict=True)]
    for call in calls:
        call.result()
