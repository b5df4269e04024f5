"""limbwright.outputs.paper and .tiling: which page carries what."""

import math

import pytest
from reportlab.lib import pagesizes

from limbwright.core.errors import LimbwrightError
from limbwright.outputs.drawing import Drawing, Polyline
from limbwright.outputs.paper import PAPERS, PaperError, find_paper
from limbwright.outputs.part_drawing import part_drawing
from limbwright.outputs.tiling import OVERLAP, plan_tiles, row_letters
from outputs.sample_parts import INFO, carrier, rod


def diagonal(width, height):
    return Drawing("diagonal", "diagonal", (Polyline(((0.0, 0.0), (width, height)), layer="CUT"),))


@pytest.mark.parametrize("name", ["A4", "A3", "A2", "A1", "A0", "Letter", "Legal", "Tabloid"])
def test_paper_sizes_agree_with_a_library(name):
    # reportlab.lib.pagesizes, in points; its A sizes are exact millimetres.
    library = {"Tabloid": (11 * 72, 17 * 72)}.get(name) or getattr(
        pagesizes, name.upper() if name != "Letter" else "LETTER"
    )
    paper = PAPERS[name]
    assert (paper.width, paper.height) == pytest.approx([p * 25.4e-3 / 72 for p in library], abs=1e-9)


def test_papers_are_found_however_they_are_written():
    assert find_paper("a4") is PAPERS["A4"]
    assert find_paper("Roll 914 mm").width == pytest.approx(0.914)
    assert find_paper("roll 36 in").width == pytest.approx(0.9144)


@pytest.mark.parametrize("name", ["A7", "", "roll", "roll 914", "roll 20 mm", "roll 9 m", "roll 3 kg"])
def test_unknown_papers_are_refused_in_one_line(name):
    with pytest.raises(PaperError) as caught:
        find_paper(name)
    assert "\n" not in str(caught.value)
    assert "roll" in str(caught.value)


def test_rows_are_lettered_like_columns_of_a_spreadsheet():
    assert [row_letters(k) for k in (0, 25, 26, 51, 52, 701, 702)] == [
        "A",
        "Z",
        "AA",
        "AZ",
        "BA",
        "ZZ",
        "AAA",
    ]


def test_neighbouring_windows_share_the_overlap():
    plan = plan_tiles(diagonal(0.5, 0.7), PAPERS["A4"])
    places = {(t.row, t.column): t for t in plan.tiles}
    for (row, column), tile in places.items():
        right, below = places.get((row, column + 1)), places.get((row + 1, column))
        if right:
            assert tile.x + plan.window[0] - right.x == pytest.approx(OVERLAP, abs=1e-12)
        if below:
            assert below.y + plan.window[1] - tile.y == pytest.approx(OVERLAP, abs=1e-12)


def test_a_thin_diagonal_leaves_most_sheets_out():
    plan = plan_tiles(diagonal(2.0, 2.0), PAPERS["A4"])
    assert len(plan.tiles) < 0.35 * plan.rows * plan.columns
    on_line = [
        (t.x <= s <= t.x + plan.window[0]) and (t.y <= s <= t.y + plan.window[1])
        for s in [2.0 * k / 5000 for k in range(5001)]
        for t in plan.tiles
    ]
    count = len(plan.tiles)
    covered = [any(on_line[k * count : (k + 1) * count]) for k in range(5001)]
    assert all(covered)


def test_every_printed_sheet_has_ink_of_its_own():
    drawing = diagonal(1.3, 0.9)
    plan = plan_tiles(drawing, PAPERS["A4"])
    for tile in plan.tiles:
        x0, y0, x1, y1 = plan.cell(tile.row, tile.column)
        inside = [
            x0 - 1e-9 <= 1.3 * s <= x1 + OVERLAP and y0 - OVERLAP <= 0.9 * s <= y1 + 1e-9
            for s in [k / 4000 for k in range(4001)]
        ]
        assert any(inside), tile.label


def test_a_long_rod_lies_along_the_roll_on_one_page():
    plan = plan_tiles(part_drawing(rod(3.0), INFO), find_paper("roll 610 mm"))
    assert len(plan.tiles) == 1
    assert plan.page[1] == pytest.approx(0.610)


def test_the_way_round_with_fewer_pages_is_chosen():
    plan = plan_tiles(part_drawing(carrier(), INFO), PAPERS["A3"])
    assert plan.page[0] > plan.page[1]
    assert len(plan.tiles) == 2


def test_a_drawing_of_endless_size_is_refused():
    with pytest.raises(LimbwrightError, match="use larger paper"):
        plan_tiles(diagonal(60.0, 60.0), PAPERS["A4"])


def test_nothing_drawn_has_no_size():
    with pytest.raises(ValueError, match="empty drawing"):
        plan_tiles(Drawing("none", "none", ()), PAPERS["A4"])


def test_scaled_plan_counts_in_lengths_as_printed():
    scale = 100 / 98.7
    plan = plan_tiles(part_drawing(carrier(), INFO), PAPERS["A4"], scale)
    assert sorted(scale * side for side in plan.page) == pytest.approx([0.210, 0.297], abs=1e-12)
    assert math.isclose(plan.window[0] + 2 * plan.margin, plan.page[0])
