"""`limbwright check`: does the suit do what is wanted of it?"""

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from limbwright.interfaces.cli.door import CODES
from limbwright.interfaces.cli.options import JsonOption, OutOption, SuitArgument, out_folder, suit_file

if TYPE_CHECKING:
    from limbwright.analyses.assess import Assessment
    from limbwright.model.suit import Suit


def check(
    suit: SuitArgument,
    as_json: JsonOption = False,
    out: OutOption = None,
    step: Annotated[
        float | None,
        typer.Option(metavar="DEG", min=1.0, max=30.0, help="Step of the sweep, instead of the suit's own."),
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Print every row, with what it rests on and where it comes from.")
    ] = False,
    picture: Annotated[
        bool, typer.Option("--picture/--no-picture", help="Draw the worst and the named poses.")
    ] = True,
) -> None:
    """Check a suit: how far its arms move, where they lock up, what they cost to hold, what it weighs.

    Prints the findings with their limits, and a verdict: holds, falls short, or unknown.
    """
    from limbwright.model.suit_file import load_suit

    loaded = load_suit(suit_file(suit))
    if step is not None:
        loaded = _with_step(loaded, math.radians(step))
    files, found = _assess(loaded, out, picture)
    if as_json:
        typer.echo(_as_json(found, files))
    else:
        _print(found, files, every)
    raise typer.Exit(CODES[found.verdict])


def _assess(suit: "Suit", out: Path | None, picture: bool) -> "tuple[list[Path], Assessment]":
    """Everything that takes time; what can be wrong with the drawings is found before it."""
    from limbwright.analyses.assess import assess
    from limbwright.interfaces.cli.progress import progress_bar, warn_when_cold
    from limbwright.outputs.suit_pictures import read_outlines, write_pictures

    outlines = read_outlines(suit) if picture else None
    folder = out_folder(suit.path, out) if picture else None
    warn_when_cold()
    with progress_bar("poses") as progress:
        found = assess(suit, progress=progress)
    if outlines is None or folder is None:
        return [], found
    return write_pictures(found, outlines, folder), found


def _with_step(suit: "Suit", step: float) -> "Suit":
    from limbwright.model.suit import Sweep

    return suit.model_copy(update={"sweep": Sweep(swing=step, elevation=step, elbow=step)})


def _print(found: "Assessment", files: list[Path], every: bool) -> None:
    from limbwright.interfaces.cli.terminal import files_made, listed, reader_style, say
    from limbwright.outputs.cautions import CHECK_CAUTIONS
    from limbwright.outputs.findings_table import table_lines, unit_line, verdict_lines

    suit = found.suit
    style = reader_style(suit.show, every=every)
    worn = f"worn by {suit.performer.active}"
    say(
        [
            f"{suit.name}, revision {suit.revision}, {worn}; units {unit_line(suit.show)}",
            "",
            *table_lines(found.findings, style),
            "",
            *verdict_lines(found.findings, found.verdict, style),
            "",
            f"{found.poses_solved:,} poses swept; run {found.run_id}",
            *listed("Notes", found.notes, style),
            *listed("Cautions", CHECK_CAUTIONS, style),
            *files_made(files),
        ]
    )


def _as_json(found: "Assessment", files: list[Path]) -> str:
    from limbwright.outputs.cautions import CHECK_CAUTIONS
    from limbwright.outputs.findings_json import answer_json

    sweep = found.suit.sweep
    return answer_json(
        "check",
        found.suit,
        verdict=found.verdict,
        findings=found.findings,
        notes=found.notes,
        cautions=CHECK_CAUTIONS,
        files=files,
        more={
            "run": found.run_id,
            "poses_solved": found.poses_solved,
            "step": {axis: math.degrees(getattr(sweep, axis)) for axis in ("swing", "elevation", "elbow")},
            "poses": [
                {
                    "name": pose.name,
                    "limb": result.arm.limb,
                    "side": result.arm.side,
                    **dict(zip(("swing", "elevation", "elbow"), map(math.degrees, pose.drive), strict=True)),
                    "lock_margin": math.degrees(pose.margin),
                    "nearest_stage": pose.stage,
                    "obstacle": pose.obstacle,
                }
                for result in found.arms
                for pose in result.named
            ],
        },
    )
