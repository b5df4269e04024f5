"""How every verb ends: exit codes, and one line for whatever goes wrong.

0 holds, 1 falls short, 2 bad input, 3 unknown. Ctrl-C is 130 and a closed pipe 141, as shells have
it; 70 is a fault of the program itself.
"""

import io
import os
import sys
from collections.abc import Sequence
from typing import Any, Final

import typer
from typer.core import TyperGroup

from limbwright.core.errors import LimbwrightError

HOLDS: Final = 0
FALLS_SHORT: Final = 1
BAD_INPUT: Final = 2
UNKNOWN: Final = 3
FAULT: Final = 70
INTERRUPTED: Final = 130
PIPE_CLOSED: Final = 141
CODES: Final = {"holds": HOLDS, "falls short": FALLS_SHORT, "unknown": UNKNOWN}
DEBUG: Final = "LIMBWRIGHT_DEBUG"  # when set, faults of the program show where they happened


class Door(TyperGroup):
    """The group of all verbs; nothing leaves it but an exit code and, at worst, one line."""

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        windows_expand_args: bool = True,
        **extra: Any,
    ) -> Any:
        """Run a command line and end the program with its exit code."""
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                # a terminal that lacks a letter gets a question mark, not an error
                stream.reconfigure(errors="replace")
        try:
            code = super().main(args, prog_name, complete_var, False, windows_expand_args, **extra)
        except typer.TyperException as error:
            code = _say(error.format_message(), BAD_INPUT)
        except typer.Abort:
            code = _say("stopped", INTERRUPTED)
        except Exception as error:  # noqa: BLE001  (the last resort: a person must not meet a traceback)
            code = _fault(error)
        if not standalone_mode:
            return code
        sys.exit(code if isinstance(code, int) else HOLDS)

    def invoke(self, ctx: Any) -> Any:
        """Run the verb; what a person can mend becomes one line."""
        try:
            return super().invoke(ctx)
        except LimbwrightError as error:
            raise typer.Exit(_say(str(error), BAD_INPUT)) from None
        except BrokenPipeError:
            # Whoever read our output has gone; Python must not try to flush it again at the end.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise typer.Exit(PIPE_CLOSED) from None
        except OSError as error:
            raise typer.Exit(_say(_file_trouble(error), BAD_INPUT)) from None
        except UnicodeError as error:
            raise typer.Exit(_say(f"a text that is not UTF-8: {error}", BAD_INPUT)) from None
        except KeyboardInterrupt:
            raise typer.Exit(_say("stopped; nothing more is written", INTERRUPTED)) from None


def _say(problem: str, code: int) -> int:
    typer.echo(f"limbwright: {' '.join(problem.split())}", err=True)
    return code


def _file_trouble(error: OSError) -> str:
    named = error.filename2 or error.filename
    reason = error.strerror or str(error)
    return f"{named}: {reason}" if named is not None else reason


def _fault(error: Exception) -> int:
    if os.environ.get(DEBUG):
        raise error
    kind = type(error).__name__
    return _say(
        f"a fault of the program, not of your suit ({kind}: {error}); "
        f"please report it; {DEBUG}=1 shows where it happened",
        FAULT,
    )
