"""The one door to the compiler: where kernels are kept, and how they are compiled.

Kernels are cached in the user's cache folder, so a suit that changes never recompiles anything and
a read-only installation still starts warm the second time. The compiler notices a change of the file
that a kernel is in, but not of the files it calls into, so the folder is named after all of them.
"""

import hashlib
import os
import tempfile
from functools import partial
from pathlib import Path

from platformdirs import user_cache_dir

OTHERS = ("compiled.py", "mechanism.py", "outcome.py")


def _fingerprint() -> str:
    """Digest of every source that compiled code is made from."""
    digest = hashlib.sha256()
    here = Path(__file__).parent
    for path in (*sorted(here.glob("kernel_*.py")), *(here / name for name in OTHERS)):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def _cache_folder() -> Path:
    """Where kernels are kept; a temporary folder where the cache cannot be written to."""
    base = Path(os.environ.get("NUMBA_CACHE_DIR") or Path(user_cache_dir("limbwright")) / "kernels")
    name = _fingerprint()
    folder = base if base.name == name else base / name  # a child process inherits the parent's folder
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return Path(tempfile.mkdtemp(prefix="limbwright-kernels-"))
    if not os.access(folder, os.W_OK):
        return Path(tempfile.mkdtemp(prefix="limbwright-kernels-"))
    return folder


KERNEL_CACHE = _cache_folder()
os.environ["NUMBA_CACHE_DIR"] = str(KERNEL_CACHE)

from numba import njit  # noqa: E402  (the cache folder must be set before numba is imported)

__all__ = ["KERNEL_CACHE", "inlined_kernel", "is_cold", "kernel", "room_kernel"]

# Kernels allocate nothing, so the counting of references is left out (_nrt): it costs more than the
# arithmetic. They let go of the interpreter's lock, so that plain threads can run them side by side.
# Those in inner loops are laid into their callers: a linkage handed over by value costs as much again.
# Only what makes work arrays, once for each call from outside, is a room kernel.
_jit = partial(njit, cache=True, error_model="numpy", nogil=True, no_cfunc_wrapper=True)
kernel = _jit(_nrt=False)
inlined_kernel = _jit(_nrt=False, forceinline=True)
room_kernel = _jit()


def is_cold() -> bool:
    """True when no kernel has been compiled for this user yet, so the first run will take longer."""
    return not any(KERNEL_CACHE.rglob("*.nbi")) if KERNEL_CACHE.exists() else True
