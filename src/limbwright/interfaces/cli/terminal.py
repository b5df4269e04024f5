"""What the reader's terminal is like, and the parts that every printed answer shares."""

import os
import shutil
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

import typer

from limbwright.core.units import System
from limbwright.outputs.findings_table import Style, wrapped


def reader_style(units: System, *, every: bool = False) -> Style:
    """Width and colours of standard output: 100 columns and plain where it is no terminal."""
    terminal = sys.stdout.isatty()
    plain = not terminal or bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    width = shutil.get_terminal_size((100, 24)).columns if terminal or "COLUMNS" in os.environ else 100
    return Style(width=max(width, 40), colour=not plain, units=units, every=every)


def say(lines: Iterable[str]) -> None:
    """Print lines at once, so that a reader who leaves early stops us only here."""
    typer.echo("\n".join(lines))


def listed(title: str, lines: Sequence[str], style: Style) -> list[str]:
    """A titled list; nothing where it is empty."""
    if not lines:
        return []
    return ["", title, *(piece for line in lines for piece in wrapped(line, style.width, "  ", "    "))]


def files_made(files: Sequence[Path]) -> list[str]:
    """The files, one a line and never broken."""
    return ["", "Files made:", *(f"  {path}" for path in files)] if files else []
