"""Time and memory of another process.

A child starts out with its parent's peak memory on its account, so a small launcher stands between.
"""

import json
import os
import subprocess
import sys
from typing import NamedTuple

LAUNCH = """
import json, resource, subprocess, sys, time
start = time.perf_counter()
done = subprocess.run(sys.argv[1:], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
seconds = time.perf_counter() - start
unit = 1 << 20 if sys.platform == "darwin" else 1024
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / unit
json.dump([done.returncode, seconds, peak, done.stdout, done.stderr], sys.stdout)
"""


class Ran(NamedTuple):
    """How a process went."""

    code: int
    seconds: float
    megabytes: float  # peak
    output: str
    errors: str


def run(command: list[str], more: dict[str, str] | None = None) -> Ran:
    launched = subprocess.run(
        [sys.executable, "-c", LAUNCH, *command],
        env={**os.environ, **(more or {})},
        capture_output=True,
        text=True,
        check=True,
    )
    return Ran(*json.loads(launched.stdout))
