"""Papers and rolls a plot can be printed on.

Sizes: ISO 216 and ANSI/ASME Y14.1 (from memory), exact in mm and inches.
"""

from dataclasses import dataclass
from typing import Final

from limbwright.core.errors import LimbwrightError
from limbwright.core.units import UnitError, parse

_INCH: Final = 25.4e-3
MARGIN: Final = 8e-3  # what desktop printers may leave white: common practice, no source [m]
MAX_PAGE: Final = 5.0  # longest page written [m]; viewers stop at 14,400 points = 5.08 m
SINGLE: Final = "single"


class PaperError(LimbwrightError):
    """A paper that is not known."""


@dataclass(frozen=True)
class Paper:
    """A sheet, or a roll when `height` is None.

    Args:
        name: as asked for.
        width: shorter side, or the roll's width [m].
        height: longer side [m]; None for a roll.
        margin: unprinted edge [m].
    """

    name: str
    width: float
    height: float | None
    margin: float = MARGIN

    @property
    def slug(self) -> str:
        """Name for files and folders."""
        return self.name.replace(" ", "-")


PAPERS: Final[dict[str, Paper]] = {
    p.name: p
    for p in (
        Paper("A4", 0.210, 0.297),
        Paper("A3", 0.297, 0.420),
        Paper("A2", 0.420, 0.594),
        Paper("A1", 0.594, 0.841),
        Paper("A0", 0.841, 1.189),
        Paper("Letter", 8.5 * _INCH, 11 * _INCH),
        Paper("Legal", 8.5 * _INCH, 14 * _INCH),
        Paper("Tabloid", 11 * _INCH, 17 * _INCH),
    )
}


def find_paper(name: str) -> Paper:
    """The paper called `A4`, `letter`, `roll 914 mm`, `roll 36 in` ...

    Raises:
        PaperError: no such paper, or a roll too narrow for the check bars or wider than a page can be.
    """
    known = {key.lower(): paper for key, paper in PAPERS.items()}
    words = name.strip().lower()
    if words in known:
        return known[words]
    if words.startswith("roll"):
        return _roll(words.removeprefix("roll").strip())
    raise PaperError(f"no paper '{name}'; use {', '.join(PAPERS)}, roll 914 mm or {SINGLE}")


def _roll(width_text: str) -> Paper:
    try:
        width = parse(width_text, "length").value
    except UnitError as error:
        raise PaperError(f"the roll's width: {error}") from None
    if not 0.2 <= width <= MAX_PAGE:
        raise PaperError(f"a roll {width * 1e3:g} mm wide; use 200 mm to {MAX_PAGE:g} m")
    return Paper(f"roll {width * 1e3:.6g} mm", width, None)
