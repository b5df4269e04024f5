"""`limbwright sheets`: full-scale plots for the shop."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from limbwright.interfaces.cli.options import JsonOption, OutOption, SuitArgument, out_folder, suit_file

if TYPE_CHECKING:
    from limbwright.model.suit import Suit
    from limbwright.outputs.drawing import Drawing
    from limbwright.outputs.title_block import SheetInfo


def sheets(
    suit: SuitArgument,
    paper: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PAPER",
            help="A4, A3, Letter, Tabloid ..., roll-914mm, or single for one large page; may be repeated.  "
            "[default: single and A4, or Letter for a suit in inches]",
        ),
    ] = None,
    formats: Annotated[
        str, typer.Option("--format", metavar="LIST", help="Any of pdf, dxf, dxf-r12, svg, with commas.")
    ] = "pdf,dxf,svg",
    part: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Only this part, such as 'right carrier'; may be repeated."),
    ] = None,
    pose: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="Pose of the skeleton.  [default: the assembled one]"),
    ] = None,
    measured: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH",
            help="What the printed 100 mm bar measured, such as 98.7mm; the reprint makes up for it.",
        ),
    ] = None,
    date: Annotated[
        str | None, typer.Option(metavar="YYYY-MM-DD", help="Date for the title blocks, or today.")
    ] = None,
    test_print: Annotated[
        bool, typer.Option("--test-print", help="Only the one page that finds a printer's error.")
    ] = False,
    out: OutOption = None,
    as_json: JsonOption = False,
) -> None:
    """Draw every part and the skeleton at full scale: PDF on your paper, DXF in mm, SVG.

    They go to the folder sheets in the out folder, in place of the last run's files.
    """
    from limbwright.model.suit_file import load_suit
    from limbwright.outputs.title_block import SheetInfo

    loaded = load_suit(suit_file(suit))
    papers = _papers(paper, loaded)
    length = _measured(measured)
    info = SheetInfo(loaded.name, loaded.revision, loaded.show, _date(date))
    if test_print:
        drawings: tuple[Drawing, ...] = ()
        files = _write_tests(out_folder(loaded.path, out), papers, length)
    else:
        drawings = _draw(loaded, info, part, pose)
        folder = out_folder(loaded.path, out) / ("part-sheets" if part else "sheets")
        files = _write(drawings, folder, info, papers, formats, length)
    _answer(loaded, drawings, files, as_json)


def _papers(asked: list[str] | None, suit: "Suit") -> list[str]:
    """Papers in the plotter's words: `roll-914mm` is a roll of 914 mm, `one` a single page."""
    from limbwright.outputs.paper import SINGLE, find_paper

    papers = asked or [SINGLE, "A4" if suit.show == "mm" else "Letter"]
    known = [SINGLE if p.strip().lower() in ("one", SINGLE) else p.strip() for p in papers]
    known = [f"roll {p[5:]}" if p.lower().startswith("roll-") else p for p in known]
    return [p if p == SINGLE else find_paper(p).name for p in known]


def _measured(asked: str | None) -> float | None:
    from limbwright.core.units import UnitError, parse
    from limbwright.outputs.sheet_pdf import scale_for

    if asked is None:
        return None
    try:
        length = parse(asked, "length").value
    except UnitError as error:
        raise typer.BadParameter(str(error), param_hint="--measured") from None
    scale_for(length)
    return length


def _date(asked: str | None) -> str | None:
    import datetime as dt

    if asked is None:
        return None
    if asked == "today":
        return dt.datetime.now().astimezone().date().isoformat()
    try:
        return dt.date.fromisoformat(asked).isoformat()
    except ValueError:
        problem = f"'{asked}' is not a date; write it as 2026-09-14, or today"
        raise typer.BadParameter(problem, param_hint="--date") from None


def _draw(suit: "Suit", info: "SheetInfo", part: list[str] | None, pose: str | None) -> "tuple[Drawing, ...]":
    from limbwright.interfaces.cli.progress import warn_when_cold
    from limbwright.outputs.suit_sheets import pick_drawings, suit_drawings

    warn_when_cold()
    return pick_drawings(suit_drawings(suit, info, pose=pose), part or [])


def _write(
    drawings: "tuple[Drawing, ...]",
    folder: Path,
    info: "SheetInfo",
    papers: list[str],
    formats: str,
    measured: float | None,
) -> list[Path]:
    from typing import cast

    from limbwright.interfaces.cli.progress import progress_bar
    from limbwright.outputs.sheets import FORMATS, Format, write_sheets

    wanted = [word.strip().lower() for word in formats.split(",") if word.strip()]
    wrong = [word for word in wanted if word not in FORMATS]
    if wrong or not wanted:
        problem = f"no format '{wrong[0] if wrong else formats}'; use {', '.join(FORMATS)}"
        raise typer.BadParameter(problem, param_hint="--format")
    with progress_bar("files") as bar:
        return write_sheets(
            drawings,
            folder,
            info,
            papers=papers,
            formats=cast(list[Format], list(dict.fromkeys(wanted))),
            measured=measured,
            progress=None if bar is None else lambda done, whole, _name: bar(done, whole),
        )


def _write_tests(folder: Path, papers: list[str], measured: float | None) -> list[Path]:
    """The test print of each paper; a single page is tested on A4."""
    from limbwright.outputs.paper import SINGLE, find_paper
    from limbwright.outputs.sheet_pdf import pdf_test_print

    names = list(dict.fromkeys("A4" if p == SINGLE else p for p in papers))
    files: list[Path] = []
    for name in names:
        file = folder / f"test-print-{find_paper(name).slug}.pdf"
        file.write_bytes(pdf_test_print(name, measured))
        files.append(file)
    return files


def _answer(suit: "Suit", drawings: "tuple[Drawing, ...]", files: list[Path], as_json: bool) -> None:
    from limbwright.interfaces.cli.terminal import listed, reader_style, say
    from limbwright.outputs.cautions import SHEET_CAUTIONS

    if as_json:
        from limbwright.outputs.findings_json import answer_json

        typer.echo(answer_json("sheets", suit, cautions=SHEET_CAUTIONS, files=files))
        return
    style = reader_style(suit.show)
    folders: dict[Path, int] = {}
    for file in files:
        folders[file.parent] = folders.get(file.parent, 0) + 1
    names = [
        ", ".join(drawing.name for drawing in drawings) or "measure both bars, the square and the upright bar"
    ]
    say(
        [
            f"{suit.name}, revision {suit.revision}, worn by {suit.performer.active}",
            *listed(f"{len(drawings)} drawings" if drawings else "Test print", names, style),
            *listed("Cautions", SHEET_CAUTIONS, style),
            "",
            "Files made:",
            *(f"  {folder}: {count} file{'s' if count > 1 else ''}" for folder, count in folders.items()),
        ]
    )
