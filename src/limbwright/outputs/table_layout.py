"""How findings are set on a terminal: one line a row, two, or a short paragraph, as its width allows."""

import textwrap
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple, Protocol

from limbwright.core.finding import Finding, Verdict
from limbwright.core.units import System
from limbwright.outputs.finding_words import band_words, limit_words, margin_words, value_words, with_unit

SIGNS: Final[dict[Verdict, str]] = {"holds": "+", "falls short": "!", "unknown": "?"}
# Bluish green, vermilion and orange of the Okabe-Ito palette, as near as 256 colours come.
_PAINT: Final[dict[str, str]] = {
    "holds": "\x1b[38;5;36m",
    "falls short": "\x1b[1;38;5;166m",
    "unknown": "\x1b[38;5;178m",
    "head": "\x1b[1m",
    "quiet": "\x1b[2m",
}
_PLAIN: Final = "\x1b[0m"
_HEADS: Final = ("", "value", "band", "limit", "margin", "basis", "verdict")
_LEAST_NAME: Final = 42
_TIE: Final = "\N{NO-BREAK SPACE}"
_BASIS: Final = 9  # `common practice` in two lines, `published` and `estimated` words in one


class Style(NamedTuple):
    """How a table is set: columns of the terminal, whether it takes colours, the reader's units."""

    width: int = 100
    colour: bool = False
    units: System = "mm"
    every: bool = False  # every row, with what it rests on and where it comes from


def row_cells(finding: Finding, units: System) -> list[str]:
    """Name, value, band, limit, margin, basis, verdict as words."""
    verdict = f"{SIGNS[finding.verdict]} {finding.verdict}" if finding.verdict else ""
    return [
        finding.name,
        value_words(finding, units),
        band_words(finding, units),
        limit_words(finding, units),
        margin_words(finding, units),
        finding.basis,
        verdict,
    ]


class Layout(Protocol):
    """How rows are set."""

    def heading(self, title: str, *, first: bool) -> list[str]:
        """A group's title; the first one carries the names of the columns."""
        ...

    def row(self, finding: Finding) -> list[str]:
        """One finding."""
        ...


def layout_for(cells: Mapping[int, list[str]], style: Style) -> Layout:
    """The widest layout that the terminal takes."""
    widths = [max(len(row[k]) for row in (_HEADS, *cells.values())) for k in range(1, len(_HEADS))]
    full = max((len(row[0]) for row in cells.values()), default=0) + 2
    for basis in (widths[4], min(widths[4], _BASIS)):
        columns = [*widths[:4], basis, widths[5]]
        name = style.width - sum(columns) - 2 * len(columns)
        if name >= min(full, _LEAST_NAME):
            return _Wide(cells, style, min(name, full), columns)
    if sum(widths[:5]) + 2 * 4 + 4 <= style.width:
        return _Stacked(cells, style, widths)
    return _Narrow(cells, style)


class _Wide(NamedTuple):
    """One line a row; long names and bases go on below themselves."""

    cells: Mapping[int, list[str]]
    style: Style
    name: int
    widths: Sequence[int]

    def heading(self, title: str, *, first: bool) -> list[str]:
        line = self._line([title, *_HEADS[1:]]) if first else title
        return [paint(line.rstrip(), "head", self.style)]

    def row(self, finding: Finding) -> list[str]:
        cells = self.cells[id(finding)]
        names = wrapped(cells[0], self.name, "  ", "    ")
        bases = textwrap.wrap(cells[5], self.widths[4])
        lines: list[str] = []
        for k in range(max(len(names), len(bases))):
            name = names[k] if k < len(names) else ""
            basis = bases[k] if k < len(bases) else ""
            middle = cells[1:5] if k == 0 else [""] * 4
            line = self._line([name, *middle, basis, ""])
            verdict = _verdict(finding, cells, self.style) if k == 0 else ""
            lines.append(f"{line.rstrip()}" if not verdict else f"{line}{verdict}")
        return lines

    def _line(self, cells: Sequence[str]) -> str:
        """Padded cells; value and margin are set to the right, so that units stand under each other."""
        padded = [f"{cells[0]:<{self.name}}"]
        padded += [
            f"{cell:>{width}}" if k in (0, 3) else f"{cell:<{width}}"
            for k, (cell, width) in enumerate(zip(cells[1:-1], self.widths[:-1], strict=True))
        ]
        return "  ".join([*padded, cells[-1]])


class _Stacked(NamedTuple):
    """The name and verdict, and the numbers in columns below."""

    cells: Mapping[int, list[str]]
    style: Style
    widths: Sequence[int]

    def heading(self, title: str, *, first: bool) -> list[str]:
        lines = [paint(title, "head", self.style)]
        if first:
            lines.append(paint(self._numbers(_HEADS).rstrip(), "quiet", self.style))
        return lines

    def row(self, finding: Finding) -> list[str]:
        cells = self.cells[id(finding)]
        room = self.style.width - self.widths[5]
        lines = wrapped(cells[0], room - 2, "  ", "    ")
        if cells[6]:
            gap = room - len(lines[0])
            lines[0] += " " * gap + _verdict(finding, cells, self.style)
        return [*lines, self._numbers(cells).rstrip()]

    def _numbers(self, cells: Sequence[str]) -> str:
        w = self.widths
        return (
            f"    {cells[1]:>{w[0]}}  {cells[2]:<{w[1]}}  {cells[3]:<{w[2]}}  {cells[4]:>{w[3]}}  {cells[5]}"
        )


class _Narrow(NamedTuple):
    """A short paragraph a row."""

    cells: Mapping[int, list[str]]
    style: Style

    def heading(self, title: str, *, first: bool) -> list[str]:
        return [paint(title, "head", self.style)]

    def row(self, finding: Finding) -> list[str]:
        cells, width = self.cells[id(finding)], self.style.width
        verdict = f"  {_verdict(finding, cells, self.style)}" if cells[6] else ""
        lines = [*wrapped(cells[0], width, "  "), f"    {cells[1]}{verdict}"]
        parts = [f"band {self._joined(cells[2], finding) if finding.band else cells[2]}"]
        if cells[3]:
            parts.append(f"limit {self._joined(cells[3], finding)}")
        if cells[4]:
            parts.append(f"margin {self._joined(cells[4], finding)}")
        parts.append(f"basis {cells[5]}")
        return [*lines, *(line.replace(_TIE, " ") for line in wrapped(", ".join(parts), width, "    "))]

    def _joined(self, number: str, finding: Finding) -> str:
        """Number and unit, not to be parted at a line's end."""
        return with_unit(number, finding, self.style.units).replace(" ", _TIE)


def _verdict(finding: Finding, cells: Sequence[str], style: Style) -> str:
    return paint(cells[6], finding.verdict or "quiet", style) if cells[6] else ""


def wrapped(text: str, width: int, indent: str, hang: str | None = None) -> list[str]:
    """Text in lines; `hang` is the indent of all but the first."""
    return textwrap.wrap(
        text,
        max(width, 40),
        initial_indent=indent,
        subsequent_indent=indent if hang is None else hang,
        break_on_hyphens=False,
    )


def paint(text: str, how: str, style: Style) -> str:
    """Text in a colour, where the terminal takes colours."""
    return f"{_PAINT[how]}{text}{_PLAIN}" if style.colour and text else text
