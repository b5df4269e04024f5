"""Starting a project folder: from a demo suit, or from what a builder can answer with a tape."""

from importlib.resources import files
from pathlib import Path

from limbwright.core.errors import LimbwrightError
from limbwright.model.suit_file import SUIT_FILE, load_suit
from limbwright.model.tape_start import TapeAnswers, suit_text

_KEPT = (".yaml", ".svg", ".md")


def demos() -> tuple[str, ...]:
    """Names of the demo suits that come with the program."""
    folder = _demo_folder()
    return tuple(sorted(p.name for p in folder.iterdir() if (p / SUIT_FILE).is_file()))


def start_from_demo(demo: str, folder: Path | str) -> Path:
    """Copy a demo suit into a folder and return its suit file.

    Raises:
        LimbwrightError: no demo of that name, the folder already holds a suit, or it cannot be
            written.
    """
    if demo not in demos():
        raise LimbwrightError(f"there is no demo suit '{demo}'; there is {', '.join(demos())}")
    contents = {
        source.name: source.read_bytes()
        for source in sorted((_demo_folder() / demo).iterdir())
        if source.is_file() and source.suffix in _KEPT
    }
    return _fill(Path(folder), contents)


def start_from_tape(answers: TapeAnswers, folder: Path | str) -> Path:
    """Write a first suit of a builder's own into a folder and return its suit file.

    Raises:
        LimbwrightError: the answers leave no room for an arm, the folder already holds a suit, or it
            cannot be written.
    """
    return _fill(Path(folder), {SUIT_FILE: suit_text(answers).encode("utf-8")})


def _demo_folder() -> Path:
    """Inside the installed package, or in the source tree's `examples`, the demos' one home."""
    packed = Path(str(files("limbwright"))) / "demos"
    return packed if packed.is_dir() else Path(__file__).resolve().parents[3] / "examples"


def _fill(folder: Path, contents: dict[str, bytes]) -> Path:
    """Write files that are not there yet; the suit file last, so that it is there when all is."""
    taken = [name for name in contents if (folder / name).exists()]
    if taken:
        raise LimbwrightError(f"'{folder}' already holds {', '.join(taken)}; choose another folder")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name in sorted(contents, key=lambda n: n == SUIT_FILE):
            with (folder / name).open("xb") as stream:
                stream.write(contents[name])
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise LimbwrightError(f"'{folder}' cannot be written: {reason}; choose another folder") from None
    suit = folder / SUIT_FILE
    load_suit(suit)
    return suit
