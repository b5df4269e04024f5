"""The suit's file: read it into a model, with the line of whatever is wrong, and write it back."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from limbwright.core.errors import SuitError
from limbwright.model.suit import Suit
from limbwright.model.suit_checks import check_suit
from limbwright.model.told import Told, tell
from limbwright.model.yaml_text import Path_, dotted, lines_of, plain_data, read_text, read_tree

SUIT_FILE = "suit.yaml"


def load_suit(path: Path | str) -> Suit:
    """Read a suit file.

    Raises:
        SuitError: the first thing wrong in the file, with its line; `suit_errors` gives all of them.
    """
    file = Path(path)
    return parse_suit(read_text(file), file)


def parse_suit(text: str, file: Path | str) -> Suit:
    """Read a suit from text; `file` names it in errors, and its folder holds the silhouettes.

    Raises:
        SuitError: the first thing wrong.
    """
    suit, errors = _read(text, Path(file))
    if errors:
        raise errors[0]
    if suit is None:
        raise AssertionError("neither a suit nor an error")
    return suit


def suit_errors(path: Path | str) -> tuple[SuitError, ...]:
    """Everything that is wrong with a suit file, from the top down; empty for a good one."""
    file = Path(path)
    try:
        return tuple(_read(read_text(file), file)[1])
    except SuitError as error:
        return (error,)


def _read(text: str, file: Path) -> tuple[Suit | None, list[SuitError]]:
    tree = read_tree(text, file)
    lines = dict(lines_of(tree))
    try:
        suit = Suit.model_validate(plain_data(tree))
    except ValidationError as error:
        return None, _place(tell(error), lines, file)
    found = [Told(*problem) for problem in check_suit(suit, file.parent)]
    named = {dotted(path): line for path, line in lines.items()}
    return suit.place(file, named), _place(found, lines, file)


def _place(found: list[Told], lines: Mapping[Path_, int], file: Path) -> list[SuitError]:
    placed = [
        (_line(told.path, lines), SuitError(file, _line(told.path, lines), dotted(told.path), *told[1:]))
        for told in found
    ]
    return [error for _, error in sorted(placed, key=lambda pair: pair[0])]


def _line(path: Path_, lines: Mapping[Path_, int]) -> int:
    """Line of the field, or of the nearest block around one that is not there."""
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path, 1)


def suit_schema() -> dict[str, Any]:
    """JSON Schema of `suit.yaml` for editors.

    Looser than the program where text is concerned: an editor checks keys and shapes, `load_suit`
    the amounts.
    """
    schema = Suit.model_json_schema(by_alias=True, mode="validation")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema, "title": "Limbwright suit"}
