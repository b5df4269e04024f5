"""A bar on the terminal while a person waits; nothing at all where no person looks."""

import sys
import time
from collections.abc import Callable, Generator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

import typer

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

PATIENCE: Final = 0.5  # [s] before a bar appears


class _Bar:
    """Appears once the work has taken longer than `PATIENCE`."""

    def __init__(self, words: str) -> None:
        self._words = words
        self._started = time.monotonic()
        self._shown: tuple[Progress, TaskID] | None = None

    def __call__(self, done: int, whole: int) -> None:
        if self._shown is None:
            if time.monotonic() - self._started < PATIENCE:
                return
            self._shown = self._open()
        bar, task = self._shown
        bar.update(task, completed=done, total=whole)

    def close(self) -> None:
        if self._shown is not None:
            self._shown[0].stop()

    def _open(self) -> "tuple[Progress, TaskID]":
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

        bar = Progress(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            console=Console(stderr=True),
            transient=True,
        )
        bar.start()
        return bar, bar.add_task(self._words)


@contextmanager
def progress_bar(words: str) -> Generator[Callable[[int, int], None] | None]:
    """A callback (done, whole) that draws a bar on stderr; None where stderr is no terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    bar = _Bar(words)
    try:
        yield bar
    finally:
        bar.close()


def warn_when_cold() -> None:
    """Say so when this user's first run has to compile the kernels."""
    from limbwright.engine.compiled import is_cold

    if is_cold():
        typer.echo(
            "First run here: compiling the numeric kernels, up to a minute. Later runs start at once.",
            err=True,
        )
