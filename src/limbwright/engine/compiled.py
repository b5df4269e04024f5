"""The one door to the compiler: where kernels are kept, and how they are compiled.

Kernels are cached in the user's cache folder, so a suit that changes never recompiles anything and
a read-only installation still starts warm the second time.
"""

import os
from pathlib import Path

from platformdirs import user_cache_dir

KERNEL_CACHE = Path(os.environ.get("NUMBA_CACHE_DIR") or Path(user_cache_dir("limbwright")) / "kernels")
os.environ["NUMBA_CACHE_DIR"] = str(KERNEL_CACHE)

from numba import njit, prange  # noqa: E402  (the cache folder must be set before numba is imported)

__all__ = ["KERNEL_CACHE", "is_cold", "kernel", "parallel_kernel", "prange"]

kernel = njit(cache=True, error_model="numpy")
parallel_kernel = njit(cache=True, error_model="numpy", parallel=True, nogil=True)


def is_cold() -> bool:
    """True when no kernel has been compiled for this user yet, so the first run will take longer."""
    return not any(KERNEL_CACHE.rglob("*.nbi")) if KERNEL_CACHE.exists() else True
