"""Puts what the program really prints into the pages: help texts, and the README example's output.

Usage: python scripts/refresh_docs.py
"""

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
COMMANDS = ROOT / "docs" / "commands.md"
WIDTH = 100


def verbs() -> list[str]:
    """Every verb of the command line, in its own order."""
    from typer.main import get_command

    from limbwright.interfaces.cli.main import app

    return list(getattr(get_command(app), "commands", {}))


def help_of(*verb: str) -> str:
    """What `limbwright VERB --help` prints on a plain terminal."""
    from typer.testing import CliRunner

    from limbwright.interfaces.cli.main import app

    plain = {"NO_COLOR": "1", "TERM": "dumb", "COLUMNS": str(WIDTH)}
    result = CliRunner().invoke(
        app, [*verb, "--help"], prog_name="limbwright", env=plain, terminal_width=WIDTH
    )
    if result.exit_code != 0:
        raise SystemExit(f"limbwright {' '.join(verb)} --help ended with {result.exit_code}")
    return "\n".join(line.rstrip() for line in result.output.strip().splitlines())


def command_pages() -> str:
    """One section a verb, after one for the program as a whole."""
    sections = [f"## limbwright\n\n```text\n{help_of()}\n```"]
    sections += [f"## limbwright {verb}\n\n```text\n{help_of(verb)}\n```" for verb in verbs()]
    return "\n\n".join(sections)


def example() -> str:
    """The README's Python example."""
    found = re.search(r"```python\n(.+?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    if not found:
        raise SystemExit("README.md has no Python example")
    return found[1]


def example_output() -> str:
    """What the example prints when run from the top folder."""
    ran = subprocess.run(
        [sys.executable, "-W", "error", "-c", example()],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    if ran.returncode != 0:
        raise SystemExit(ran.stderr)
    return f"```text\n{ran.stdout.rstrip()}\n```"


def with_block(page: str, name: str, body: str) -> str:
    """The page with the text between `<!-- name -->` and `<!-- end name -->` replaced."""
    start, end = f"<!-- {name} -->", f"<!-- end {name} -->"
    before, mark, rest = page.partition(start)
    _, last, after = rest.partition(end)
    if not (mark and last):
        raise SystemExit(f"no block {start} ... {end}")
    return f"{before}{start}\n{body}\n{end}{after}"


def main() -> None:
    for path, name, body in (
        (COMMANDS, "help texts", command_pages()),
        (README, "printed", example_output()),
    ):
        path.write_text(
            with_block(path.read_text(encoding="utf-8"), name, body), encoding="utf-8", newline="\n"
        )


if __name__ == "__main__":
    main()
