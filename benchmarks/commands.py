"""The command line: how quick the help is, how quick and how large the main job is."""

import json
import sys
import tempfile
from pathlib import Path

from benchmarks.process import Ran, run
from benchmarks.row import Row
from benchmarks.speed import DEMO

HELP_BAR, WARM_BAR, COLD_BAR, POSES_BAR, MEMORY_BAR = 0.3, 10.0, 60.0, 100_000, 1000.0
NUMERICS = {"numpy", "numba", "scipy", "reportlab", "ezdxf"}
LOOK = (
    "import sys; import limbwright.interfaces.cli.main; print(*sorted(set(sys.argv[1:]) & set(sys.modules)))"
)


def command_rows(repeats: int) -> list[Row]:
    tool = Path(sys.executable).with_name("limbwright")
    quick = min(_run([str(tool), "--help"]).seconds for _ in range(repeats + 2))
    look = [sys.executable, "-c", LOOK, *sorted(NUMERICS)]
    loaded = _run(look).output.strip()
    with tempfile.TemporaryDirectory() as folder:
        check = [str(tool), "check", str(DEMO), "--json", "--out", folder]
        cold = _run(check, {"NUMBA_CACHE_DIR": str(Path(folder) / "kernels")}).seconds
        runs = [_run(check) for _ in range(repeats)]
    warm = min(ran.seconds for ran in runs)
    peak = max(ran.megabytes for ran in runs)
    poses = int(json.loads(runs[0].output)["poses_solved"])
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


def _run(command: list[str], more: dict[str, str] | None = None) -> Ran:
    """Findings that fall short are no failure here; refused input is."""
    ran = run(command, more)
    if ran.code not in (0, 1, 3):
        raise RuntimeError(f"{' '.join(command)}: {ran.errors}")
    return ran
