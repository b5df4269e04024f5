"""Arguments and options that several verbs share."""

from pathlib import Path
from typing import Annotated

import typer

SuitArgument = Annotated[
    Path, typer.Argument(metavar="SUIT", help="The suit file, or the project folder it lies in.")
]
OutOption = Annotated[
    Path | None,
    typer.Option("--out", metavar="DIR", help="Folder for the files made.  [default: out/ beside the suit]"),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON object instead of the table.")]


def suit_file(given: Path) -> Path:
    """The suit file itself, when its folder was named."""
    return given / "suit.yaml" if given.is_dir() else given


def out_folder(suit: Path, given: Path | None) -> Path:
    """Where files go; made when it is not there."""
    folder = suit.parent / "out" if given is None else given
    folder.mkdir(parents=True, exist_ok=True)
    return folder
