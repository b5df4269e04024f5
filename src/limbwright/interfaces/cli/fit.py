"""`limbwright fit`: proportions and cranks for the fields that say `fit`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from limbwright.interfaces.cli.door import CODES
from limbwright.interfaces.cli.options import JsonOption, SuitArgument, suit_file

if TYPE_CHECKING:
    from limbwright.core.finding import Finding, Verdict
    from limbwright.model.suit import Suit
    from limbwright.outputs.findings_table import Style
    from limbwright.search.proposal import Proposal


def fit(
    suit: SuitArgument,
    write: Annotated[
        bool, typer.Option("--write", help="Put the proposals into the suit file; comments stay.")
    ] = False,
    limb: Annotated[
        list[str] | None, typer.Option(metavar="NAME", help="Only this limb; may be repeated.")
    ] = None,
    refit: Annotated[
        bool, typer.Option("--refit", help="Propose also for fields that have a value already.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Propose mast, carrier, forearm, cranks and crank angles from the character's marks and the poses.

    Prints the proposals with their reasons first; nothing is changed without --write.
    """
    from limbwright.model.suit_file import load_suit

    file = suit_file(suit)
    loaded = load_suit(file)
    proposals, findings = _propose(loaded, limb or list(loaded.limbs), refit)
    changed = _write(file, proposals) if write else False
    verdict = _verdict(proposals, findings)
    if as_json:
        typer.echo(_as_json(loaded, proposals, findings, verdict, changed))
    else:
        _print(loaded, proposals, findings, verdict, changed)
    raise typer.Exit(CODES[verdict])


def _propose(suit: "Suit", limbs: list[str], refit: bool) -> "tuple[list[Proposal], list[Finding]]":
    from limbwright.interfaces.cli.progress import warn_when_cold
    from limbwright.search.fit import fit_arm
    from limbwright.search.fit_findings import fit_findings

    warn_when_cold()
    proposals = [fit_arm(suit, name, refit=refit) for name in dict.fromkeys(limbs)]
    return proposals, [finding for proposal in proposals for finding in fit_findings(suit, proposal)]


def _write(file: Path, proposals: "list[Proposal]") -> bool:
    """Whether the file was changed; one save for all limbs."""
    from limbwright.model.suit_document import SuitDocument
    from limbwright.search.fit import write_proposal

    if not any(proposal.values for proposal in proposals):
        return False
    document = SuitDocument(file)
    for proposal in proposals:
        write_proposal(document, proposal)
    document.save()
    return True


def _verdict(proposals: "list[Proposal]", findings: "list[Finding]") -> "Verdict":
    """Falls short when a wish cannot be met, else the worst of the findings."""
    from limbwright.core.finding import worst

    return "falls short" if any(proposal.unmet for proposal in proposals) else worst(findings)


def _print(
    suit: "Suit", proposals: "list[Proposal]", findings: "list[Finding]", verdict: "Verdict", changed: bool
) -> None:
    from limbwright.interfaces.cli.terminal import listed, reader_style, say
    from limbwright.outputs.cautions import FIT_CAUTIONS
    from limbwright.outputs.findings_table import table_lines, verdict_lines

    style = reader_style(suit.show)
    lines = [f"{suit.name}, revision {suit.revision}, worn by {suit.performer.active}"]
    for proposal in proposals:
        lines += _proposal_lines(proposal, style)
    unmet = sum(len(proposal.unmet) for proposal in proposals)
    lines += ["", *table_lines(findings, style), ""]
    lines += verdict_lines(findings, verdict, style, subject="The proposal", unmet=unmet)
    lines += listed("Cautions", FIT_CAUTIONS, style)
    if changed:
        lines += ["", f"Written into {suit.path}. Next: limbwright check {suit.path}"]
    elif any(proposal.values for proposal in proposals):
        lines += ["", "Nothing is changed yet; --write puts these values into the suit file."]
    else:
        lines += ["", "No field says fit; --refit proposes for fields that have a value too."]
    say(lines)


def _proposal_lines(proposal: "Proposal", style: "Style") -> list[str]:
    """Values with their reasons, then what stands, what cannot be met, and notes for the shop."""
    from limbwright.interfaces.cli.terminal import listed
    from limbwright.outputs.findings_table import wrapped

    lines = [
        "",
        f"Proposed for {proposal.limb}" if proposal.values else f"Nothing to propose for {proposal.limb}",
    ]
    wide = max((len(value.field) for value in proposal.values), default=0)
    for value in proposal.values:
        was = "" if value.was is None else f"  (was {value.was})"
        lines.append(f"  {value.field:<{wide}}  {value.text}{was}")
        lines += wrapped(f"{value.reason}; {value.basis}", style.width, "      ")
    kept = [
        f"{k.field} stays {k.text}; would be {k.would}{', which is better' if k.better else ''}: {k.reason}"
        for k in proposal.kept
    ]
    lines += listed("Standing values that fit would choose otherwise", kept, style)
    lines += listed("Cannot be met", proposal.unmet, style)
    return [*lines, *listed("For the shop", proposal.notes, style)]


def _as_json(
    suit: "Suit", proposals: "list[Proposal]", findings: "list[Finding]", verdict: "Verdict", changed: bool
) -> str:
    from limbwright.outputs.cautions import FIT_CAUTIONS
    from limbwright.outputs.findings_json import answer_json

    return answer_json(
        "fit",
        suit,
        verdict=verdict,
        findings=findings,
        notes=[note for proposal in proposals for note in proposal.notes],
        cautions=FIT_CAUTIONS,
        files=[suit.path] if changed else [],
        more={
            "proposals": [
                {"field": v.field, "text": v.text, "was": v.was, "reason": v.reason, "basis": v.basis}
                for proposal in proposals
                for v in proposal.values
            ],
            "kept": [
                {"field": k.field, "text": k.text, "would": k.would, "better": k.better, "reason": k.reason}
                for proposal in proposals
                for k in proposal.kept
            ],
            "unmet": [wish for proposal in proposals for wish in proposal.unmet],
            "written": changed,
        },
    )
