"""A number that knows how well it is known."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Basis = Literal["measured", "published", "common practice", "assumed"]
BASES: tuple[Basis, ...] = ("measured", "published", "common practice", "assumed")


@dataclass(frozen=True)
class Estimate:
    """A value in SI with its standard deviation.

    Args:
        value: SI value.
        sd: one standard deviation in the same unit; None means there is no estimate of it.
        basis: how the value is known.
        source: where it comes from, in words for the reader.
    """

    value: float
    sd: float | None
    basis: Basis
    source: str

    def band(self, deviations: float = 2.0) -> tuple[float, float] | None:
        """Value plus and minus `deviations` standard deviations, or None without an estimate."""
        if self.sd is None:
            return None
        return (self.value - deviations * self.sd, self.value + deviations * self.sd)


def weakest(bases: Iterable[Basis]) -> Basis:
    """The least well founded of several bases; `assumed` when there are none."""
    ranks = [BASES.index(basis) for basis in bases]
    return BASES[max(ranks)] if ranks else "assumed"
