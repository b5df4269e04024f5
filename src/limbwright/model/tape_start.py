"""A first suit from a handful of tape measures: proportions and a scheme to change by hand.

The proportions are those of the demo suit, that is our own drawing's; they are a place to begin.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from limbwright.core.errors import LimbwrightError
from limbwright.core.units import Dimension, System, UnitError, parse, show
from limbwright.model.body import Body, complete_body
from limbwright.model.performer import Performer, Sex
from limbwright.model.quantity import Toleranced
from limbwright.model.tape_text import Sheet, write_suit

# Shares of the character's height: our own drawing's, no source.
SHOULDER_UP = 0.79
CARRIER = 0.225
FOREARM = 0.245
HAND = 0.085
HIP = 0.52  # of stature, above the barefoot floor; only where the harness's guessed mass sits
LEAN = math.radians(8.0)
REST_ELEVATION, REST_FLEXION = math.radians(30.0), math.radians(25.0)
LEAST_MAST = 0.2  # [m] shorter ones leave the cranks no room; common practice, no source
LEAST_OUTER = 0.15  # [m] from the relay to the character's elbow, for the same reason


@dataclass(frozen=True)
class TapeAnswers:
    """What the builder answered, amounts as typed, with their unit.

    Args:
        name: of the suit.
        stature: barefoot height, such as `1730 mm` or `5'8"`.
        body_mass: such as `68 kg` or `150 lb`.
        character_height: how tall the character is to stand.
        sex: which survey fills the gaps.
        performer: name of whoever wears it.
        stilts: their height; `0 mm` for none.
        show: how numbers are shown, and whether the stock proposed is metric or inch.
    """

    name: str
    stature: str
    body_mass: str
    character_height: str
    sex: Sex = "pooled"
    performer: str = "First"
    stilts: str = "0 mm"
    show: System = "mm"


class _Read(NamedTuple):
    stature: Toleranced
    body_mass: Toleranced
    height: float
    stilts: float


def suit_text(answers: TapeAnswers) -> str:
    """The text of a complete suit file, with comments.

    Raises:
        LimbwrightError: an answer is no amount, or the character is too small for an arm above the
            performer's.
    """
    read = _read(answers)
    body = complete_body(Performer(sex=answers.sex, stature=read.stature, body_mass=read.body_mass))
    step = 0.005 if answers.show == "mm" else 0.0254 / 8.0
    up = read.stilts + body.shoulder_up.value
    lengths = _lengths(answers, read, body, up, step)
    return write_suit(
        Sheet(
            name=answers.name,
            show=answers.show,
            performer=answers.performer,
            sex=answers.sex,
            stature=answers.stature,
            body_mass=answers.body_mass,
            character_height=answers.character_height,
            stilts=answers.stilts,
            stilt_height=read.stilts,
            height=read.height,
            mass=read.body_mass.value,
            hip=read.stilts + HIP * read.stature.value,
            lean=LEAN,
            marks=_marks(lengths, body.shoulder_out.value, up, step),
            **lengths,
        )
    )


def _read(answers: TapeAnswers) -> _Read:
    for question, text in (("name", answers.name), ("performer", answers.performer)):
        if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 _'-]{0,59}", text):
            raise LimbwrightError(f"{question}: '{text}' is no name; use letters, digits, spaces, - _ '")
    stature = _amount("stature", answers.stature, "length", 1.0, 2.5)
    mass = _amount("body mass", answers.body_mass, "mass", 25.0, 250.0)
    height = _amount("character height", answers.character_height, "length", 1.0, 10.0)
    stilts = _amount("stilts", answers.stilts, "length", 0.0, 1.5)
    return _Read(stature, mass, height.value, stilts.value)


def _amount(question: str, text: str, dimension: Dimension, low: float, high: float) -> Toleranced:
    try:
        value, plus_minus = parse(text, dimension)
    except UnitError as error:
        raise LimbwrightError(f"{question}: {error.problem}; {error.remedy}") from None
    if not low <= value <= high:
        span = f"{show(low, dimension)} to {show(high, dimension)}"
        raise LimbwrightError(f"{question}: '{text}' is out of bounds; write {span}")
    return Toleranced(value, plus_minus)


def _lengths(answers: TapeAnswers, read: _Read, body: Body, up: float, step: float) -> dict[str, float]:
    """Mast, carrier, forearm and hand [m], rounded to what a tape reads easily."""
    rise = SHOULDER_UP * read.height - up
    if rise < LEAST_MAST:
        least = show(math.ceil((up + LEAST_MAST) / SHOULDER_UP / 0.05) * 0.05, "length", answers.show)
        raise LimbwrightError(
            f"character height: {answers.character_height} leaves no room for a mast above the "
            f"performer's shoulders; make it {least} or more, or the stilts lower"
        )
    wanted = {
        "mast": rise / math.cos(LEAN),
        "carrier": max(CARRIER * read.height, body.upper_arm.value + LEAST_OUTER),
        "forearm": FOREARM * read.height,
        "hand": HAND * read.height,
    }
    return {name: round(length / step) * step for name, length in wanted.items()}


def _marks(
    lengths: Mapping[str, float], out: float, up: float, step: float
) -> dict[str, tuple[float, float]]:
    """Out and up of the character's joints [m] in the pose of rest, seen from the front."""
    lower = REST_ELEVATION + REST_FLEXION
    legs = (
        ("shoulder", "mast", math.pi - LEAN),
        ("elbow", "carrier", REST_ELEVATION),
        ("wrist", "forearm", lower),
        ("hand_tip", "hand", lower),
    )
    places: dict[str, tuple[float, float]] = {}
    for joint, link, angle in legs:
        out, up = out + lengths[link] * math.sin(angle), up - lengths[link] * math.cos(angle)
        places[joint] = (round(out / step) * step, max(round(up / step) * step, 0.0))
    return places
