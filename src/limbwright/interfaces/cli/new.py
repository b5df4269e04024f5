"""`limbwright new`: a project folder from a demo suit, or from what a tape can answer."""

import sys
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from limbwright.core.unit_table import Dimension
from limbwright.interfaces.cli.options import JsonOption

if TYPE_CHECKING:
    from limbwright.model.tape_start import TapeAnswers

# What must be answered: option, question, dimension of the answer.
_TAPE: Final[Mapping[str, tuple[str, Dimension]]] = {
    "stature": ("Performer's height, barefoot (such as 1730 mm, or 5'8\")", "length"),
    "mass": ("Performer's body mass (such as 68 kg, or 150 lb)", "mass"),
    "height": ("Height of the character (such as 3100 mm, or 10')", "length"),
    "stilts": ("Height of the stilts; 0 mm for none", "length"),
}
_CHOICES: Final[Mapping[str, tuple[str, tuple[str, ...]]]] = {
    "sex": ("Which survey fills the gaps", ("female", "male", "pooled")),
    "show": ("Show lengths in", ("mm", "in", "frac-in")),
}


def new(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Folder of the new project; made when missing.")
    ],
    demo: Annotated[
        str | None, typer.Option("--from", metavar="DEMO", help="Copy a demo suit, such as orchard-warden.")
    ] = None,
    ask: Annotated[bool, typer.Option("--ask", help="Ask for what a tape can answer.")] = False,
    name: Annotated[
        str | None, typer.Option(metavar="WORDS", help="Name of the suit.  [default: the folder's]")
    ] = None,
    performer: Annotated[str | None, typer.Option(metavar="WORDS", help="Who wears it.")] = None,
    sex: Annotated[
        str | None,
        typer.Option(
            metavar="SEX", help="Survey for what is not measured: female, male or pooled.  [default: pooled]"
        ),
    ] = None,
    stature: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Performer's height, barefoot, such as 1730mm.")
    ] = None,
    mass: Annotated[
        str | None, typer.Option(metavar="MASS", help="Performer's body mass, such as 68kg.")
    ] = None,
    height: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Height of the character, such as 3100mm.")
    ] = None,
    stilts: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Height of the stilts; none when left out.")
    ] = None,
    show: Annotated[
        str | None, typer.Option(metavar="UNITS", help="Show lengths in mm, in or frac-in.")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Start a project: copy a demo suit, answer questions, or give the measures as options.

    Never overwrites anything. Without options it asks, where somebody is there to answer.
    """
    given = {
        "name": name, "performer": performer, "sex": sex, "stature": stature, "mass": mass,
        "height": height, "stilts": stilts, "show": show,
    }  # fmt: skip
    answers = {key: value for key, value in given.items() if value is not None}
    if demo is not None and (answers or ask):
        raise typer.BadParameter("goes alone; give a demo suit or your own measures", param_hint="--from")
    before = _files(folder)
    file = _from_demo(folder, demo) if demo is not None else _from_tape(folder, answers, ask)
    _answer(file, [path for path in _files(folder) if path not in before], as_json)


def _files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if path.is_file()) if folder.is_dir() else []


def _from_demo(folder: Path, demo: str) -> Path:
    from limbwright.model.project import start_from_demo

    return start_from_demo(demo, folder)


def _from_tape(folder: Path, answers: dict[str, str], ask: bool) -> Path:
    from limbwright.model.project import demos, start_from_tape

    needed = [key for key in ("stature", "mass", "height") if key not in answers]
    if needed and not ask and not sys.stdin.isatty():
        options = ", ".join(f"--{key}" for key in needed)
        raise typer.BadParameter(
            f"nothing to start from; give {options}, or --from {demos()[0]}, or --ask", param_hint="FOLDER"
        )
    if ask or needed:
        _refuse_taken(folder)
        answers = {**answers, **_asked(folder, answers)}
    return start_from_tape(_read(folder, answers), folder)


def _refuse_taken(folder: Path) -> None:
    """Before anybody answers questions for nothing."""
    if (folder / "suit.yaml").exists():
        raise typer.BadParameter(
            f"'{folder}' already holds a suit.yaml; choose another folder", param_hint="FOLDER"
        )


def _asked(folder: Path, answers: Mapping[str, str]) -> dict[str, str]:
    """Answers to what is not given yet, each asked until it can be read."""
    told: dict[str, str] = {}
    usual = {"name": _title(folder), "performer": "First", "sex": "pooled", "stilts": "0 mm", "show": "mm"}

    def question(key: str, words: str, check: Callable[[str], str | None]) -> None:
        while key not in answers and key not in told:
            default = usual.get(key, "")
            # the question goes to stderr, so that the answer on stdout stays clean
            typer.echo(f"{words} [{default}]: " if default else f"{words}: ", err=True, nl=False)
            reply = input().strip() or default
            problem = check(reply)
            if problem is None:
                told[key] = reply
            else:
                typer.echo(f"  {problem}", err=True)

    question("name", "Name of the suit", lambda reply: None if reply else "it needs a name")
    question("performer", "Who wears it", lambda reply: None if reply else "a first name will do")
    for key, (words, dimension) in _TAPE.items():
        question(key, words, partial(_amount_problem, dimension))
    for key, (words, choices) in _CHOICES.items():
        question(key, f"{words} ({', '.join(choices)})", partial(_choice_problem, choices))
    return told


def _choice_problem(choices: tuple[str, ...], reply: str) -> str | None:
    return None if reply in choices else f"one of {', '.join(choices)}"


def _amount_problem(dimension: Dimension, reply: str) -> str | None:
    from limbwright.core.units import UnitError, parse

    try:
        parse(reply, dimension)
    except UnitError as error:
        return str(error)
    return None


def _read(folder: Path, answers: Mapping[str, str]) -> "TapeAnswers":
    """The answers in the model's words."""
    from typing import Any

    from limbwright.model.tape_start import TapeAnswers

    for key, (_, choices) in _CHOICES.items():
        if key in answers and answers[key] not in choices:
            raise typer.BadParameter(
                f"'{answers[key]}' is not known; use {', '.join(choices)}", param_hint=f"--{key}"
            )
    more: dict[str, Any] = {
        key: answers[key] for key in ("performer", "sex", "stilts", "show") if key in answers
    }
    return TapeAnswers(
        name=answers.get("name", _title(folder)),
        stature=answers["stature"],
        body_mass=answers["mass"],
        character_height=answers["height"],
        **more,
    )


def _title(folder: Path) -> str:
    """The folder's name as a title."""
    return folder.resolve().name.replace("-", " ").replace("_", " ").strip().title() or "New Suit"


def _answer(file: Path, files: list[Path], as_json: bool) -> None:
    from limbwright.interfaces.cli.terminal import files_made, say

    if as_json:
        from limbwright.model.suit_file import load_suit
        from limbwright.outputs.findings_json import answer_json

        typer.echo(answer_json("new", load_suit(file), files=files))
        return
    say([f"A new project in {file.parent}", *files_made(files), "", f"Next: limbwright check {file}"])
