"""From the model's validation errors to one line each: what is wrong, what would be right."""

import difflib
from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple, Union, cast, get_args, get_origin

from pydantic import BaseModel, ValidationError

from limbwright.model.suit import Suit
from limbwright.model.yaml_text import Path_, dotted

_MISSING = "is missing"
_UNKNOWN_KEY = "unknown key"


class Told(NamedTuple):
    """One thing wrong, at a field's path."""

    path: Path_
    problem: str
    remedy: str


def tell(error: ValidationError) -> list[Told]:
    """Every error in words, in the model's order."""
    all_told = [_tell(cast(Mapping[str, Any], one)) for one in error.errors(include_url=False)]
    meant = {(*t.path[:-1], _meant(t.path)) for t in all_told if t.problem.startswith(_UNKNOWN_KEY)}
    return [t for t in all_told if t.problem != _MISSING or t.path not in meant]


def _tell(one: Mapping[str, Any]) -> Told:
    kind, context = str(one["type"]), cast(Mapping[str, Any], one.get("ctx", {}))
    path = tuple(step for step in cast(Path_, one["loc"]) if step != "[key]")
    if kind == "missing":
        return _missing(path)
    if kind == "extra_forbidden":
        return _unknown_key(path)
    if kind == "literal_error":
        return _not_listed(path, one)
    written = one.get("input")
    if kind == "said":
        problem, remedy = str(context["problem"]), str(context["remedy"])
        return Told(path, "is left empty" if written is None else problem, remedy)
    if kind == "string_pattern_mismatch":
        return Told(path, f"'{written}' is no name", "use letters, digits, spaces, - _ '")
    if kind in ("too_short", "too_long"):
        return Told(path, *_wrong_count(context, kind))
    if written is None:
        return Told(path, "is left empty", f"fill it in or take `{path[-1]}:` out")
    return Told(path, *_wrong_shape(path, kind, str(one["msg"])))


def _missing(path: Path_) -> Told:
    last, parent = path[-1], dotted(path[:-1]) or "the suit"
    if isinstance(last, int):
        return Told(path[:-1], f"has only {_entries(last)}", "write all of them, as in the example")
    return Told(path, _MISSING, f"add `{last}:` to {parent}")


def _unknown_key(path: Path_) -> Told:
    meant = _meant(path)
    known = ", ".join(known_keys(path[:-1]))
    remedy = f"did you mean '{meant}'?" if meant else f"known here: {known}"
    return Told(path, f"{_UNKNOWN_KEY} '{path[-1]}'", remedy)


def _meant(path: Path_) -> str | None:
    """The key that an unknown one was probably meant to be."""
    near = difflib.get_close_matches(str(path[-1]), known_keys(path[:-1]), n=1)
    return near[0] if near else None


def _not_listed(path: Path_, one: Mapping[str, Any]) -> Told:
    written = str(one.get("input"))
    expected = str(cast(Mapping[str, Any], one["ctx"])["expected"])
    known = [word.strip("'") for word in expected.replace(" or ", ", ").split(", ")]
    near = difflib.get_close_matches(written, known, n=1)
    remedy = f"did you mean '{near[0]}'?" if near else f"use one of {', '.join(known)}"
    if one.get("input") is None:
        return Told(path, "is left empty", f"use one of {', '.join(known)}")
    return Told(path, f"'{written}' is not known", remedy)


def _wrong_count(context: Mapping[str, Any], kind: str) -> tuple[str, str]:
    has = int(context["actual_length"])
    wanted = int(context["min_length"] if kind == "too_short" else context["max_length"])
    few = kind == "too_short"
    return f"has {_entries(has)}", f"write {'at least' if few else 'no more than'} {wanted}"


def _entries(count: int) -> str:
    return f"{count} {'entry' if count == 1 else 'entries'}"


def _wrong_shape(path: Path_, kind: str, message: str) -> tuple[str, str]:
    if kind in ("model_type", "model_attributes_type", "dict_type", "mapping_type"):
        known = known_keys(path)
        fields = f" with {', '.join(known)}" if known else ""
        return "is not a block of fields", f"write a block{fields}"
    if kind in ("tuple_type", "list_type"):
        return "is not a list", "write [a, b, ...] or one item a line after '- '"
    if kind in ("string_type", "dict_attributes_type"):
        return "is not a text", "write a few words"
    return message[:1].lower() + message[1:], "see the example suit"


def known_keys(path: Path_) -> tuple[str, ...]:
    """Keys that may be written in the block at a path of the suit; empty for free names."""
    at: Any = Suit
    for step in path:
        at = _step(at, step)
    model = _model(at)
    if model is not None:
        return tuple(info.alias or name for name, info in model.model_fields.items())
    if get_origin(at) is not None and issubclass(cast(type, get_origin(at)), Mapping):
        key = get_args(at)[0]
        return tuple(str(word) for word in get_args(key)) if get_origin(key) is Literal else ()
    return ()


def _step(at: Any, step: str | int) -> Any:
    model = _model(at)
    if model is not None:
        for name, info in model.model_fields.items():
            if step in (name, info.alias):
                return info.annotation
        return None
    arguments = get_args(at)
    origin = get_origin(at)
    if isinstance(origin, type) and issubclass(origin, Mapping | Sequence) and arguments:
        return arguments[1] if issubclass(origin, Mapping) else arguments[0]
    return None


def _model(at: Any) -> type[BaseModel] | None:
    """The model in an annotation, through `X | None`."""
    if isinstance(at, type) and issubclass(at, BaseModel):
        return at
    if get_origin(at) in (Union, type(int | str)):
        for choice in get_args(at):
            found = _model(choice)
            if found is not None:
                return found
    return None
