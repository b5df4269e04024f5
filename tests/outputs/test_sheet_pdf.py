"""limbwright.outputs.sheet_pdf, read back with an independent parser."""

import itertools
import math

import numpy as np
import pytest

from limbwright.core.errors import LimbwrightError
from limbwright.outputs.paper import PAPERS
from limbwright.outputs.part_drawing import part_drawing
from limbwright.outputs.sheet_pdf import pdf_sheets, pdf_test_print
from limbwright.outputs.skeleton_drawing import SkeletonLine, skeleton_drawing
from limbwright.outputs.tiling import plan_tiles
from outputs import pdf_reading
from outputs.sample_parts import INFO, carrier, hole_distances_mm, parts, rod
from outputs.test_tiling import diagonal

MEASURED = 98.7e-3


def page_texts(data):
    return [page.extract_text() for page in pdf_reading.read(data).pages]


def hole_circles(paths, part):
    """Circles on a page that have one of the part's hole radii [mm]; the datum ring is larger."""
    radii = {500.0 * hole.diameter for hole in part.holes}
    found = pdf_reading.circles(paths)
    return [(c, r) for c, r in found if any(abs(r.mean() - known) < 1e-5 for known in radii)]


def distances(circles):
    return sorted(float(np.linalg.norm(a - b)) for (a, _), (b, _) in itertools.combinations(circles, 2))


@pytest.mark.parametrize("part", parts(), ids=lambda p: f"{p.side} {p.name}")
@pytest.mark.parametrize("paper", ["single", "A4", "roll 914 mm"])
def test_hole_distances_are_true_to_a_millionth_of_a_millimetre(part, paper):
    pages = pdf_reading.page_paths(pdf_sheets(part_drawing(part, INFO), INFO, paper))
    full_scale = pages if paper == "single" else pages[1:]  # the first of several is the map
    assert full_scale
    for paths in full_scale:
        assert distances(hole_circles(paths, part)) == pytest.approx(hole_distances_mm(part), abs=1e-6)


def test_hole_circles_are_round_to_a_millionth_of_a_millimetre():
    paths = pdf_reading.page_paths(pdf_sheets(part_drawing(carrier(), INFO), INFO))[0]
    circles = hole_circles(paths, carrier())
    assert len(circles) == 4
    for _, radii in circles:
        assert radii == pytest.approx(np.full(24, 4.0), abs=1e-6)


def bars(paths):
    """Length of each check bar over everything that is inked at its height [mm]."""
    fills = [p.box for p in paths if p.painted == "f" and not p.form]
    rims = [b for b in fills if b[2] - b[0] > 90.0 and abs(b[3] - b[1] - 0.4) < 0.05 and b[2] - b[0] < 110.0]
    found = []
    for low, high in zip(rims[::2], rims[1::2], strict=True):
        inked = [b for b in fills if b[1] > low[1] - 1e-6 and b[3] < high[3] + 1e-6 and b[0] < low[2] + 1.0]
        found.append(max(b[2] for b in inked) - min(b[0] for b in inked))
    return sorted(found)


@pytest.mark.parametrize("paper", ["single", "A4", "A3", "Letter", "Tabloid", "roll 914 mm"])
def test_every_page_has_both_bars_exact_over_their_outer_edges(paper):
    data = pdf_sheets(part_drawing(carrier(), INFO), INFO, paper)
    for paths, text in zip(pdf_reading.page_paths(data), page_texts(data), strict=True):
        assert bars(paths) == pytest.approx([100.0, 4 * 25.4], abs=1e-6)
        assert "Measure the outer edges of both bars before cutting." in text
        assert "not a certificate" in text
        assert "COMPENSATED" not in text


def test_the_bars_are_filled_and_never_stroked():
    data = pdf_sheets(part_drawing(carrier(), INFO), INFO, "A4")
    near = [p for p in pdf_reading.page_paths(data)[1] if not p.form and p.box[3] < 30.0 and p.box[2] < 115.0]
    assert {p.painted for p in near} == {"f"}


@pytest.mark.parametrize(
    ("paper", "points"), [("A4", (595.2756, 841.8898)), ("Letter", (612, 792)), ("Tabloid", (792, 1224))]
)
def test_pages_have_the_paper_s_size(paper, points):
    # Common page sizes in points; ISO 216 A4 is 210 mm x 297 mm.
    pages = pdf_reading.read(pdf_sheets(part_drawing(carrier(), INFO), INFO, paper)).pages
    sizes = [sorted((float(p.mediabox.width), float(p.mediabox.height))) for p in pages]
    assert all(size == pytest.approx(points, abs=1e-3) for size in sizes)


@pytest.mark.parametrize("paper", ["A4", "Tabloid", "roll 610 mm"])
@pytest.mark.parametrize("measured", [None, MEASURED])
def test_tiles_put_together_are_the_whole(paper, measured):
    """Every tile shows the same drawing, moved; the windows cover all of it and overlap."""
    drawing = part_drawing(carrier(), INFO)
    whole = [p for p in pdf_reading.page_paths(pdf_sheets(drawing, INFO, "single", measured))[0] if p.form]
    tiles = pdf_reading.page_paths(pdf_sheets(drawing, INFO, paper, measured))[1:]
    scale = 1.0 if measured is None else 0.1 / measured
    windows = []
    for paths in tiles:
        copy = [p for p in paths if p.form]
        assert len(copy) == len(whole)
        move = copy[0].points[0] - whole[0].points[0]
        for mine, theirs in zip(copy, whole, strict=True):
            assert mine.points - theirs.points == pytest.approx(
                np.broadcast_to(move, mine.points.shape), abs=1e-6
            )
            assert len(mine.clips) == 1
        windows.append(np.array(copy[0].clips[0]) - np.tile(move, 2))
    points = np.concatenate([np.linspace(a, b, 50) for p in whole for a, b in itertools.pairwise(p.points)])
    covered = np.zeros(len(points), dtype=bool)
    for x0, y0, x1, y1 in windows:
        covered |= (points[:, 0] >= x0) & (points[:, 0] <= x1) & (points[:, 1] >= y0) & (points[:, 1] <= y1)
    assert covered.all()
    for one, other in itertools.combinations(windows, 2):
        shared = min(one[2], other[2]) - max(one[0], other[0])
        if 0.0 < shared < 0.5 * (one[2] - one[0]):
            assert shared == pytest.approx(11.0 * scale, abs=1e-6)  # 10 mm to glue and 1 mm beyond the trim


def test_tiles_say_where_they_go():
    texts = page_texts(pdf_sheets(part_drawing(carrier(), INFO), INFO, "A3"))
    assert "Map of 2 sheets" in texts[0]
    assert "row A, column 1, page 2 of 3" in texts[1]
    assert "GLUE SIDE: sheet A2 lies on this strip" in texts[1]
    assert "TRIM" not in texts[1]
    assert "TRIM along this line" in texts[2]
    assert "GLUE SIDE" not in texts[2]


def test_empty_sheets_are_left_out_and_crossed_on_the_map():
    drawing = diagonal(2.0, 2.0)
    data = pdf_sheets(drawing, INFO, "A4")
    sheets = len(pdf_reading.read(data).pages) - 1
    crossed = [p for p in pdf_reading.page_paths(data)[0] if p.painted == "f" and abs(p.fill - 0.92) < 1e-3]
    plan = plan_tiles(drawing, PAPERS["A4"])
    assert sheets + len(crossed) == plan.rows * plan.columns
    assert len(crossed) > 2 * sheets
    labels = [text.split("row ")[1].split(",")[0] for text in page_texts(data)[1:]]
    assert labels[0] == "A"
    assert labels == sorted(labels)


@pytest.mark.parametrize("paper", ["single", "A4", "roll 914 mm"])
def test_compensated_reprint_comes_out_true_and_says_so_on_every_page(paper):
    drawing = part_drawing(carrier(), INFO)
    plain = pdf_sheets(drawing, INFO, paper)
    data = pdf_sheets(drawing, INFO, paper, MEASURED)
    for paths, text in zip(pdf_reading.page_paths(data), page_texts(data), strict=True):
        # What this printer makes 0.987 times as long is then right.
        assert [0.987 * length for length in bars(paths)] == pytest.approx([100.0, 101.6], abs=1e-6)
        assert "COMPENSATED REPRINT × 1.01317" in text
        assert "98.7 mm" in text
    if paper == "A4":
        sizes = {tuple(sorted(round(s, 3) for s in size)) for size in pdf_reading.page_sizes_mm(data)}
        assert sizes == {(210.0, 297.0)}
    found = distances(pdf_reading.circles(pdf_reading.page_paths(data)[-1]))
    true = distances(pdf_reading.circles(pdf_reading.page_paths(plain)[-1]))
    assert len(true) == 10  # four holes and the datum's ring
    assert found == pytest.approx([d * 100 / 98.7 for d in true], abs=2e-6)


@pytest.mark.parametrize("measured", [0.0, 0.0987e-3, 98.7, 0.079, 0.121, -0.1, math.nan])
def test_a_bar_no_printer_makes_is_refused(measured):
    with pytest.raises(LimbwrightError, match="80 to 120 mm"):
        pdf_sheets(part_drawing(carrier(), INFO), INFO, "A4", measured)


def test_six_metres_are_split_below_the_viewers_limit():
    # 14,400 points (5.08 m) is the largest page of ISO 32000-1:2008, annex C.2, without UserUnit.
    part = rod(6.0)
    data = pdf_sheets(part_drawing(part, INFO), INFO, "single")
    pages = pdf_reading.read(data).pages
    assert len(pages) == 3
    assert max(float(p.mediabox.width) for p in pages) < 14_400
    assert all("/UserUnit" not in page for page in pages)
    circles = hole_circles(pdf_reading.page_paths(data)[1], part)
    assert distances(circles) == pytest.approx([6000.0], abs=1e-6)


def test_a_skeleton_of_three_metres_fits_one_page_at_full_scale():
    lines = [
        SkeletonLine("mast", ((0.2, 1.86), (0.2, 2.48))),
        SkeletonLine("rod", ((0.3, 1.0), (0.3, 2.0)), "rod"),
    ]
    outline = [(1.1 * math.sin(a), 1.55 - 1.55 * math.cos(a)) for a in np.linspace(0, math.tau, 60)[:-1]]
    data = pdf_sheets(skeleton_drawing("skeleton front", lines, [outline], [], INFO), INFO)
    assert len(pdf_reading.read(data).pages) == 1
    pins = [c for c, r in pdf_reading.circles(pdf_reading.page_paths(data)[0]) if abs(r.mean() - 5.0) < 1e-5]
    assert len(pins) == 4
    assert any(abs(np.linalg.norm(a - b) - 620.0) < 1e-6 for a, b in itertools.combinations(pins, 2))
    assert "Heights from the floor" in page_texts(data)[0]


def test_title_block_names_suit_part_revision_date_units_datum_sheet():
    text = page_texts(pdf_sheets(part_drawing(carrier(), INFO), INFO))[0]
    for field in (
        "Orchard Warden",
        "right arm carrier",
        "undated",
        "1 of 1",
        "centre of hole S'",
        "1:1",
        "Accepted by",
    ):
        assert field in text


def test_printers_are_told_not_to_scale():
    for data in (pdf_sheets(part_drawing(rod(), INFO), INFO, "A4"), pdf_test_print("A4")):
        assert pdf_reading.read(data).trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_the_same_drawing_gives_the_same_bytes():
    for paper in ("single", "A4"):
        first, second = (pdf_sheets(part_drawing(carrier(), INFO), INFO, paper) for _ in range(2))
        assert first == second
    assert pdf_test_print("Letter") == pdf_test_print("Letter")


def test_test_print_has_bars_both_ways_and_a_square():
    for measured in (None, MEASURED):
        scale = 1.0 if measured is None else 0.987
        data = pdf_test_print("Letter", measured)
        assert len(pdf_reading.read(data).pages) == 1
        paths = pdf_reading.page_paths(data)[0]
        boxes = [p.box for p in paths if p.painted == "f"]
        tall = [b for b in boxes if b[3] - b[1] > 90.0]
        assert len(tall) == 4
        assert [scale * (b[3] - b[1]) for b in tall] == pytest.approx([100.0] * 4, abs=1e-6)
        assert scale * (max(b[2] for b in tall[:2]) - min(b[0] for b in tall[:2])) == pytest.approx(
            100.0, abs=1e-6
        )
        assert ("COMPENSATED" in page_texts(data)[0]) is (measured is not None)
