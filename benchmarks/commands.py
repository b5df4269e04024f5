"""The command line: how quick the help is, how quick and how large the main job is."""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from benchmarks.row import Row
from benchmarks.speed import DEMO

HELP_BAR, WARM_BAR, COLD_BAR, POSES_BAR, MEMORY_BAR = 0.3, 10.0, 60.0, 100_000, 1000.0
NUMERICS = {"numpy", "numba", "scipy", "reportlab", "ezdxf"}
LOOK = (
    "import sys; import limbwright.interfaces.cli.main; print(*sorted(set(sys.argv[1:]) & set(sys.modules)))"
)


def command_rows(repeats: int) -> list[Row]:
    tool = Path(sys.executable).with_name("limbwright")
    quick = min(_run([str(tool), "--help"])[0] for _ in range(repeats + 2))
    look = [sys.executable, "-c", LOOK, *sorted(NUMERICS)]
    loaded = subprocess.run(look, capture_output=True, text=True, check=True).stdout.strip()
    with tempfile.TemporaryDirectory() as folder:
        check = [str(tool), "check", str(DEMO), "--json", "--out", folder]
        cold, _, _ = _run(check, {"NUMBA_CACHE_DIR": str(Path(folder) / "kernels")})
        runs = [_run(check) for _ in range(repeats)]
    warm = min(seconds for seconds, _, _ in runs)
    peak = max(megabytes for _, megabytes, _ in runs)
    poses = int(json.loads(runs[0][2])["poses_solved"])
    return [
        Row(
            "`limbwright --help`, numerics imported",
            f"< {HELP_BAR} s, none",
            f"{quick:.2f} s, {loaded or 'none'}",
            quick < HELP_BAR and not loaded,
        ),
        Row(
            f"`check` of the demo suit, both arms, {poses:,} poses, warm",
            f"< {WARM_BAR:.0f} s, >= {POSES_BAR:,} poses",
            f"{warm:.1f} s",
            warm < WARM_BAR and poses >= POSES_BAR,
        ),
        Row("the same on the first run ever", f"< {COLD_BAR:.0f} s", f"{cold:.1f} s", cold < COLD_BAR),
        Row("its peak memory", f"< {MEMORY_BAR:.0f} MB", f"{peak:.0f} MB", peak < MEMORY_BAR),
    ]


def _run(command: list[str], more: dict[str, str] | None = None) -> tuple[float, float, str]:
    """Seconds, peak megabytes and output of one process; findings that fall short are no failure here."""
    with tempfile.TemporaryFile() as out:
        start = time.perf_counter()
        env = {**os.environ, **(more or {})}
        process = subprocess.Popen(command, stdout=out, stderr=subprocess.DEVNULL, env=env)
        _, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - start
        process.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        text = out.read().decode()
    if process.returncode == 2:
        raise RuntimeError(f"{' '.join(command)} refused its input")
    return seconds, usage.ru_maxrss / (1 << 20 if sys.platform == "darwin" else 1024), text
