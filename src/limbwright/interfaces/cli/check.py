"""`limbwright check`: does the suit do what is wanted of it?"""

from typing import Annotated

import typer

from limbwright.interfaces.cli.options import JsonOption, OutOption, SuitArgument, out_folder, suit_file


def check(
    suit: SuitArgument,
    as_json: JsonOption = False,
    out: OutOption = None,
    step: Annotated[
        float | None,
        typer.Option(metavar="DEG", min=0.5, max=30.0, help="Step of the sweep, in place of the suit's own."),
    ] = None,
    picture: Annotated[
        bool, typer.Option("--picture/--no-picture", help="Draw the suit in its poses.")
    ] = True,
) -> None:
    """Check a suit: range, lock-up, matching, effort, mass, and whether they meet its targets."""
    from limbwright.model.suit_file import load_suit

    file = suit_file(suit)
    loaded = load_suit(file)
    folder = out_folder(file, out)
    typer.echo(f"{loaded.name} {folder} {as_json} {step} {picture}")
