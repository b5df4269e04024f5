"""Run everything and write the table: python -m benchmarks [--quick]."""

import argparse
from datetime import UTC, datetime
from pathlib import Path

from benchmarks.commands import command_rows
from benchmarks.machine import describe
from benchmarks.memory import memory_rows
from benchmarks.row import Row
from benchmarks.speed import speed_rows

README = Path(__file__).with_name("README.md")
MARK = "<!-- measured -->"


def table(rows: list[Row]) -> str:
    words = {True: "holds", False: "falls short", None: ""}
    lines = ["| what | bar | measured | |", "|---|---|---|---|"]
    lines += [f"| {r.what} | {r.bar} | {r.measured} | {words[r.holds]} |" for r in rows]
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer poses; README.md stays as it is")
    parser.add_argument("--poses", type=float, default=1e7, help="poses of the long stream (default 1e7)")
    wanted = parser.parse_args()
    repeats = 2 if wanted.quick else 7
    rows = speed_rows(30_000 if wanted.quick else 1_000_000, repeats)
    rows += memory_rows(500_000 if wanted.quick else int(wanted.poses))
    rows += command_rows(1 if wanted.quick else 3)
    text = f"{table(rows)}\n\nTaken {datetime.now(UTC):%Y-%m-%d} on {describe()}.\n"
    print(text)
    if not wanted.quick:
        before = README.read_text(encoding="utf-8").split(MARK)[0].rstrip()
        README.write_text(f"{before}\n\n{MARK}\n\n{text}", encoding="utf-8")


if __name__ == "__main__":
    main()
