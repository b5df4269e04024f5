"""Draws the zeros and positive directions that docs/conventions.md speaks of.

Usage: python scripts/draw_conventions.py [FOLDER]   (docs/drawings when left out)
"""

import sys
from pathlib import Path

from sketch import BLUE, GREEN, GREY, ORANGE, PURPLE, SKY, VERMILION, Point, Sketch

DRAWINGS = Path(__file__).resolve().parents[1] / "docs" / "drawings"


def draw_frame() -> Sketch:
    s = Sketch(720, 330, "World frame: x forward, y to the performer's left, z up, origin on the floor")
    s.text(Point(20, 305), "from the front", color=GREY)
    floor = Point(170, 50)
    s.line(Point(40, 50), Point(300, 50), color=GREY, width=1)
    _stand(s, floor)
    s.arrow(floor, Point(170, 285), color=BLUE, width=3)
    s.text(Point(178, 278), "z up", color=BLUE)
    s.arrow(floor, Point(285, 50), color=GREEN, width=3)
    s.text(Point(200, 28), "y, performer's left", color=GREEN)
    s.text(Point(40, 28), "performer's right", color=GREY)
    s.circle(floor, 6, color=VERMILION, fill="#ffffff", width=3)
    s.circle(floor, 1.5, color=VERMILION, fill=VERMILION)
    s.text(Point(85, 62), "x to you", color=VERMILION)

    s.text(Point(350, 305), "from above", color=GREY)
    centre = Point(470, 130)
    _from_above(s, centre)
    s.arrow(centre, Point(470, 265), color=VERMILION, width=3)
    s.text(Point(480, 258), "x, the way the performer faces", color=VERMILION)
    s.arrow(centre, Point(350, 130), color=GREEN, width=3)
    s.text(Point(350, 105), "y, left", color=GREEN)
    s.text(Point(548, 105), "right", color=GREY)
    s.text(Point(350, 40), "origin: on the floor, midway between the feet", color=GREY)
    return s


def draw_swing() -> Sketch:
    s = Sketch(640, 400, "Swing from above: 0 out to the side, 90 deg forward, both arms alike")
    s.text(Point(20, 375), "from above; the performer faces up the page", color=GREY)
    centre = Point(320, 110)
    _from_above(s, centre)
    for sign, side in ((1.0, "right"), (-1.0, "left")):
        shoulder = Point(centre.x + sign * 60, centre.y)
        for swing, dash in ((0.0, ""), (45.0, "7 5"), (90.0, "7 5")):
            heading = 90.0 - sign * (90.0 - swing)
            end = shoulder.turned(heading, 190)
            s.line(shoulder, end, color=BLUE, width=5 if not dash else 2.5, dash=dash)
        s.text(Point(shoulder.x + sign * 190, centre.y - 24), "swing 0", anchor="middle")
        s.text(shoulder.turned(90.0 - sign * 45.0, 206), "45 deg", anchor="start" if sign > 0 else "end")
        s.text(Point(shoulder.x, centre.y + 198), "90 deg", anchor="middle")
        # a limb's angle counts counter-clockwise from straight down the page
        s.arc(shoulder, 120, sign * 90.0, sign * 172.0, color=VERMILION)
        s.pin(shoulder)
        s.text(Point(shoulder.x + sign * 8, centre.y - 50), f"{side} swivel", anchor="middle", color=GREY)
    return s


def draw_elevation() -> Sketch:
    s = Sketch(640, 430, "Elevation in the arm's plane: 0 hanging, 90 deg level, 180 deg straight up")
    s.text(Point(20, 405), "the right arm's plane at swing 0, seen from behind the performer", color=GREY)
    shoulder = Point(250, 205)
    s.line(Point(250, 20), Point(250, 390), color=GREY, width=1.5, dash="2 5")
    s.text(Point(170, 380), "swivel axis", color=GREY)
    s.arrow(Point(60, 205), Point(140, 205), color=GREY)
    s.text(Point(60, 215), "outward", color=GREY)
    for angle, dash, words in (
        (0.0, "7 5", "elevation 0: hanging"),
        (55.0, "", "elevation 55 deg"),
        (90.0, "7 5", "90 deg: level"),
        (180.0, "7 5", "180 deg: straight up"),
    ):
        end = shoulder.toward(angle, 165)
        s.line(shoulder, end, color=BLUE, width=3 if dash else 6, dash=dash)
        s.text(Point(end.x + 12, end.y + (8 if angle != 55.0 else -14)), words)
    s.arc(shoulder, 95, 0, 55, color=VERMILION, label="+")
    s.pin(shoulder)
    s.text(Point(150, 185), "S, shoulder", color=GREY)
    return s


def draw_elbow() -> Sketch:
    s = Sketch(640, 340, "Elbow: 0 straight, positive bends the forearm the way raising goes")
    s.text(Point(20, 315), "the right arm's plane, seen from behind the performer", color=GREY)
    shoulder = Point(110, 150)
    elbow = shoulder.toward(80, 190)
    s.line(shoulder, elbow, color=BLUE, width=6)
    s.line(elbow, elbow.toward(80, 185), color=GREY, width=1.5, dash="2 5")
    for angle, dash, words in (
        (0.0, "7 5", "elbow 0: straight"),
        (50.0, "", "50 deg"),
        (95.0, "7 5", "95 deg"),
    ):
        end = elbow.toward(80 + angle, 150)
        s.line(elbow, end, color=SKY, width=3 if dash else 6, dash=dash)
        s.text(Point(end.x + 10, end.y + (-22 if angle == 0.0 else 4)), words)
    s.arc(elbow, 85, 80, 130, color=VERMILION, label="+")
    s.pin(shoulder)
    s.pin(elbow)
    s.text(Point(80, 120), "S", color=GREY)
    s.text(Point(elbow.x - 6, elbow.y - 28), "E", color=GREY)
    s.text(Point(20, 40), "the forearm's own angle in the arm's plane = elevation + elbow")
    return s


def draw_crank_angle() -> Sketch:
    s = Sketch(640, 380, "Crank angle: from the limb's own direction to its crank, positive towards raising")
    s.text(Point(20, 355), "the right arm's plane, seen from behind the performer", color=GREY)
    for left, crank, words in ((60.0, 40.0, "crank angle +40 deg"), (390.0, -35.0, "crank angle -35 deg")):
        pivot, limb = Point(left, 175), 75.0
        tip = pivot.toward(limb, 210)
        pin = pivot.toward(limb + crank, 120)
        s.line(pivot, tip, color=BLUE, width=6)
        s.line(pivot, pin, color=VERMILION, width=5)
        s.line(pin, Point(pin.x, 315), width=2.5, dash="8 5")
        s.arc(pivot, 70, limb, limb + crank, color=PURPLE)
        s.pin(pivot)
        s.pin(pin)
        s.text(Point(left, 25), words, color=PURPLE)
        s.text(Point(pin.x + 8, 300), "rod")
        s.text(Point(tip.x - 30, tip.y + 14), "limb", color=BLUE)
        s.text(Point(pin.x + 10, pin.y - 10), "crank", color=VERMILION)
    return s


def draw_mast() -> Sketch:
    s = Sketch(720, 400, "Mast lean and swivel lean: both zero upright, positive outward or forward")
    s.text(Point(20, 375), "lean of the mast on the swivel,", color=GREY)
    s.text(Point(20, 357), "right side from behind", color=GREY)
    foot = Point(120, 60)
    s.line(Point(120, 40), Point(120, 330), color=GREY, width=1.5, dash="2 5")
    s.line(foot, foot.toward(180 - 15, 250), color=GREY, width=7)
    s.arc(foot, 160, 180, 165, color=VERMILION)
    s.text(Point(172, 205), "lean +", color=VERMILION)
    s.pin(foot)
    s.pin(foot.toward(165, 250))
    s.text(Point(133, 50), "S")
    s.text(Point(foot.toward(165, 250).x + 12, foot.toward(165, 250).y), "S'")
    for left, words, view in (
        (350.0, "lean_out +", "whole swivel, right side from behind"),
        (560.0, "lean_forward +", "whole swivel, from the right"),
    ):
        base = Point(left, 60)
        s.text(Point(left - 70, 375), view.split(", ")[0] + ",", color=GREY)
        s.text(Point(left - 70, 357), view.split(", ")[1], color=GREY)
        s.line(Point(left, 40), Point(left, 330), color=GREY, width=1.5, dash="2 5")
        s.line(base, base.toward(180 - 15, 260), color=BLUE, width=3, dash="10 5")
        s.arc(base, 160, 180, 165, color=VERMILION)
        s.text(Point(left + 45, 205), words, color=VERMILION)
        s.text(Point(left + 78, 300), "swivel", color=BLUE)
        s.text(Point(left + 78, 283), "axis", color=BLUE)
        s.pin(base)
    return s


def draw_mechanism() -> Sketch:
    s = Sketch(700, 620, "The parallel arm: three parallelograms on a swivel")
    shoulder, mast, upper, carrier, fore = Point(120, 95), 270.0, 120.0, 240.0, 110.0
    th, flexion, c0, c1, c2, crank = 80.0, 50.0, 40.0, -45.0, 62.0, 55.0
    ph = th + flexion
    above = shoulder.toward(180, mast)
    elbow, relay_pin, far = shoulder.toward(th, upper), above.toward(th, upper), above.toward(th, carrier)
    s.line(Point(120, 30), Point(120, 470), color=GREY, width=1.5, dash="2 5")
    s.line(shoulder, above, color=GREY, width=8)
    s.line(shoulder, elbow, color=BLUE, width=8)
    s.line(above, far, color=VERMILION, width=8)
    s.line(elbow, elbow.toward(ph, fore), color=SKY, width=8)
    s.line(far, far.toward(ph, 215), color=ORANGE, width=8)
    pairs = (
        (shoulder.toward(th + c0, crank), above.toward(th + c0, crank)),
        (elbow.toward(ph + c1, crank), relay_pin.toward(ph + c1, crank)),
        (relay_pin.toward(ph + c2, crank), far.toward(ph + c2, crank)),
    )
    s.plate(relay_pin, pairs[1][1], pairs[2][0])
    for pivot, pin, color in (
        (shoulder, pairs[0][0], BLUE),
        (above, pairs[0][1], VERMILION),
        (elbow, pairs[1][0], SKY),
        (far, pairs[2][1], ORANGE),
    ):
        s.line(pivot, pin, color=color, width=4)
    for low, high in pairs:
        s.line(low, high, width=2.5, dash="8 5")
    for p in (shoulder, above, elbow, relay_pin, far, *pairs[0], *pairs[1], *pairs[2]):
        s.pin(p)
    for p, name in (
        (Point(100, 88), "S"),
        (Point(94, 372), "S'"),
        (Point(elbow.x - 4, elbow.y - 24), "E"),
        (Point(relay_pin.x - 12, relay_pin.y - 24), "E1"),
        (Point(far.x + 12, far.y - 16), "E'"),
        (Point(elbow.toward(ph, fore).x + 8, elbow.toward(ph, fore).y), "W"),
        (Point(far.toward(ph, 215).x + 8, far.toward(ph, 215).y), "W'"),
        (Point(pairs[0][0].x + 8, 240), "shoulder rod"),
        (Point(pairs[1][0].x + 10, 270), "forearm rod"),
        (Point(relay_pin.x + 30, pairs[2][0].y + 18), "relay rod"),
    ):
        s.text(p, name)
    _legend(s)
    return s


def draw_parts() -> Sketch:
    s = Sketch(740, 300, "Where parts and layers are measured from")
    s.text(Point(20, 275), "a part on a link: [along, towards raising, sideways]", color=GREY)
    pivot = Point(70, 125)
    s.line(pivot, pivot.toward(75, 230), color=BLUE, width=8)
    s.arrow(pivot, pivot.toward(75, 130), color=VERMILION, width=2.5)
    s.text(Point(120, 75), "along", color=VERMILION)
    s.arrow(pivot, pivot.toward(165, 90), color=GREEN, width=2.5)
    s.text(Point(100, 205), "towards raising or flexing", color=GREEN)
    s.pin(pivot)
    s.text(Point(20, 100), "inner pin", color=GREY)
    s.text(Point(20, 20), "sideways counts the same way as layers", color=GREY)
    s.text(Point(420, 275), "layers, from above, right arm out to the side", color=GREY)
    for y, words in ((180.0, "- in front"), (140.0, "0, the arm's plane"), (100.0, "+ behind")):
        plane = y == 140.0
        s.line(Point(420, y), Point(540, y), color=BLUE, width=6 if plane else 3, dash="" if plane else "8 5")
        s.text(Point(552, y - 4), words)
    s.arrow(Point(440, 210), Point(440, 255), color=GREY)
    s.text(Point(452, 228), "forward, the way swing counts", color=GREY)
    s.text(Point(420, 50), "with the arm forward, + lies outside it", color=GREY)
    return s


def _stand(s: Sketch, floor: Point) -> None:
    hip, neck = Point(floor.x, floor.y + 95), Point(floor.x, floor.y + 175)
    s.line(Point(floor.x - 22, floor.y), hip, Point(floor.x + 22, floor.y), color=GREY, width=4)
    s.line(hip, neck, color=GREY, width=4)
    s.line(Point(neck.x - 45, neck.y - 75), Point(neck.x - 35, neck.y - 8), Point(neck.x + 35, neck.y - 8),
           Point(neck.x + 45, neck.y - 75), color=GREY, width=4)  # fmt: skip
    s.circle(Point(neck.x, neck.y + 20), 15, color=GREY, width=4)


def _from_above(s: Sketch, centre: Point) -> None:
    s.line(Point(centre.x - 60, centre.y), Point(centre.x + 60, centre.y), color=GREY, width=12)
    s.circle(centre, 22, color=GREY, fill="#ffffff", width=4)
    nose = (
        Point(centre.x - 6, centre.y + 20),
        Point(centre.x, centre.y + 32),
        Point(centre.x + 6, centre.y + 20),
    )
    s.line(*nose, color=GREY, width=4)


def _legend(s: Sketch) -> None:
    rows = (
        (GREY, 8.0, "", "mast, on the swivel"),
        (BLUE, 8.0, "", "driver, worn along the performer's upper arm"),
        (VERMILION, 8.0, "", "carrier, the character's upper arm"),
        (SKY, 8.0, "", "performer's forearm link, E to W"),
        (ORANGE, 8.0, "", "character's forearm, E' to W'"),
        (PURPLE, 8.0, "", "relay, a plate with three pins"),
        ("#000000", 2.5, "8 5", "rods"),
    )
    for row, (color, width, dash, words) in enumerate(rows):
        y = 595 - 21 * row
        s.line(Point(20, y), Point(50, y), color=color, width=width, dash=dash)
        s.text(Point(60, y - 4), words)


DRAWN = {
    "frame": draw_frame,
    "swing": draw_swing,
    "elevation": draw_elevation,
    "elbow": draw_elbow,
    "crank-angle": draw_crank_angle,
    "mast": draw_mast,
    "mechanism": draw_mechanism,
    "parts": draw_parts,
}


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else DRAWINGS
    folder.mkdir(parents=True, exist_ok=True)
    for name, draw in DRAWN.items():
        draw().save(folder, name)


if __name__ == "__main__":
    main()
