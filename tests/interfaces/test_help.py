"""Help comes at once and says what a builder needs; the program is the same by both names."""

import json
import subprocess
import sys
from collections.abc import Callable
from importlib.metadata import entry_points, version
from typing import Any

import pytest
from typer.main import get_command

from limbwright.interfaces.cli.main import app

VERBS = ("new", "fit", "check", "sheets", "schema")
HEAVY = {"numpy", "numba", "scipy", "reportlab", "ezdxf", "ruamel", "rich", "PIL", "svgelements"}


@pytest.mark.parametrize("args", [["--help"], ["--version"], *([verb, "--help"] for verb in VERBS)])
def test_help_loads_nothing_heavy(args: list[str]) -> None:
    code = (
        "import json, sys\n"
        "from limbwright.interfaces.cli.main import app\n"
        "try:\n"
        f"    app({args!r})\n"
        "finally:\n"
        "    print(json.dumps(sorted({m.partition('.')[0] for m in sys.modules})), file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0
    assert done.stdout
    loaded = set(json.loads(done.stderr.splitlines()[-1]))
    # typer reads a verb's options with pydantic; without a verb even that stays out
    assert loaded & (HEAVY | (set() if args[0] in VERBS else {"pydantic"})) == set()


def test_every_verb_is_listed(run: Callable[..., Any]) -> None:
    told = run("--help").stdout
    assert list(getattr(get_command(app), "commands", {})) == list(VERBS)
    for verb in VERBS:
        assert f"\n  {verb} " in told


@pytest.mark.parametrize("verb", VERBS)
def test_every_option_is_explained(run: Callable[..., Any], verb: str) -> None:
    command = getattr(get_command(app), "commands", {})[verb]
    assert command.help
    told = " ".join(run(verb, "--help").stdout.split())
    for parameter in command.params:
        assert parameter.help, parameter.name
        assert " ".join(parameter.help.split()) in told


def test_exit_codes_are_told(run: Callable[..., Any]) -> None:
    told = " ".join(run("--help").stdout.split())
    assert "Ends with 0 when everything holds, 1 when something falls short, 3 when" in told


def test_version_is_the_distribution_s(run: Callable[..., Any]) -> None:
    assert run("--version").stdout == f"limbwright {version('limbwright')}\n"


def test_both_names_start_the_same_program() -> None:
    (script,) = [e for e in entry_points(group="console_scripts") if e.name == "limbwright"]
    assert script.load() is app
    done = subprocess.run(
        [sys.executable, "-m", "limbwright", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"limbwright {version('limbwright')}\n"
