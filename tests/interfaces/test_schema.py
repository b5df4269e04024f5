"""The published schemas are schemas, and what is no answer is refused."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest


@pytest.mark.parametrize("shape", ["suit", "findings"])
def test_it_is_a_valid_schema(run: Callable[..., Any], shape: str) -> None:
    """By the meta-schema of JSON Schema 2020-12."""
    result = run("schema", shape)
    assert result.exit_code == 0
    jsonschema.Draft202012Validator.check_schema(json.loads(result.stdout))


CHANGES: list[tuple[dict[str, Any], str]] = [
    ({"verdict": "fine"}, "verdict"),
    ({"findings": [{"name": "a number without its basis", "value": 1.0}]}, "findings"),
    ({"extra": 1}, ""),
    ({"verb": "guess"}, "verb"),
]


def test_the_findings_schema_refuses_what_is_not_an_answer(run: Callable[..., Any], holding: Path) -> None:
    schema = json.loads(run("schema", "findings").stdout)
    told = json.loads(run("check", holding, "--step", "20", "--no-picture", "--json").stdout)
    validator = jsonschema.Draft202012Validator(schema)
    assert validator.is_valid(told)
    for change, path in CHANGES:
        errors = list(validator.iter_errors({**told, **change}))
        assert errors
        assert all((str(e.path[0]) if e.path else "") == path for e in errors)
