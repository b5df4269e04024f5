"""`limbwright check`: exit codes of the design, the published schema, plain text, same bytes again."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from PIL import Image

from limbwright.outputs.findings_json import findings_schema

QUICK = ("--step", "15")
ESCAPE = "\x1b"


def answer(result: Any) -> dict[str, Any]:
    """What was printed, held against the published schema by an independent validator."""
    assert result.stdout, result.stderr
    told = json.loads(result.stdout)
    jsonschema.Draft202012Validator(findings_schema()).validate(told)
    return told


def test_a_suit_that_holds_ends_with_0(run: Callable[..., Any], holding: Path) -> None:
    result = run("check", holding, *QUICK, "--no-picture", "--json")
    told = answer(result)
    assert {f["name"]: f["verdict"] for f in told["findings"] if f["verdict"] not in (None, "holds")} == {}
    assert (told["verdict"], result.exit_code) == ("holds", 0)


def test_a_suit_that_falls_short_ends_with_1(run: Callable[..., Any], failing: Path) -> None:
    result = run("check", failing, *QUICK, "--no-picture", "--json")
    told = answer(result)
    (short,) = [f for f in told["findings"] if f["verdict"] == "falls short"]
    assert (short["key"], short["limit"], short["limit_kind"]) == ("suit.mass", 1.0, "at most")
    assert short["margin"] == pytest.approx(1.0 - short["value"], rel=1e-9)
    assert (told["verdict"], result.exit_code) == ("falls short", 1)


def test_a_band_across_the_limit_ends_with_3(
    run: Callable[..., Any], holding: Path, edit: Callable[[Path, dict[str, str]], Path]
) -> None:
    first = answer(run("check", holding, *QUICK, "--no-picture", "--json"))
    (mass,) = [f for f in first["findings"] if f["key"] == "suit.mass"]
    low, high = mass["band"]
    assert low < mass["value"] < high
    between = 0.5 * (mass["value"] + high)
    edit(holding, {"targets.suit_mass": f"{between:.3f} kg"})
    result = run("check", holding, *QUICK, "--no-picture", "--json")
    assert (answer(result)["verdict"], result.exit_code) == ("unknown", 3)


def test_falls_short_outranks_unknown(
    run: Callable[..., Any], holding: Path, edit: Callable[[Path, dict[str, str]], Path]
) -> None:
    first = answer(run("check", holding, *QUICK, "--no-picture", "--json"))
    (mass,) = [f for f in first["findings"] if f["key"] == "suit.mass"]
    between = 0.5 * (mass["value"] + mass["band"][1])
    edit(holding, {"targets.suit_mass": f"{between:.3f} kg", "targets.usable_share": "99 %"})
    result = run("check", holding, *QUICK, "--no-picture", "--json")
    verdicts = {f["verdict"] for f in answer(result)["findings"]}
    assert {"unknown", "falls short"} <= verdicts
    assert result.exit_code == 1


def test_every_finding_has_the_published_keys_in_order(run: Callable[..., Any], holding: Path) -> None:
    told = answer(run("check", holding, *QUICK, "--no-picture", "--json"))
    wanted = {
        "name", "value", "unit", "band", "limit", "margin", "verdict", "basis", "weakest_input", "where",
        "source",
    }  # fmt: skip
    assert told["findings"]
    for finding in told["findings"]:
        assert wanted <= set(finding)
        assert finding["weakest_input"]
    assert told["cautions"]


def test_json_is_the_same_bytes_again_and_plain_ascii(shell: Callable[..., Any], holding: Path) -> None:
    one, two = (shell("check", holding, *QUICK, "--no-picture", "--json") for _ in range(2))
    assert one.returncode == two.returncode == 0
    assert one.stdout == two.stdout
    assert one.stdout.isascii()


def test_a_pipe_gets_plain_text_and_no_bar(shell: Callable[..., Any], failing: Path) -> None:
    done = shell("check", failing, *QUICK, "--no-picture")
    assert done.returncode == 1
    assert ESCAPE not in done.stdout + done.stderr
    assert "! The suit: falls short" in done.stdout
    assert "nothing here certifies a suit" in done.stdout
    assert not any(line != line.rstrip() for line in done.stdout.splitlines())


def test_every_number_of_the_table_has_unit_band_and_basis(run: Callable[..., Any], holding: Path) -> None:
    told = answer(run("check", holding, *QUICK, "--no-picture", "--json"))
    table = run("check", holding, *QUICK, "--no-picture", "--all", env={"COLUMNS": "400"}).stdout
    for finding in told["findings"]:
        (row,) = [line for line in table.splitlines() if line.startswith(f"  {finding['name']}  ")]
        assert finding["basis"] in row
        assert ("no estimate" in row) == (finding["band"] is None)
        if finding["unit"] and finding["value"] is not None:
            assert re.search(rf"\d {re.escape(finding['unit'])}(?= |$)", row), row
        assert f"rests on {finding['weakest_input']}" in table


def test_the_step_is_the_one_asked_for(run: Callable[..., Any], holding: Path) -> None:
    coarse = answer(run("check", holding, "--step", "20", "--no-picture", "--json"))
    fine = answer(run("check", holding, "--step", "10", "--no-picture", "--json"))
    assert coarse["step"] == {"swing": 20.0, "elevation": 20.0, "elbow": 20.0}
    # half the step in three directions: about eight times the poses
    assert 4.0 < fine["poses_solved"] / coarse["poses_solved"] < 12.0


def test_pictures_are_made_and_named(run: Callable[..., Any], holding: Path, tmp_path: Path) -> None:
    out = tmp_path / "drawn here"
    result = run("check", holding, *QUICK, "--out", out, "--json")
    told = answer(result)
    files = [Path(file) for file in told["files"]]
    assert files.pop().name == "pictures.txt"
    assert {f.suffix for f in files} == {".svg", ".png"}
    assert {f.name for f in out.iterdir()} == {f.name for f in files} | {"pictures.txt"}
    taken = [p["name"] for p in told["poses"] if not p["obstacle"]]
    for name in taken:
        assert any(f.stem.endswith("-" + name.replace(" ", "-")) for f in files), name
    for file in files:
        if file.suffix == ".png":
            with Image.open(file) as picture:
                picture.verify()


def test_pictures_go_beside_the_suit_unless_told_otherwise(run: Callable[..., Any], holding: Path) -> None:
    assert run("check", holding, *QUICK).exit_code == 0
    assert list((holding.parent / "out").glob("*.svg"))


def test_the_project_folder_stands_for_its_suit(run: Callable[..., Any], holding: Path) -> None:
    by_file = run("check", holding, *QUICK, "--no-picture", "--json").stdout
    assert run("check", holding.parent, *QUICK, "--no-picture", "--json").stdout == by_file


def test_inches_are_converted_as_nist_defines_them(
    run: Callable[..., Any], holding: Path, edit: Callable[[Path, dict[str, str]], Path]
) -> None:
    """NIST Special Publication 811 (2008), appendix B: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, both exact;
    1 lbf ft = 1.355 818 N m.
    """
    edit(holding, {"show": "in"})
    args = ("check", holding, *QUICK, "--no-picture")
    told = answer(run(*args, "--json"))
    table = run(*args, "--all", env={"COLUMNS": "400"}).stdout
    rows = {f["name"]: f for f in told["findings"]}
    for factor, name, unit in (
        (25.4, "centre of the suit's mass above the floor", "in"),
        (0.45359237, "suit mass without the performer", "lb"),
        (1.355818, next(n for n in rows if n.startswith("holding moment, shoulder")), "lbf ft"),
    ):
        (line,) = [text for text in table.splitlines() if text.startswith(f"  {name}  ")]
        shown = re.search(rf"([\d.]+) {unit}", line)
        assert shown
        assert float(shown[1]) == pytest.approx(rows[name]["value"] / factor, abs=0.051)


def test_a_terminal_without_the_letters_still_gets_its_answer(
    shell: Callable[..., Any], failing: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONIOENCODING", "iso8859-5")  # Cyrillic, without u-umlaut
    done = shell("check", failing, *QUICK, "--no-picture")
    assert done.returncode == 1
    assert "Gr?bler" in done.stdout


def test_a_first_run_says_that_it_compiles_and_keeps_the_answer_clean(
    run: Callable[..., Any], holding: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("limbwright.engine.compiled.is_cold", lambda: True)
    result = run("check", holding, *QUICK, "--no-picture", "--json")
    assert "First run here" in result.stderr
    assert answer(result)["verb"] == "check"
    monkeypatch.setattr("limbwright.engine.compiled.is_cold", lambda: False)
    assert run("check", holding, *QUICK, "--no-picture", "--json").stderr == ""


def test_stopping_is_one_line_and_130(
    run: Callable[..., Any], holding: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_args: object, **_more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("limbwright.analyses.assess.assess", stop)
    result = run("check", holding, "--no-picture")
    assert result.exit_code == 130  # 128 + SIGINT, as shells have it
    assert result.stderr.splitlines()[-1].startswith("limbwright: stopped")
    assert not result.stdout


def test_a_fault_of_the_program_is_one_line_too(
    run: Callable[..., Any], holding: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_args: object, **_more: object) -> None:
        raise RuntimeError("nobody thought of this")

    monkeypatch.setattr("limbwright.analyses.assess.assess", fail)
    result = run("check", holding, "--no-picture")
    assert result.exit_code == 70
    assert "nobody thought of this" in result.stderr
    assert "Traceback" not in result.stderr
