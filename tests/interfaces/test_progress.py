"""The bar: for eyes only, and only when there is something to wait for."""

import io

import pytest

from limbwright.interfaces.cli import progress


class Screen(io.StringIO):
    """A stderr that says it is a terminal."""

    def isatty(self) -> bool:
        return True


class Clock:
    """Time that passes when told to."""

    def __init__(self) -> None:
        self.now = 100.0

    def monotonic(self) -> float:
        return self.now


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr(progress, "time", clock)
    return clock


def test_no_bar_where_nobody_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stderr", io.StringIO())
    with progress.progress_bar("poses") as bar:
        assert bar is None


def test_no_bar_for_short_work(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    screen = Screen()
    monkeypatch.setattr("sys.stderr", screen)
    with progress.progress_bar("poses") as bar:
        assert bar is not None
        clock.now += 0.49
        bar(50, 100)
    assert screen.getvalue() == ""


def test_a_bar_for_long_work_that_is_gone_at_the_end(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> None:
    screen = Screen()
    monkeypatch.setattr("sys.stderr", screen)
    monkeypatch.setenv("TERM", "xterm")
    with progress.progress_bar("poses") as bar:
        assert bar is not None
        clock.now += 0.51
        bar(50, 100)
        bar(100, 100)
    assert "poses" in screen.getvalue()
    assert "100/100" in screen.getvalue()
    assert screen.getvalue().rstrip().endswith("\x1b[2K")  # the last thing is to wipe the line
