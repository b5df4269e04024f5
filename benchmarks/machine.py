"""What the numbers were taken on."""

import os
import platform
from importlib.metadata import version
from pathlib import Path

LIBRARIES = ("numpy", "numba", "pin")


def describe() -> str:
    """Processor, cores this process may use, how busy they were, system, versions."""
    from limbwright.engine.threads import thread_count

    load = f"load {os.getloadavg()[0]:.1f} at the end, " if hasattr(os, "getloadavg") else ""
    versions = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return (
        f"{_processor()}, {thread_count()} threads, {load}{platform.system()} {platform.machine()}, "
        f"Python {platform.python_version()}, {versions}"
    )


def _processor() -> str:
    table = Path("/proc/cpuinfo")
    if table.exists():
        for line in table.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.split(":", 1)[1].strip()
    return platform.processor() or platform.machine()
