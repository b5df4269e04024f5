"""The `limbwright` command: one verb for each thing a builder wants to know or have."""

from typing import Annotated

import typer

from limbwright.interfaces.cli.check import check
from limbwright.interfaces.cli.door import Door
from limbwright.interfaces.cli.fit import fit
from limbwright.interfaces.cli.new import new
from limbwright.interfaces.cli.schema import schema
from limbwright.interfaces.cli.sheets import sheets

ENDING = (
    "Ends with 0 when everything holds, 1 when something falls short, 3 when something is unknown, "
    "and 2 for bad input."
)

app = typer.Typer(
    name="limbwright",
    cls=Door,
    help=(
        "Works out the arms of a giant wearable creature suit before anything is cut: how far they move, "
        "where they lock up, what they cost to hold, and full-scale plots for the shop."
    ),
    epilog=ENDING,
    no_args_is_help=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


def _show_version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        typer.echo(f"limbwright {version('limbwright')}")
        raise typer.Exit


@app.callback()
def start(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version and end."),
    ] = False,
) -> None:
    """Options before the verb."""


for verb in (new, fit, check, sheets, schema):
    app.command()(verb)
