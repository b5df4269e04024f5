"""`limbwright schema`: the published shapes of the suit file and of `--json`."""

from enum import StrEnum
from typing import Annotated

import typer


class Shape(StrEnum):
    """What has a schema."""

    SUIT = "suit"
    FINDINGS = "findings"


def schema(
    shape: Annotated[
        Shape, typer.Argument(metavar="suit|findings", help="The suit file, or what --json prints.")
    ],
) -> None:
    """Print a JSON Schema: of suit.yaml, for editors that check while you type, or of --json answers."""
    import json

    if shape is Shape.SUIT:
        from limbwright.model.suit_file import suit_schema

        found = suit_schema()
    else:
        from limbwright.outputs.findings_json import findings_schema

        found = findings_schema()
    typer.echo(json.dumps(found, indent=2))
