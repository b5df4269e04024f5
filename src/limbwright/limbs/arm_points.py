"""Where an arm's pins and ends are in a pose: one list of points and bars for every picture and test."""

from typing import Literal, NamedTuple

import numpy as np
from jaxtyping import Float

from limbwright.engine.closure import Frames, frames
from limbwright.engine.mechanism import Mechanism
from limbwright.limbs.arm_geometry import ArmGeometry, direction
from limbwright.limbs.parallel_arm import HANGING

BarKind = Literal["mast", "driver", "carrier", "performer", "character", "rod", "relay", "crank", "hand"]


class Bar(NamedTuple):
    """A straight member between two named points."""

    name: str
    kind: BarKind
    start: str
    end: str


BARS: tuple[Bar, ...] = (
    Bar("mast", "mast", "S", "S'"),
    Bar("driver", "driver", "S", "E"),
    Bar("performer forearm", "performer", "E", "W"),
    Bar("performer hand", "hand", "W", "G"),
    Bar("carrier", "carrier", "S'", "E'"),
    Bar("character forearm", "character", "E'", "W'"),
    Bar("character hand", "hand", "W'", "T'"),
    Bar("shoulder rod", "rod", "A", "A'"),
    Bar("forearm rod", "rod", "B", "B'"),
    Bar("relay rod", "rod", "C", "C'"),
    Bar("driver crank", "crank", "S", "A"),
    Bar("carrier crank", "crank", "S'", "A'"),
    Bar("forearm crank", "crank", "E", "B"),
    Bar("relay, lower arm", "relay", "E1", "B'"),
    Bar("relay, outer arm", "relay", "E1", "C"),
    Bar("character crank", "crank", "E'", "C'"),
)


def local_points(geometry: ArmGeometry) -> dict[str, tuple[str, Float[np.ndarray, " 3"]]]:
    """Every named point as (body, place in that body's frame [m]).

    S E W G: performer's shoulder, elbow, wrist cuff, grip. S' E1 E' W' T': the character's shoulder,
    relay pin, elbow, wrist, hand tip. A B C and A' B' C': lower and upper pins of the three rods.
    """
    c0, c1, c2 = (
        direction(a) for a in (geometry.angle_shoulder, geometry.angle_forearm, geometry.angle_relay)
    )
    zero = np.zeros(3)
    return {
        "S": ("driver", zero),
        "E": ("driver", geometry.drive * HANGING),
        "W": ("performer_forearm", geometry.performer_forearm * HANGING),
        "G": ("performer_forearm", geometry.performer_grip * HANGING),
        "S'": ("carrier", zero),
        "E1": ("relay", zero),
        "E'": ("character_forearm", zero),
        "W'": ("character_forearm", geometry.character_forearm * HANGING),
        "T'": ("character_forearm", (geometry.character_forearm + geometry.character_hand) * HANGING),
        "A": ("driver", geometry.crank_driver * c0),
        "A'": ("carrier", geometry.crank_carrier * c0),
        "B": ("performer_forearm", geometry.crank_forearm * c1),
        "B'": ("relay", geometry.crank_relay_lower * c1),
        "C": ("relay", geometry.crank_relay_outer * c2),
        "C'": ("character_forearm", geometry.crank_character * c2),
    }


def arm_points(
    mechanism: Mechanism, geometry: ArmGeometry, q: Float[np.ndarray, " q"]
) -> dict[str, Float[np.ndarray, " 3"]]:
    """Every named point of an arm in a closed pose, in the world [m]."""
    placed: Frames = frames(mechanism, q)
    return {
        name: placed.point(mechanism.body(body), local)
        for name, (body, local) in local_points(geometry).items()
    }
