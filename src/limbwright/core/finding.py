"""A finding: one number for a person, with its limit and how far both can be trusted."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Literal, NamedTuple

from limbwright.core.estimate import BASES, Basis, weakest

Verdict = Literal["holds", "falls short", "unknown"]
LimitKind = Literal["at least", "at most"]
SEVERITY: tuple[Verdict, ...] = ("holds", "unknown", "falls short")


class Input(NamedTuple):
    """Something a finding rests on."""

    name: str
    basis: Basis


@dataclass(frozen=True)
class Finding:
    """One number as every door shows it; values are in `unit`.

    `verdict` is None for a number that is given for information and has no limit.
    """

    key: str
    name: str
    value: float | None
    unit: str
    band: tuple[float, float] | None
    limit: float | None
    limit_kind: LimitKind | None
    margin: float | None
    verdict: Verdict | None
    basis: Basis
    weakest_input: str
    where: str
    source: str

    def as_dict(self) -> dict[str, object]:
        """Plain data for `--json`; the key order is the published one."""
        plain = asdict(self)
        plain["band"] = list(self.band) if self.band is not None else None
        return plain


def judge(
    key: str,
    name: str,
    value: float | None,
    unit: str,
    *,
    inputs: Sequence[Input],
    band: tuple[float, float] | None = None,
    limit: float | None = None,
    limit_kind: LimitKind | None = None,
    where: str = "",
    source: str = "",
) -> Finding:
    """Set a value against its limit and say what may be concluded.

    A value past its limit falls short. A value on the right side holds only if its whole band
    does and something better than assumption stands behind it; otherwise it is unknown. What is
    not a number never holds.

    Args:
        key: stable name for programs, such as `lock.margin.least`.
        name: the same for a person.
        value: in `unit`; None or NaN when it could not be found.
        inputs: everything the value and the limit rest on.
        band: least and greatest credible value, in `unit`.
        limit: in `unit`; None for a number without a limit.
        limit_kind: whether the value must be `at least` or `at most` the limit.
        where: the pose or part it belongs to.
        source: the formula or table behind it.
    """
    if (limit is None) != (limit_kind is None):
        raise ValueError(f"{key}: a limit and its kind come together")
    known = value is not None and math.isfinite(value)
    margin = None
    verdict: Verdict | None = None
    if limit is not None:
        sign = 1.0 if limit_kind == "at least" else -1.0
        if value is None or not known or not math.isfinite(limit):
            verdict = "unknown"
        else:
            margin = sign * (value - limit)
            verdict = _conclude(margin, sign, limit, band, inputs)
    return Finding(
        key=key,
        name=name,
        value=value if known else None,
        unit=unit,
        band=band if band is not None and all(map(math.isfinite, band)) else None,
        limit=limit,
        limit_kind=limit_kind,
        margin=margin,
        verdict=verdict,
        basis=weakest(i.basis for i in inputs),
        weakest_input=_weakest_name(inputs),
        where=where,
        source=source,
    )


def worst(findings: Iterable[Finding]) -> Verdict:
    """The verdict of the whole: falls short before unknown before holds; unknown if nothing was judged."""
    ranks = [SEVERITY.index(f.verdict) for f in findings if f.verdict is not None]
    return SEVERITY[max(ranks)] if ranks else "unknown"


def _conclude(
    margin: float,
    sign: float,
    limit: float,
    band: tuple[float, float] | None,
    inputs: Sequence[Input],
) -> Verdict:
    if margin < 0.0:
        return "falls short"
    if all(i.basis == "assumed" for i in inputs):
        return "unknown"
    if band is not None and not all(sign * (end - limit) >= 0.0 for end in band):
        return "unknown"  # NaN compares false, so a band nobody could work out ends here too
    return "holds"


def _weakest_name(inputs: Sequence[Input]) -> str:
    if not inputs:
        return "nothing stated"
    return max(inputs, key=lambda i: BASES.index(i.basis)).name
