"""All plots of a suit into one folder: whole or not at all."""

import re
import shutil
import tempfile
import unicodedata
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final, Literal

from limbwright.core.errors import LimbwrightError
from limbwright.outputs.drawing import Drawing
from limbwright.outputs.paper import SINGLE, find_paper
from limbwright.outputs.title_block import SheetInfo

Format = Literal["pdf", "dxf", "dxf-r12", "svg"]
FORMATS: Final[tuple[Format, ...]] = ("pdf", "dxf", "dxf-r12", "svg")
LIST: Final = "sheets.txt"
Progress = Callable[[int, int, str], None]


class SheetsError(LimbwrightError):
    """Plots that cannot be written."""


def write_sheets(
    drawings: Sequence[Drawing],
    folder: Path,
    info: SheetInfo,
    papers: Sequence[str] = (SINGLE, "A4"),
    formats: Sequence[Format] = ("pdf", "dxf", "svg"),
    measured: float | None = None,
    progress: Progress | None = None,
) -> list[Path]:
    """Write every drawing in every format, and a test print for each paper.

    Everything is made in a folder of its own first and then moved into place; when anything fails, or
    `progress` raises to cancel, the folder stays as it was. Files of an earlier run that are no longer
    made (a part that was dropped) are removed; other files in the folder are left alone.

    Args:
        drawings: what to write.
        folder: made when it is missing.
        info: the suit's facts.
        papers: for PDF: `single`, `A4`, `A3`, `Letter`, `Tabloid`, `roll 914 mm` ...
        formats: `pdf`, `dxf`, `dxf-r12`, `svg`.
        measured: what the 100 mm bar measured when printed, for compensated PDFs [m].
        progress: called as (files done, files in all, file) after each file; may raise to cancel.

    Returns:
        The files, and last `sheets.txt`, which lists them.

    Raises:
        LimbwrightError: unknown paper or format, a measured length that makes no sense, nothing to
            draw, or a folder that cannot be written.
    """
    tasks = _tasks(drawings, info, papers, formats, measured)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".sheets-", dir=folder) as scratch:
            for done, (name, make) in enumerate(tasks, start=1):
                target = Path(scratch) / name
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(make())
                if progress is not None:
                    progress(done, len(tasks), name)
            names = [name for name, _ in tasks]
            (Path(scratch) / LIST).write_text("".join(f"{n}\n" for n in names), encoding="utf-8")
            return _move_in(Path(scratch), folder, [*names, LIST])
    except OSError as error:
        raise SheetsError(f"{folder}: {error.strerror or error}; use a folder that can be written") from None


def _tasks(
    drawings: Sequence[Drawing],
    info: SheetInfo,
    papers: Sequence[str],
    formats: Sequence[Format],
    measured: float | None,
) -> list[tuple[str, Callable[[], bytes]]]:
    """Every file to make: its name below the folder, and what makes it."""
    from limbwright.outputs.sheet_dxf import dxf_sheet
    from limbwright.outputs.sheet_pdf import pdf_sheets, pdf_test_print, scale_for
    from limbwright.outputs.sheet_svg import svg_sheet

    unknown = [f for f in formats if f not in FORMATS]
    if unknown or not drawings:
        problem = f"no format '{unknown[0]}'; use {', '.join(FORMATS)}" if unknown else "nothing to draw"
        raise SheetsError(problem)
    scale_for(measured)
    slugs = {SINGLE: SINGLE} | {name: find_paper(name).slug for name in papers if name != SINGLE}
    mark = "" if measured is None else f"-compensated-{measured * 1e3:.6g}mm"
    tasks: list[tuple[str, Callable[[], bytes]]] = []
    if "pdf" in formats:
        for paper in dict.fromkeys(papers):
            sheet = "A4" if paper == SINGLE else slugs[paper]
            name = f"pdf-{slugs[paper]}/0-test-print-{sheet}{mark}.pdf"
            tasks.append((name, lambda paper=paper: pdf_test_print(paper, measured)))
    for drawing, stem in zip(drawings, file_stems([d.name for d in drawings]), strict=True):
        if "pdf" in formats:
            for paper in dict.fromkeys(papers):
                name = f"pdf-{slugs[paper]}/{stem}-{slugs[paper]}{mark}.pdf"
                tasks.append((name, lambda d=drawing, paper=paper: pdf_sheets(d, info, paper, measured)))
        if "dxf" in formats:
            tasks.append((f"dxf/{stem}-mm.dxf", lambda d=drawing: dxf_sheet(d, info)))
        if "dxf-r12" in formats:
            tasks.append((f"dxf-r12/{stem}-mm-r12.dxf", lambda d=drawing: dxf_sheet(d, info, "R12")))
        if "svg" in formats:
            tasks.append((f"svg/{stem}-mm.svg", lambda d=drawing: svg_sheet(d, info).encode()))
    return tasks


def file_stems(names: Sequence[str]) -> list[str]:
    """Safe file names: small ascii letters, digits and hyphens, numbered where they would be alike."""
    stems: list[str] = []
    for name in names:
        plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
        stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:80].rstrip("-") or "part"
        if stem in {"con", "prn", "aux", "nul"}:  # names that one common system keeps for itself
            stem += "-part"
        unique, count = stem, 2
        while unique in stems:
            unique, count = f"{stem}-{count}", count + 1
        stems.append(unique)
    return stems


def _move_in(scratch: Path, folder: Path, names: list[str]) -> list[Path]:
    """Move the new files into place, then remove those of the run before that were not made again."""
    before = _listed(folder)
    for name in names:
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.move(scratch / name, target)
    for name in before - set(names):
        (folder / name).unlink(missing_ok=True)
    return [folder / name for name in names]


def _listed(folder: Path) -> set[str]:
    """Files that an earlier run made, from its list; nothing outside the folder."""
    path = folder / LIST
    if not path.is_file():
        return set()
    safe = re.compile(r"(?:pdf-[\w.-]+|dxf|dxf-r12|svg)/[\w.-]+\.(?:pdf|dxf|svg)")
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    return {line for line in lines if safe.fullmatch(line) and ".." not in line}
