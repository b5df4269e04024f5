"""The little of numba that the engine uses. A kernel's arguments are arrays by convention, not by type."""

from collections.abc import Callable
from typing import Any, overload

type _Kernel = Callable[..., Any]

@overload
def njit(function: Callable[..., object], /) -> _Kernel: ...
@overload
def njit(
    *,
    cache: bool = ...,
    error_model: str = ...,
    fastmath: bool = ...,
    forceinline: bool = ...,
    inline: str = ...,
    no_cfunc_wrapper: bool = ...,
    nogil: bool = ...,
    parallel: bool = ...,
    _nrt: bool = ...,
) -> Callable[[Callable[..., object]], _Kernel]: ...

prange = range

def get_num_threads() -> int: ...
def set_num_threads(n: int) -> None: ...
def get_thread_id() -> int: ...
