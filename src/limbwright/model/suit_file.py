"""First reading of a suit file."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, cast

from pydantic import ValidationError
from ruamel.yaml import YAML
from ruamel.yaml.nodes import MappingNode, Node, SequenceNode

from limbwright.core.errors import SuitError
from limbwright.model.suit import Suit


def load_suit(path: Path | str) -> Suit:
    """Read a suit file; raises SuitError."""
    file = Path(path)
    node = cast(Node, YAML(typ="safe", pure=True).compose(file.read_text(encoding="utf-8")))  # pyright: ignore
    lines: dict[str, int] = {}
    data = _plain(node, "", lines)
    try:
        suit = Suit.model_validate(data)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        field = ".".join(str(p) for p in first["loc"])
        raise SuitError(file, lines.get(field), field, first["msg"], "see the docs") from None
    return suit.place(file, lines)


def _plain(node: Node, field: str, lines: dict[str, int]) -> Any:
    lines.setdefault(field, node.start_mark.line + 1)
    prefix = f"{field}." if field else ""
    if isinstance(node, MappingNode):
        found: dict[str, Any] = {}
        for key, value in cast(Sequence[tuple[Any, Node]], node.value):
            lines[f"{prefix}{key.value}"] = key.start_mark.line + 1
            found[key.value] = _plain(value, f"{prefix}{key.value}", lines)
        return found
    if isinstance(node, SequenceNode):
        return [_plain(v, f"{prefix}{i}", lines) for i, v in enumerate(cast(Sequence[Node], node.value))]
    return node.value
