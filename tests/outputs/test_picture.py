"""Pictures: to scale, nothing written over anything, readable without colour, the same bytes again.

The SVG is read back with the standard library's XML reader and the PNG with Pillow.
"""

import io
import itertools
import math
import re
from xml.etree import ElementTree as ET

import pytest
from PIL import Image

from limbwright.model.body import Body, complete_body
from limbwright.model.performer import Performer
from limbwright.model.quantity import Toleranced
from limbwright.outputs.ink import Area, Disc, Page, Stroke, Words, dashes
from limbwright.outputs.lettering import text_width
from limbwright.outputs.performer_figure import front_figure, side_figure
from limbwright.outputs.picture import REDUCTIONS, Member, PosedArm, Scene, draw_pictures
from limbwright.outputs.picture_view import LINES

SVG = "{http://www.w3.org/2000/svg}"
# A made-up arm in the plane x = 0: points [forward, left, up] in metres.
RIGHT = {
    "S": (0.0, -0.2, 1.9), "E": (0.0, -0.5, 1.8), "W": (0.0, -0.6, 2.05), "G": (0.0, -0.63, 2.12),
    "S'": (0.0, -0.2, 2.5), "E1": (0.0, -0.5, 2.4), "E'": (0.0, -0.86, 2.28), "W'": (0.0, -1.14, 2.98),
    "T'": (0.0, -1.24, 3.23), "A": (0.0, -0.26, 1.95), "A'": (0.0, -0.26, 2.55), "B": (0.0, -0.55, 1.86),
    "B'": (0.0, -0.55, 2.46), "C": (0.0, -0.47, 2.47), "C'": (0.0, -0.83, 2.35),
}  # fmt: skip
LEFT = {name: (x, -y, z) for name, (x, y, z) in RIGHT.items()}
FOLDED = dict.fromkeys(RIGHT, RIGHT["S"])
MEMBERS = (
    Member("mast", "mast", "S", "S'"), Member("driver", "driver", "S", "E"),
    Member("performer forearm", "performer", "E", "W"), Member("performer hand", "hand", "W", "G"),
    Member("carrier", "carrier", "S'", "E'"), Member("character forearm", "character", "E'", "W'"),
    Member("character hand", "hand", "W'", "T'"), Member("shoulder rod", "rod", "A", "A'"),
    Member("forearm rod", "rod", "B", "B'"), Member("relay rod", "rod", "C", "C'"),
    Member("driver crank", "crank", "S", "A"), Member("carrier crank", "crank", "S'", "A'"),
    Member("forearm crank", "crank", "E", "B"), Member("relay, lower arm", "relay", "E1", "B'"),
    Member("relay, outer arm", "relay", "E1", "C"), Member("character crank", "crank", "E'", "C'"),
)  # fmt: skip
OUTLINE = ((-0.4, 0.0), (-0.4, 2.6), (0.0, 3.1), (0.4, 2.6), (0.4, 0.0))


@pytest.fixture(scope="module")
def body() -> Body:
    performer = Performer(sex="female", stature=Toleranced(1.73), body_mass=Toleranced(68.0))  # type: ignore[arg-type]
    return complete_body(performer)


def scene(body: Body, **changes: object) -> Scene:
    """A scene of the made-up arm."""
    given = {
        "suit": "Trial", "revision": "A", "pose": "greet", "says": (("a fact", "1.0 mm; no estimate"),),
        "units": "mm", "body": body, "members": MEMBERS, "height": 3.1, "lift": 0.45,
        "arms": (PosedArm("right", RIGHT, ("forearm", "37.0 deg")), PosedArm("left", LEFT)),
        "stilt_foot": (0.28, 0.11), "harness": ((-0.08, 0.0, 1.72), (0.16, 0.36, 0.48)),
        "front": (OUTLINE,), "side": (OUTLINE,),
    }  # fmt: skip
    return Scene(**{**given, **changes})  # type: ignore[arg-type]


def only(pages: tuple[Page, ...]) -> Page:
    (page,) = pages
    return page


def test_lengths_on_the_sheet_are_true_to_the_scale_it_names(body: Body) -> None:
    page = only(draw_pictures([scene(body)]))
    said = next(w.text for w in page.ink if isinstance(w, Words) and "scale 1:" in w.text)
    reduction = int(re.search(r"scale 1:(\d+)", said)[1])  # type: ignore[index]
    masts = [s for s in page.ink if isinstance(s, Stroke) and s.colour == LINES["mast"].colour]
    wanted = 1000.0 * math.dist(RIGHT["S"], RIGHT["S'"]) / reduction
    views = [s for s in masts if math.dist(*s.points) == pytest.approx(wanted)]
    assert len(views) >= 3  # right and left from the front, right from the side
    root = ET.fromstring(page.svg())
    assert root.get("width") == "420mm"
    assert root.get("viewBox") == "0 0 420 297"  # one unit of the drawing is one millimetre of A3


def test_heights_stand_on_the_floor(body: Body) -> None:
    page = only(draw_pictures([scene(body)]))
    words = {w.text: w for w in page.ink if isinstance(w, Words)}
    floor = words["0 mm"].at[1]
    step = (floor - words["500"].at[1], words["500"].at[1] - words["1000"].at[1])
    assert step[0] == pytest.approx(step[1])
    tips = [w for w in page.ink if isinstance(w, Area) and w.edge == LINES["character"].colour]
    top = min(y for tip in tips for _, y in tip.points)
    shift = 0.9  # a label's baseline lies this far below its tick
    assert (floor - shift - top) / step[0] * 0.5 == pytest.approx(RIGHT["T'"][2])


def test_the_front_is_seen_from_the_front_and_the_side_from_the_right(body: Body) -> None:
    """The performer's right arm is on the reader's left; the side view faces right."""
    page = only(draw_pictures([scene(body, arms=(PosedArm("right", RIGHT),))]))
    title = {w.text: w.at[0] for w in page.ink if isinstance(w, Words) and w.text in ("FRONT", "SIDE")}
    assert title["FRONT"] < title["SIDE"]
    carriers = [s for s in page.ink if isinstance(s, Stroke) and s.colour == LINES["carrier"].colour]
    front = min((s for s in carriers), key=lambda s: s.points[0][0])
    assert front.points[1][0] < front.points[0][0]
    nose = max(side_figure(body, 0.0).outlines[-1])
    assert nose[0] > -min(side_figure(body, 0.0).outlines[-1])[0]


POSES = {
    "both": {},
    "right arm alone": {"arms": (PosedArm("right", RIGHT, ("relay", "5.0 deg")),)},
    "no stilts, no harness, no silhouette": {"lift": 0.0, "stilt_foot": None, "harness": None,
                                             "front": (), "side": ()},
    "arm folded onto itself": {"arms": (PosedArm("right", FOLDED, ("shoulder", "0 deg")),)},
    "inches": {"units": "frac-in"},
    "much to say": {"says": tuple((f"fact {k} " + "word " * 12, "value " * 20) for k in range(40))},
    "a giant": {"height": 9.0, "front": (tuple((3 * u, 3 * v) for u, v in OUTLINE),)},
}  # fmt: skip


@pytest.mark.parametrize("changes", POSES.values(), ids=POSES)
def test_no_words_lie_over_others_or_leave_the_sheet(body: Body, changes: dict[str, object]) -> None:
    page = only(draw_pictures([scene(body, **changes)]))
    boxes = []
    for words in (w for w in page.ink if isinstance(w, Words)):
        wide = text_width(words.text, words.height, bold=words.bold)
        left = words.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor] * wide
        boxes.append((left, words.at[1] - words.height, left + wide, words.at[1], words.text))
    assert min(min(b[0], b[1]) for b in boxes) >= 0.0
    assert all(b[2] <= page.width and b[3] <= page.height for b in boxes)
    clashes = [
        (a[4], b[4])
        for a, b in itertools.combinations(boxes, 2)
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]
    assert clashes == []


@pytest.mark.parametrize("changes", POSES.values(), ids=POSES)
def test_everything_drawn_is_on_the_sheet_and_finite(body: Body, changes: dict[str, object]) -> None:
    page = only(draw_pictures([scene(body, **changes)]))
    for item in page.ink:
        spots = (
            item.points if isinstance(item, Stroke | Area) else (getattr(item, "centre", None) or item.at,)
        )  # type: ignore[union-attr]
        for x, y in spots:
            assert 0.0 <= x <= page.width
            assert 0.0 <= y <= page.height
    assert "nan" not in page.svg()


def test_members_can_be_told_apart_without_colour() -> None:
    looks = [(line.core, line.dash, kind == "relay") for kind, line in LINES.items()]
    assert len(set(looks)) == len(looks)


def test_colours_are_the_okabe_ito_palette() -> None:
    """M. Okabe, K. Ito, Color Universal Design (2008); hex values from memory."""
    palette = {"#000000", "#e69f00", "#56b4e9", "#009e73", "#f0e442", "#0072b2", "#d55e00", "#cc79a7"}
    grey = {line.colour for line in LINES.values() if len(set(re.findall("..", line.colour[1:]))) == 1}
    assert {line.colour for line in LINES.values()} <= palette | grey


def test_svg_and_png_show_the_same(body: Body) -> None:
    """Colours of the PNG where the SVG says that pins and members are."""
    page = only(draw_pictures([scene(body)]))
    root = ET.fromstring(page.svg())
    with Image.open(io.BytesIO(page.png(150))) as picture:
        scale = picture.width / page.width
        assert picture.height == pytest.approx(page.height * scale, abs=1)
        assert picture.info["dpi"] == pytest.approx((150, 150), abs=0.1)
        pins = [c for c in root.iter(f"{SVG}circle") if c.get("fill") == "#ffffff"]
        assert len(pins) > 25
        for pin in pins[-3:]:  # the legend's, over which nothing else lies
            spot = (round(float(pin.get("cx", "")) * scale), round(float(pin.get("cy", "")) * scale))
            assert picture.getpixel(spot) == (255, 255, 255)
        lines = [p for p in root.iter(f"{SVG}polyline") if p.get("stroke") == LINES["driver"].colour]
        sample = lines[-1].get("points", "").split()  # the legend's
        middle = [sum(float(s.split(",")[k]) for s in sample) / len(sample) for k in (0, 1)]
        assert picture.getpixel((round(middle[0] * scale), round(middle[1] * scale))) == (0x00, 0x72, 0xB2)


def test_the_same_scene_gives_the_same_bytes(body: Body) -> None:
    one, two = (only(draw_pictures([scene(body)])) for _ in range(2))
    assert one.svg() == two.svg()
    assert one.png() == two.png()


def test_pictures_of_one_suit_share_scale_and_place(body: Body) -> None:
    high = {name: (x, y, z + 0.8) for name, (x, y, z) in RIGHT.items()}
    pages = draw_pictures([scene(body), scene(body, arms=(PosedArm("right", high),))])
    titles = [
        [w.at for w in page.ink if isinstance(w, Words) and w.text in ("FRONT", "SIDE")] for page in pages
    ]
    assert titles[0] == titles[1]
    scales = {w.text for page in pages for w in page.ink if isinstance(w, Words) and "scale 1:" in w.text}
    assert len(scales) == 1


def test_a_larger_suit_gets_a_smaller_scale(body: Body) -> None:
    found = []
    for size in (1.0, 2.0, 4.0):
        outline = tuple((size * u, size * v) for u, v in OUTLINE)
        page = only(draw_pictures([scene(body, height=3.1 * size, front=(outline,), side=(outline,))]))
        said = next(w.text for w in page.ink if isinstance(w, Words) and "scale 1:" in w.text)
        found.append(int(re.search(r"1:(\d+)", said)[1]))  # type: ignore[index]
    assert found == sorted(found)
    assert found[0] < found[-1]
    assert set(found) <= set(REDUCTIONS)


def test_names_with_signs_of_markup_are_words(body: Body) -> None:
    page = only(draw_pictures([scene(body, suit="<Oak & Co>", pose='the "<b>"')]))
    text = "".join(ET.fromstring(page.svg()).itertext())
    assert "<Oak & Co>, revision A" in text
    assert 'the "<b>"' in text


def test_caution_and_pose_are_on_every_picture(body: Body) -> None:
    text = " ".join(w.text for w in only(draw_pictures([scene(body)])).ink if isinstance(w, Words))
    for said in (
        "greet",
        "Trial, revision A",
        "nothing here certifies a suit",
        "ground level",
        "37.0 deg to lock",
    ):
        assert said in text


def test_the_figure_is_as_tall_and_broad_as_the_performer(body: Body) -> None:
    front = [p for outline in front_figure(body, 0.45).outlines for p in outline]
    assert max(v for _, v in front) == pytest.approx(0.45 + body.stature.value, abs=0.002)
    assert min(v for _, v in front) == pytest.approx(0.45, abs=0.002)
    broad = max(u for u, _ in front)
    half = 0.5 * body.dimensions["biacromial_breadth"].value
    assert half <= broad <= 0.5 * body.dimensions["bideltoid_breadth"].value
    assert min(u for u, _ in front) == pytest.approx(-broad)


def test_dashes_by_hand() -> None:
    """Two on, one off, along 3 and then 4 mm round a corner: 0-2, 3-5, 6-7 along the line."""
    pieces = dashes(((0.0, 0.0), (3.0, 0.0), (3.0, 4.0)), (2.0, 1.0))
    assert pieces == [((0.0, 0.0), (2.0, 0.0)), ((3.0, 0.0), (3.0, 2.0)), ((3.0, 3.0), (3.0, 4.0))]


def test_a_disc_with_an_edge_keeps_its_size() -> None:
    """A 10 mm disc with a 1 mm edge is 11 mm over all, whatever the resolution."""
    page = Page(20.0, 20.0, "disc", (Disc((10.0, 10.0), 5.0, "#ffffff", "#000000", 1.0),))
    with Image.open(io.BytesIO(page.png(254))) as picture:
        row = [picture.getpixel((x, 100)) for x in range(200)]
        dark = [x for x, pixel in enumerate(row) if pixel[0] < 128]  # type: ignore[index]
    assert (dark[-1] - dark[0] + 1) / 10.0 == pytest.approx(11.0, abs=0.15)
