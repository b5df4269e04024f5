"""Plots as a second program renders them: Poppler's pdftoppm and pdftotext."""

import io
import subprocess

import numpy as np
import pytest
from fontTools.ttLib import TTFont
from PIL import Image

from limbwright.outputs.lettering import CAP_HEIGHT, FOLDER, SPECIAL_GLYPHS
from limbwright.outputs.paper import PAPERS
from limbwright.outputs.part_drawing import part_drawing
from limbwright.outputs.sheet_pdf import pdf_sheets, pdf_test_print
from limbwright.outputs.tiling import plan_tiles
from outputs.sample_parts import FRACTIONS, INFO, carrier

DPI = 120
PIXEL = 25.4e-3 / DPI


def render(data, page, tmp_path):
    """One page as grey levels, row 0 at the top."""
    source = tmp_path / "sheet.pdf"
    source.write_bytes(data)
    command = ["pdftoppm", "-r", str(DPI), "-gray", "-png", "-f", str(page), "-l", str(page), str(source)]
    image = Image.open(io.BytesIO(subprocess.run(command, check=True, capture_output=True).stdout))
    return np.asarray(image.convert("L"), dtype=np.int16)


def spread(dark, by):
    """Dark pixels and all within `by` pixels of one."""
    wide = dark.copy()
    for _ in range(by):
        padded = np.pad(wide, 1)
        wide = np.any(
            [padded[i : i + wide.shape[0], j : j + wide.shape[1]] for i in range(3) for j in range(3)], axis=0
        )
    return wide


def test_stitched_tiles_look_like_the_single_page(tmp_path):
    drawing = part_drawing(carrier(), INFO)
    single = render(pdf_sheets(drawing, INFO), 1, tmp_path)
    tiled = pdf_sheets(drawing, INFO, "A4")
    plan = plan_tiles(drawing, PAPERS["A4"])
    x0, y0, x1, y1 = drawing.bounds()
    shape = (round((y1 - y0) / PIXEL) + 8, round((x1 - x0) / PIXEL) + 8)
    stitched = np.full(shape, 255, dtype=np.int16)
    for number, tile in enumerate(plan.tiles, start=2):
        page = render(tiled, number, tmp_path)
        left, low = plan.window_corner
        column0, row0 = round(left / PIXEL), page.shape[0] - round((low + plan.window[1]) / PIXEL)
        window = page[
            row0 : row0 + round(plan.window[1] / PIXEL), column0 : column0 + round(plan.window[0] / PIXEL)
        ]
        to_column = round((tile.x - x0) / PIXEL) + 4
        to_row = round((y1 - tile.y - plan.window[1]) / PIXEL) + 4
        rows = slice(max(0, to_row), min(shape[0], to_row + window.shape[0]))
        columns = slice(max(0, to_column), min(shape[1], to_column + window.shape[1]))
        part = window[
            rows.start - to_row : rows.stop - to_row, columns.start - to_column : columns.stop - to_column
        ]
        stitched[rows, columns] = np.minimum(stitched[rows, columns], part)
    # The drawing on the single page, found by its darkest top left corner: the frame is cut away.
    height, width = single.shape
    frame_left, frame_low, band = 0.020, 0.010, 0.044
    middle_x = 0.5 * (frame_left + width * PIXEL - 0.010)
    middle_y = 0.5 * (frame_low + band + height * PIXEL - 0.010)
    column0 = round((middle_x - 0.5 * (x1 - x0)) / PIXEL) - 4
    row0 = round((height * PIXEL - middle_y - 0.5 * (y1 - y0)) / PIXEL) - 4
    whole = single[row0 : row0 + shape[0], column0 : column0 + shape[1]]
    # Joining marks are grey 0.55 and printed over white, so lighter than 125; drawn lines reach 110.
    for one, other in ((whole, stitched), (stitched, whole)):
        dark = one < 70
        assert dark.sum() > 2000
        missed = dark & ~spread(other < 200, 2)
        assert missed.sum() == 0


def test_bar_measures_100_mm_on_the_rendered_page(tmp_path):
    page = render(pdf_sheets(part_drawing(carrier(), INFO), INFO, "A4"), 2, tmp_path)
    lengths = set()
    for row in page[-round(0.035 / PIXEL) :, : round(0.115 / PIXEL)]:
        dark = np.flatnonzero(row < 128)
        if len(dark) > 100 and np.all(np.diff(dark) == 1):
            lengths.add(len(dark))
    for true in (0.1, 0.1016):
        assert any(abs(n - true / PIXEL) <= 1.0 for n in lengths)


@pytest.mark.parametrize("file", ["DejaVuSans.ttf", "DejaVuSans-Bold.ttf"])
def test_shipped_font_has_the_signs(file):
    font = TTFont(FOLDER / file)
    known = font.getBestCmap()
    assert all(ord(sign) in known for sign in SPECIAL_GLYPHS)
    assert font["glyf"]["H"].yMax / font["head"].unitsPerEm == pytest.approx(CAP_HEIGHT, abs=1e-4)
    assert (FOLDER / "LICENSE-DejaVu.txt").read_text(encoding="utf-8").startswith("Fonts are (c) Bitstream")


def test_signs_come_back_as_text_from_the_printed_page(tmp_path):
    source = tmp_path / "sheet.pdf"
    for data, signs in (
        (pdf_test_print("A4"), SPECIAL_GLYPHS.split()),
        (pdf_sheets(part_drawing(carrier(), FRACTIONS), FRACTIONS), ["Ø", "½", "±", "5/16 in (+0.06 mm)"]),
    ):
        source.write_bytes(data)
        said = subprocess.run(
            ["pdftotext", str(source), "-"], check=True, capture_output=True
        ).stdout.decode()
        assert all(sign in said for sign in signs), said


def test_each_sign_leaves_ink_of_its_own_on_the_page(tmp_path):
    page = render(pdf_test_print("A4"), 1, tmp_path)
    # The line of signs: find it as the text line with as many separate blots as there are signs.
    rows = page[round(0.15 / PIXEL) : round(0.21 / PIXEL), round(0.010 / PIXEL) : round(0.2 / PIXEL)] < 128
    counts = []
    for start in range(rows.shape[0] - 24):
        columns = rows[start : start + 24].any(axis=0)
        gaps = np.diff(np.flatnonzero(np.concatenate(([True], columns, [True]))))
        counts.append(int((gaps > 7).sum()))
    assert max(counts) >= len(SPECIAL_GLYPHS.split()) - 1
