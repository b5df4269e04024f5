"""Density, stiffness and strength of what suits are built of.

Where sources give a range, density and modulus take its middle with a quarter of its width as one
standard deviation, and strength takes its lower end: a part must hold even when the stock is poor.
`published` values were found second-hand (tables that quote a standard or a maker); values from
memory, unverified, are marked assumed, and a limit that rests on them alone is unknown. Printed
plastics are about half as strong across their layers; wood and bamboo split along the grain;
aluminium loses about half its strength within 25 mm of a weld (all from memory).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from limbwright.core.errors import LimbwrightError
from limbwright.core.estimate import Basis, Estimate

Span = tuple[float, float]
_BASIS: Mapping[str, tuple[Basis, str]] = {
    "F2": ("published", "handbook values, second-hand"),
    "M": ("assumed", "from memory, unverified"),
}


@dataclass(frozen=True)
class Material:
    """One material; None where it has no such property or none is known."""

    name: str
    density: Estimate  # [kg/m^3]
    modulus: Estimate | None  # Young's modulus along the stock [Pa]
    yield_strength: Estimate | None  # or the stress taken as its limit [Pa]
    ultimate_strength: Estimate | None  # [Pa]
    note: str


class _Row(NamedTuple):
    mark: str
    density: Span  # [kg/m^3]
    modulus: Span | None  # [GPa]
    limit: Span | None  # yield [MPa]
    ultimate: Span | None  # [MPa]
    note: str = ""


def _one(value: float) -> Span:
    return (value, value)


_PRINTED = "printed: about half across the layers"
_ROWS: Mapping[str, _Row] = {
    "6061-T6": _Row("F2", _one(2700), _one(68.9), _one(276), _one(310), "weld zone yield 115 MPa"),
    "6063-T5": _Row("F2", _one(2700), _one(69), _one(145), _one(186)),
    "6060-T6": _Row("F2", _one(2700), _one(69), _one(150), _one(190)),
    "7075-T6": _Row("F2", _one(2810), _one(71.7), (448, 503), (524, 572), "two tables differ"),
    "4130": _Row("M", _one(7850), _one(205), _one(435), _one(670), "normalised tube"),
    "S235": _Row("F2", _one(7850), _one(210), _one(235), _one(360)),
    "S275": _Row("F2", _one(7850), _one(210), _one(275), _one(430)),
    "S355": _Row("F2", _one(7850), _one(210), _one(355), _one(490)),
    "CFRP-pultruded": _Row(
        "M", (1550, 1600), (115, 135), _one(900), _one(1500), "compression; weak across the fibre"
    ),
    "CFRP-wrapped": _Row("M", _one(1550), (60, 90), (500, 700), None, "fibres at 0 and 90 deg"),
    "GFRP-E17": _Row("M", (1800, 1900), _one(17), _one(170), None, "pultruded, EN 13706 grade"),
    "GFRP-E23": _Row("M", (1800, 1900), _one(23), _one(240), None, "pultruded, EN 13706 grade"),
    "PVC-U": _Row("M", _one(1400), (2.8, 3.4), (48, 55), None, "pipe; creeps, brittle when cold"),
    "ABS": _Row("F2", (1020, 1050), (2.0, 2.9), (30, 40), None, _PRINTED),
    "PLA": _Row("F2", _one(1240), _one(3.5), (35, 50), None, f"{_PRINTED}; soft in a hot car"),
    "PETG": _Row("M", _one(1270), (2.0, 2.2), (45, 50), None, _PRINTED),
    "PA12": _Row("F2", _one(1120), _one(1.9), _one(45), None),
    "birch plywood": _Row("F2", (680, 700), (8, 11), _one(40), None, "bending"),
    "bamboo": _Row("M", (600, 800), (15, 20), (50, 100), None, "bending; splits at pins"),
    "EVA soft": _Row("M", (30, 50), None, None, None, "foam"),
    "EVA firm": _Row("M", (80, 120), None, None, None, "foam"),
    "XPS": _Row("M", (25, 45), None, (0.2, 0.5), None, "foam, compression"),
    "PU rigid": _Row("M", (30, 100), None, None, None, "foam"),
    "PU soft": _Row("M", (20, 35), None, None, None, "foam"),
}
MATERIAL_NAMES: tuple[str, ...] = tuple(_ROWS)


def material(name: str) -> Material:
    """The material of that name; capitals, spaces and hyphens do not matter.

    Raises:
        LimbwrightError: there is none of that name; the message lists those that exist.
    """
    known = _BY_KEY.get(_key(name))
    if known is None:
        raise LimbwrightError(f"no material '{name}'; known are {', '.join(MATERIAL_NAMES)}")
    row = _ROWS[known]
    basis, mark = _BASIS[row.mark]
    source = f"{known}, {mark}"
    return Material(
        name=known,
        density=_middle(row.density, 1.0, basis, source),
        modulus=None if row.modulus is None else _middle(row.modulus, 1e9, basis, source),
        yield_strength=_lower(row.limit, basis, source),
        ultimate_strength=_lower(row.ultimate, basis, source),
        note=row.note,
    )


def _middle(span: Span, unit: float, basis: Basis, source: str) -> Estimate:
    low, high = span
    spread = 0.25 * (high - low) * unit if high > low else None
    return Estimate(0.5 * (low + high) * unit, spread, basis, source)


def _lower(span: Span | None, basis: Basis, source: str) -> Estimate | None:
    if span is None:
        return None
    low, high = span
    ranged = f"{source}; lower end of {low:g} to {high:g} MPa" if high > low else source
    return Estimate(low * 1e6, None, basis, ranged)


def _key(name: str) -> str:
    return "".join(letter for letter in name.lower() if letter.isalnum())


_BY_KEY: Mapping[str, str] = {_key(name): name for name in MATERIAL_NAMES}
