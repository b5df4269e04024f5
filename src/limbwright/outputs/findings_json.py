"""The one object that every verb prints with `--json`, and its published schema.

Numbers are in mm, deg, kg, N m and %, whatever the suit shows to people; the same input gives the
same bytes.
"""

import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from limbwright import __version__
from limbwright.core.estimate import BASES
from limbwright.core.finding import SEVERITY, Finding
from limbwright.model.suit import Suit

DIGITS: Final = 10  # significant; solved values are good to about this many
VERBS: Final = ("check", "sheets", "fit", "new")


def answer_json(
    verb: str,
    suit: Suit | None,
    *,
    verdict: str | None = None,
    findings: Sequence[Finding] = (),
    notes: Sequence[str] = (),
    cautions: Sequence[str] = (),
    files: Sequence[Path] = (),
    more: Mapping[str, object] | None = None,
) -> str:
    """The object as text, keys in the published order.

    Args:
        verb: which verb answers.
        suit: the suit it is about; None where there is none yet.
        verdict: of the whole; None for verbs that do not judge.
        findings: each as `Finding.as_dict`.
        notes: remarks for a person.
        cautions: what must go with the numbers.
        files: files made, in order.
        more: what only this verb says.
    """
    answer: dict[str, object] = {
        "limbwright": __version__,
        "verb": verb,
        "suit": None if suit is None else _suit(suit),
        "verdict": verdict,
        "findings": [finding.as_dict() for finding in findings],
        "notes": list(notes),
        "cautions": list(cautions),
        "files": [path.as_posix() for path in files],
        **(more or {}),
    }
    return json.dumps(rounded(answer), indent=2, allow_nan=False)


def rounded(value: Any) -> Any:
    """Plain data with floats cut to `DIGITS` significant digits; what is not finite becomes null."""
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}") + 0.0 if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(k): rounded(v) for k, v in value.items()}  # pyright: ignore[reportUnknownVariableType, reportUnknownArgumentType]
    if isinstance(value, list | tuple):
        return [rounded(v) for v in value]  # pyright: ignore[reportUnknownVariableType]
    return value


def _suit(suit: Suit) -> dict[str, object]:
    return {
        "name": suit.name,
        "revision": suit.revision,
        "file": suit.path.as_posix(),
        "performer": suit.performer.active,
    }


def findings_schema() -> dict[str, Any]:
    """JSON Schema of what `--json` prints."""
    text: dict[str, Any] = {"type": "string"}
    texts = {"type": "array", "items": text}
    verdict = {"enum": [*SEVERITY, None]}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "What a limbwright verb answers with --json",
        "type": "object",
        "required": [
            "limbwright", "verb", "suit", "verdict", "findings", "notes", "cautions", "files",
        ],
        "additionalProperties": False,
        "properties": {
            "limbwright": {**text, "description": "version of the program"},
            "verb": {"enum": list(VERBS)},
            "suit": {"anyOf": [_suit_schema(), {"type": "null"}]},
            "verdict": {**verdict, "description": "the worst of the findings; null where nothing is judged"},
            "findings": {"type": "array", "items": _finding_schema()},
            "notes": {**texts, "description": "remarks for a person"},
            "cautions": {**texts, "description": "to be shown wherever the numbers are shown"},
            "files": {**texts, "description": "files made, in order"},
            "run": {**text, "description": "check: changes with the suit file and the version"},
            "poses_solved": {"type": "integer", "minimum": 0, "description": "check: all arms together"},
            "step": {
                **_object({axis: {"type": "number"} for axis in ("swing", "elevation", "elbow")}),
                "description": "check: steps of the sweep [deg]",
            },
            "poses": {"type": "array", "items": _pose_schema(), "description": "check: the named poses"},
            "proposals": {"type": "array", "items": _proposal_schema(), "description": "fit"},
            "kept": {"type": "array", "items": _kept_schema(), "description": "fit: values that stand"},
            "unmet": {**texts, "description": "fit: what cannot all be met, and why"},
            "written": {"type": "boolean", "description": "fit: whether the suit file was changed"},
        },
    }  # fmt: skip


def _object(properties: Mapping[str, Any], optional: Sequence[str] = ()) -> dict[str, Any]:
    return {
        "type": "object",
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
        "properties": dict(properties),
    }


def _suit_schema() -> dict[str, Any]:
    return _object({name: {"type": "string"} for name in ("name", "revision", "file", "performer")})


def _finding_schema() -> dict[str, Any]:
    number, text = {"type": ["number", "null"]}, {"type": "string"}
    pair = {"type": ["array", "null"], "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
    return _object(
        {
            "key": {**text, "description": "stable name: limb, side where the sides differ, and what"},
            "name": {**text, "description": "the same for a person"},
            "value": {**number, "description": "in `unit`; null when it could not be found"},
            "unit": {**text, "description": "mm, deg, kg, N m, %, poses, or empty for a bare number"},
            "band": {**pair, "description": "least and greatest credible value; null: no estimate"},
            "limit": number,
            "limit_kind": {"enum": ["at least", "at most", None]},
            "margin": {**number, "description": "distance to the limit, positive on the good side"},
            "verdict": {"enum": [*SEVERITY, None], "description": "null: for information, no limit"},
            "basis": {"enum": list(BASES), "description": "of the weakest input"},
            "weakest_input": text,
            "where": {**text, "description": "the pose or part it belongs to"},
            "source": {**text, "description": "the formula or table behind it"},
        }
    )


def _pose_schema() -> dict[str, Any]:
    number = {"type": ["number", "null"]}
    return _object(
        {
            "name": {"type": "string"},
            "limb": {"type": "string"},
            "side": {"enum": ["right", "left"]},
            "swing": {**number, "description": "[deg]"},
            "elevation": {**number, "description": "[deg]"},
            "elbow": {**number, "description": "[deg]"},
            "lock_margin": {**number, "description": "[deg]; null where it cannot be taken up"},
            "nearest_stage": {"type": "string", "description": "which stage locks first"},
            "obstacle": {"type": "string", "description": "why it cannot be taken up; empty where it can"},
        }
    )


def _proposal_schema() -> dict[str, Any]:
    text = {"type": "string"}
    return _object(
        {
            "field": {**text, "description": "dotted path in the suit file"},
            "text": {**text, "description": "the value as it would be written"},
            "was": {"type": ["string", "null"], "description": "null where the file says fit"},
            "reason": text,
            "basis": {"enum": list(BASES)},
        }
    )


def _kept_schema() -> dict[str, Any]:
    text = {"type": "string"}
    return _object(
        {
            "field": {**text, "description": "dotted path in the suit file"},
            "text": {**text, "description": "the value that stands"},
            "would": {**text, "description": "what fit would have chosen"},
            "better": {"type": "boolean", "description": "whether that is better by more than rounding"},
            "reason": text,
        }
    )
