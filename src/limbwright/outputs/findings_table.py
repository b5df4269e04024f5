"""Findings as a plain table for a terminal: wide in columns, narrow as short paragraphs."""

from collections.abc import Iterator, Sequence
from typing import Final

from limbwright.core.finding import Finding, Verdict
from limbwright.core.units import System
from limbwright.outputs.advice import advice_for, rest_of, worst_finding
from limbwright.outputs.finding_words import reader_unit
from limbwright.outputs.table_layout import SIGNS as SIGNS
from limbwright.outputs.table_layout import Style as Style
from limbwright.outputs.table_layout import layout_for, paint, row_cells
from limbwright.outputs.table_layout import wrapped as wrapped

GROUPS: Final[tuple[tuple[str, tuple[str, ...]], ...]] = (
    ("As proposed", ("fit",)),
    ("Range", ("range", "poses")),
    ("Lock-up", ("lock", "swivel")),
    ("Reach of the hand", ("hand",)),
    ("Matching", ("matching",)),
    ("Effort", ("effort",)),
    ("Mass", ("suit", "mass")),
    ("Mobility", ("mobility",)),
)
_OTHER: Final = "Other"


def table_lines(findings: Sequence[Finding], style: Style) -> list[str]:
    """The table, group by group, without trailing spaces.

    Wide terminals get one line for a row, common ones the name above its numbers, narrow ones a
    short paragraph. Rows of named poses that hold, or that have no limit, are counted and left out
    unless `style.every` is set.
    """
    shown_rows = [f for f in findings if style.every or not _repeats(f)]
    left_out = len(findings) - len(shown_rows)
    layout = layout_for({id(f): row_cells(f, style.units) for f in shown_rows}, style)
    lines: list[str] = []
    for number, (title, rows) in enumerate(_grouped(shown_rows)):
        if lines:
            lines.append("")
        lines += layout.heading(title, first=number == 0)
        for finding in rows:
            lines += [*layout.row(finding), *_small_print(finding, style)]
    if left_out:
        words = f"{left_out} more rows for the named poses, none past a limit; --all shows them."
        lines += ["", *wrapped(words, style.width, "")]
    return lines


def verdict_lines(
    findings: Sequence[Finding], verdict: Verdict, style: Style, *, subject: str = "The suit", unmet: int = 0
) -> list[str]:
    """The verdict with the counts behind it, and what to do first.

    Args:
        findings: what was judged.
        verdict: of the whole.
        style: of the terminal.
        subject: what is judged.
        unmet: wishes that cannot be met, beside the findings.
    """
    counts = {v: sum(f.verdict == v for f in findings) for v in SIGNS}
    parts = [f"{unmet} wishes cannot be met"] if unmet else []
    parts += [
        f"{counts['falls short']} fall short",
        f"{counts['unknown']} unknown",
        f"{counts['holds']} hold",
    ]
    lines = [paint(f"{SIGNS[verdict]} {subject}: {verdict}", verdict, style)]
    lines += wrapped(", ".join(parts), style.width, "  ")
    first = worst_finding(findings)
    if first is not None:
        where = f" ({first.where})" if first.where else ""
        lines += wrapped(f"First: {first.name}{where}: {advice_for(first)}.", style.width, "  ")
    return lines


def _repeats(finding: Finding) -> bool:
    """A row about one named pose that says nothing to act on."""
    parts = rest_of(finding).split(".")
    return parts[0] == "effort" and parts[-1] != "worst" and finding.verdict in (None, "holds")


def _grouped(findings: Sequence[Finding]) -> Iterator[tuple[str, list[Finding]]]:
    """Titles and rows in the published order; limbs are named where there is more than one."""
    limbs = list(dict.fromkeys(f.key.split(".")[0] for f in findings if not f.key.startswith("suit.")))
    known = {start: title for title, starts in GROUPS for start in starts}
    for title in (*(t for t, _ in GROUPS), _OTHER):
        mine = [f for f in findings if known.get(rest_of(f).split(".")[0], _OTHER) == title]
        if len(limbs) < 2 or all(f.key.startswith("suit.") for f in mine):
            if mine:
                yield title, mine
            continue
        for limb in limbs:
            rows = [f for f in mine if f.key.split(".")[0] == limb]
            if rows:
                yield f"{title}: {limb}", rows


def _small_print(finding: Finding, style: Style) -> list[str]:
    """Where a row with a limit comes about and its weakest input; for every row when asked for."""
    if finding.verdict is None and not style.every:
        return []
    said = [finding.where] if finding.where else []
    said.append(f"rests on {finding.weakest_input}")
    if style.every and finding.source:
        said.append(f"source: {finding.source}")
    return [paint(line, "quiet", style) for line in wrapped("; ".join(said), style.width, "      ")]


def unit_line(units: System) -> str:
    """What the reader's units are, for the head of an answer."""
    if units == "mm":
        return "mm, deg, kg, N m"
    lengths = "in" if units == "in" else "fractions of an in"
    return f"{lengths}, deg, {reader_unit('kg', units)}, {reader_unit('N m', units)}"
