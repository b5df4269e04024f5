"""Cross-sections of stock as a shop names them: `tube 25 x 1.5 mm`, `flat 40 x 6 mm`, `rod 8 mm`."""

import math
import re
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import PlainValidator, WithJsonSchema

from limbwright.model.field import AS_PLAIN
from limbwright.model.quantity import ABOVE_ZERO, read_amount, said

Stock = Literal["tube", "flat", "rod"]
_FORMS = "write it like 'tube 25 x 1.5 mm' (outside x wall), 'flat 40 x 6 mm' or 'rod 8 mm'"


@dataclass(frozen=True)
class Section:
    """A bar's cross-section.

    Args:
        stock: round tube, flat bar or round rod.
        width: outside diameter of a tube or rod, width of a flat [m].
        thickness: wall of a tube, thickness of a flat, diameter of a rod [m].
        text: as the builder wrote it.
    """

    stock: Stock
    width: float
    thickness: float
    text: str

    @property
    def area(self) -> float:
        """Area of material [m^2]."""
        if self.stock == "flat":
            return self.width * self.thickness
        if self.stock == "rod":
            return math.pi / 4.0 * self.width**2
        return math.pi * (self.width - self.thickness) * self.thickness

    @property
    def depth(self) -> float:
        """Size across the arm's plane, sideways [m]."""
        return self.thickness if self.stock == "flat" else self.width


def read_section(written: object) -> Section:
    """Text to a section; a unit after the last size serves both."""
    if isinstance(written, Section):
        return written
    found = re.fullmatch(r"(tube|flat|rod) +(.+)", str(written).strip())
    if not isinstance(written, str) or not found:
        raise said(f"'{written}' is not a section", _FORMS)
    stock, rest = found[1], found[2]
    sizes = [s.strip() for s in re.split(r"\bx\b|×", rest)]
    if len(sizes) != (1 if stock == "rod" else 2):
        raise said(f"'{written}' does not give the sizes of a {stock}", _FORMS)
    if not re.search(r"[A-Za-z\"']", sizes[-1]):
        raise said(f"'{written}' has no unit", f"write {written} mm")
    if len(sizes) == 2 and not re.search(r"[A-Za-z\"']", sizes[0]):
        unit = re.search(r"[A-Za-z\"']+$", sizes[1])
        sizes[0] += f" {unit[0]}" if unit else ""
    values = [read_amount(s, "length", ABOVE_ZERO, spread=False).value for s in sizes]
    width, thickness = values[0], values[-1]
    if stock == "tube":
        if 2.0 * thickness >= width:
            raise said(f"'{written}' has walls that meet", "write the wall under half the outside")
        return Section("tube", width, thickness, written)
    return Section("flat" if stock == "flat" else "rod", width, thickness, written)


SectionField = Annotated[
    Section,
    PlainValidator(read_section),
    AS_PLAIN,
    WithJsonSchema({"type": "string", "pattern": r"^(tube|flat|rod) +.*\d", "description": _FORMS}),
]
