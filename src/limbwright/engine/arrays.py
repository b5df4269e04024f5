"""Arrays as kernels take them."""

import numpy as np


def for_kernel(values: np.ndarray) -> np.ndarray:
    """Contiguous float64 that may be written to; a read-only one would have kernels compiled anew for it."""
    array = np.ascontiguousarray(values, dtype=np.float64)
    return array if array.flags.writeable else array.copy()
