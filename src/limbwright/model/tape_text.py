"""The text of a first suit file: stock a shop is likely to have, and the fields in the builder's units."""
# ruff: noqa: E501 - a line of the suit's file is a line here

import math
import re
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from limbwright.core.units import System, show, shown

DEMO_HEIGHT = 3.1  # [m] shells are scaled from the demo suit's, as areas: with the square of the height
POUND = 0.45359237  # [kg]


class Stock(NamedTuple):
    """Sections and plates that go together: their layers leave a washer between neighbours on a pin."""

    tube: str
    forearm: str
    flat: str
    rod: str
    plate: str
    rim: str
    pin: str
    layers: Mapping[str, str]
    pins: Mapping[str, str]


class Sheet(NamedTuple):
    """Everything a first suit file says; texts as typed, numbers in SI."""

    name: str
    show: System
    performer: str
    sex: str
    stature: str
    body_mass: str
    character_height: str
    stilts: str
    stilt_height: float
    height: float
    mass: float
    hip: float  # height of the performer's hips above the floor, stilts included
    mast: float
    lean: float
    carrier: float
    forearm: float
    hand: float
    marks: Mapping[str, tuple[float, float]]


_JOINTS: Mapping[str, tuple[str, str]] = {
    "shoulder": ("mast", "driver"),
    "character_shoulder": ("mast", "carrier"),
    "elbow": ("driver", "performer_forearm"),
    "relay": ("carrier", "relay"),
    "character_elbow": ("carrier", "character_forearm"),
    "shoulder_rod_lower": ("shoulder_rod", "driver"),
    "shoulder_rod_upper": ("shoulder_rod", "carrier"),
    "forearm_rod_lower": ("performer_forearm", "forearm_rod"),
    "forearm_rod_upper": ("relay", "forearm_rod"),
    "relay_rod_inner": ("relay", "relay_rod"),
    "relay_rod_outer": ("character_forearm", "relay_rod"),
}
_MEMBERS = (
    "mast", "driver", "carrier", "performer_forearm", "character_forearm",
    "relay", "shoulder_rod", "forearm_rod", "relay_rod",
)  # fmt: skip


def _each(names: Iterable[str], listed: str, unit: str) -> dict[str, str]:
    return {name: f"{value} {unit}" for name, value in zip(names, listed.split(", "), strict=True)}


METRIC = Stock(
    tube="tube 25 x 1.5 mm",
    forearm="tube 22 x 1.5 mm",
    flat="flat 30 x 5 mm",
    rod="tube 10 x 1 mm",
    plate="6 mm",
    rim="12 mm",
    pin="8 mm",
    layers=_each(_MEMBERS, "70, 86, 96, 92, 120, 112, 75, 120.5, 137", "mm"),
    pins=_each(_JOINTS, "40, 60, 20, 40, 56, 28, 48, 45, 25, 42, 42", "mm"),
)
INCH = Stock(
    tube="tube 1 x 0.058 in",
    forearm="tube 7/8 x 0.058 in",
    flat="flat 1 1/4 x 3/16 in",
    rod="tube 3/8 x 0.035 in",
    plate="1/4 in",
    rim="1/2 in",
    pin="5/16 in",
    layers=_each(_MEMBERS, "2 3/4, 3 3/8, 3 25/32, 3 19/32, 4 3/4, 4 7/16, 3 1/16, 4 25/32, 5 13/32", "in"),
    pins=_each(_JOINTS, "1 1/2, 2 3/8, 3/4, 1 5/8, 2 1/4, 1, 1 3/4, 1 3/4, 1, 1 5/8, 1 5/8", "in"),
)


def write_suit(sheet: Sheet) -> str:
    """The file's text, ready to load."""
    parts = (_head(sheet), _performer(sheet), _character(sheet), _carried(sheet), _arm(sheet), _rest(sheet))
    return "\n".join(parts)


def _quoted(text: str) -> str:
    """A scalar that YAML cannot take for anything else, in quotes only where it must."""
    if re.fullmatch(r"[A-Za-z0-9][^:#]*", text) and text.lower() != "null":
        return text
    return "'" + text.replace("'", "''") + "'"


def _head(sheet: Sheet) -> str:
    return f"""\
# {sheet.name}
# Started from tape measures: a place to begin, not a finished design. Masses are guesses until weighed.
# Amounts carry their unit; mm, in, 1 5/8 in, 6'2", kg, lb, deg, N m, % are all understood.
format: 1
name: {_quoted(sheet.name)}
revision: A
show: {sheet.show}
"""


def _performer(sheet: Sheet) -> str:
    return f"""\
performer:
  active: {_quoted(sheet.performer)}
  cast:
    {_quoted(sheet.performer)}:
      sex: {sheet.sex}
      stature: {_quoted(sheet.stature)}        # barefoot
      body_mass: {_quoted(sheet.body_mass)}
      # Every further tape measure narrows the bands; the arm's own matter most. For example:
      # measured:
      #   acromion_radiale_length: {{value: 322 mm, plus_minus: 5 mm, date: 2026-09-14}}
      #   radiale_stylion_length: {{value: 253 mm, plus_minus: 5 mm, date: 2026-09-14}}
      #   biacromial_breadth: 372 mm +/- 6 mm
"""


def _character(sheet: Sheet) -> str:
    size = _lengths(sheet.show)
    marks = "\n".join(
        f"    {joint}: [{size(out)}, {size(0.0)}, {size(up)}]" for joint, (out, up) in sheet.marks.items()
    )
    return f"""\
character:
  height: {_quoted(sheet.character_height)}
  # Outlines, once drawn: points in the drawing's own units, origin = floor between the feet.
  # silhouettes:
  #   front: {{file: front.svg, known_length: 3100 mm, from: [400, 20], to: [400, 640], origin: [400, 640]}}
  marks:                        # [out, forward, up] from the floor between the feet, in the pose of rest
{marks}
"""


def _carried(sheet: Sheet) -> str:
    size = _lengths(sheet.show)
    back, up = size(-0.08), size(sheet.hip + 0.35)
    box = ", ".join(size(side) for side in (0.16, 0.36, 0.48))
    text = f"""\
harness:
  mass: {_guess(4.6, sheet)}
  centre: [{back}, {size(0.0)}, {up}]        # [forward, left, up], performer standing
  shape: {{box: [{box}]}}
"""
    if sheet.stilt_height <= 0.0:
        return text
    return f"""{text}
stilts:
  height: {_quoted(sheet.stilts)}
  mass: {_guess(0.9 + 1.6 * sheet.stilt_height, sheet)}        # of one
  foot: [{size(0.28)}, {size(0.11)}]
"""


def _arm(sheet: Sheet) -> str:
    stock = METRIC if sheet.show == "mm" else INCH
    size, at, made = _lengths(sheet.show), stock.layers, _made(sheet.show)
    crank, short, trim = (size(length) for length in (0.08, 0.07, 0.008))
    cut = "material: 6061-T6, layer:"
    pins = "\n".join(
        f"        {pin}: {{stack: [{', '.join(_JOINTS[pin])}], length: {length}}}"
        for pin, length in stock.pins.items()
    )
    hand = _guess(0.06 * _scale(sheet), sheet)
    return f"""\
limbs:
  arm:
    kind: parallel-arm
    on: harness
    side: right
    mirrored: true              # builds the left one too
    swivel: {{range: [-45 deg, 120 deg]}}   # swing 0 = out, 90 = forward
    # layer: sideways offset from the arm's plane, positive behind the arm when it is out to the side
    mast: {{length: {size(sheet.mast)}{made}, lean: {show(sheet.lean, "angle")}, section: {stock.tube}, {cut} {at["mast"]}}}
    driver: {{length: performer, section: {stock.flat}, {cut} {at["driver"]}}}
    carrier: {{length: {size(sheet.carrier)}{made}, section: {stock.tube}, {cut} {at["carrier"]}}}
    relay_at: performer         # the relay's pin on the carrier, as far out as the driver is long
    performer_forearm: {{length: performer, section: {stock.flat}, {cut} {at["performer_forearm"]}}}
    character_forearm: {{length: {size(sheet.forearm)}{made}, section: {stock.forearm}, {cut} {at["character_forearm"]}}}
    character_hand: {{length: {size(sheet.hand)}, mass: {hand}, layer: {at["character_forearm"]}}}
    cranks:                     # angle from the limb's own direction, positive towards raising or flexing
      shoulder: {{length: {crank}, angle: 15 deg}}
      forearm: {{length: {short}, angle: -5 deg}}
      relay: {{length: {short}, angle: 20 deg}}
    rods:                       # match = as long as the side it copies; trim each way on the threads
      shoulder: {{length: match, trim: {trim}, section: {stock.rod}, {cut} {at["shoulder_rod"]}}}
      forearm: {{length: match, trim: {trim}, section: {stock.rod}, {cut} {at["forearm_rod"]}}}
      relay: {{length: match, trim: {trim}, section: {stock.rod}, {cut} {at["relay_rod"]}}}
    relay: {{plate: {stock.plate}, rim: {stock.rim}, {cut} {at["relay"]}}}
    stops: 16 deg               # crank-to-rod angle at which each stage's stop touches
    pins:
      diameter: {stock.pin}
      material: S355
      each:                     # stack: from the lowest layer up
{pins}
    park_pin: {{elevation: 20 deg, elbow: 30 deg}}
"""


def _rest(sheet: Sheet) -> str:
    size, scale = _lengths(sheet.show), _scale(sheet)
    shells = ((0.45, "upper arm shell", "carrier", 0.5 * sheet.carrier),
              (0.42, "forearm shell", "character_forearm", 0.45 * sheet.forearm),
              (0.18, "hand", "character_hand", 0.45 * sheet.hand))  # fmt: skip
    parts = "\n".join(
        f"""  - name: {name}
    on: arm/{link}
    mass: {_guess(mass * scale, sheet)}
    centre: [{size(along)}, {size(0.0)}, {size(0.0)}]"""
        for mass, name, link, along in shells
    )
    coat, head = size(0.48 * sheet.height), size(0.89 * sheet.height)
    return f"""\
parts:                          # on a link: [along, towards raising, sideways]; on the harness: [forward, left, up]
{parts}
  - name: head
    on: harness
    mass: {_guess(1.7 * scale, sheet)}
    centre: [{size(0.04)}, {size(0.0)}, {head}]
  - name: coat
    on: harness
    mass: {_guess(2.9 * scale, sheet)}
    centre: [{size(0.0)}, {size(0.0)}, {coat}]

poses:                          # swing, elevation from hanging, elbow flexion
  rest: {{swing: 45 deg, elevation: 30 deg, elbow: 25 deg}}
  greet: {{swing: 30 deg, elevation: 95 deg, elbow: 45 deg}}
  offer: {{swing: 80 deg, elevation: 60 deg, elbow: 30 deg}}
assembled: rest                 # the pose it is put together in: fixes which way each stage folds
sweep: {{swing: 5 deg, elevation: 5 deg, elbow: 5 deg}}
lean: 0 deg                     # of the trunk, forward

targets:                        # yours to set
  usable_share: 35 %
  lock_margin: 15 deg
  holding_moment: {{shoulder: 30 N m, elbow: 12 N m}}
  suit_mass: {_mass(0.3 * sheet.mass, sheet.show)}              # 30 % of body mass
"""


def _scale(sheet: Sheet) -> float:
    return (sheet.height / DEMO_HEIGHT) ** 2


def _guess(mass: float, sheet: Sheet) -> str:
    """A guessed mass with a fifth either way; the width of a guess is common practice, no source."""
    value, low, high = (_mass(share * mass, sheet.show) for share in (1.0, 0.8, 1.25))
    return f"{{value: {value}, range: [{low}, {high}], basis: guessed}}"


def _mass(mass: float, system: System) -> str:
    """Two significant digits, so that a guess does not look like more."""
    unit = 1.0 if system == "mm" else POUND
    digits = 1 - math.floor(math.log10(mass / unit))
    return f"{round(mass / unit, digits):.{max(digits, 0)}f} {'kg' if system == 'mm' else 'lb'}"


def _made(system: System) -> str:
    return " +/- 0.5 mm" if system == "mm" else " +/- 1/64 in"


def _lengths(system: System) -> Callable[[float], str]:
    """How lengths are written: to 5 mm, to 0.01 in or to the nearest 1/8 in."""

    def written(length: float) -> str:
        if system == "in":
            return shown(length, "length", "in", decimals=2).text
        if system == "mm":
            return shown(round(length / 0.005) * 0.005, "length", "mm", decimals=0).text
        return shown(length, "length", system, denominator=8).text

    return written
