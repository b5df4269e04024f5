"""The little of numba that the engine uses, typed as what it does to a function: nothing."""

from collections.abc import Callable
from typing import TypeVar, overload

_F = TypeVar("_F", bound=Callable[..., object])

@overload
def njit(function: _F, /) -> _F: ...
@overload
def njit(
    *,
    cache: bool = ...,
    error_model: str = ...,
    fastmath: bool = ...,
    inline: str = ...,
    nogil: bool = ...,
    parallel: bool = ...,
) -> Callable[[_F], _F]: ...

prange = range

def get_num_threads() -> int: ...
def set_num_threads(n: int) -> None: ...
def get_thread_id() -> int: ...
