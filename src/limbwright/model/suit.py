"""The suit: the root of everything written down."""

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

from pydantic import Field, PlainValidator, PrivateAttr, WithJsonSchema

from limbwright.core.errors import SuitError
from limbwright.core.units import System
from limbwright.model.base import Written
from limbwright.model.character import Character
from limbwright.model.field import Elevation, Flexion, Lean, Name, Step, Turn, Words
from limbwright.model.limb import STAGES, ParallelArm
from limbwright.model.part import Harness, Part, Stilts
from limbwright.model.performer import Casting, Performer
from limbwright.model.quantity import said
from limbwright.model.target import Targets

FORMAT = 1
HARNESS = "harness"


def _format(written: object) -> int:
    if str(written) != str(FORMAT):
        raise said(f"format '{written}' is not known here", f"write format: {FORMAT}")
    return FORMAT


FormatField = Annotated[int, PlainValidator(_format), WithJsonSchema({"const": FORMAT})]


class Pose(Written):
    """Swivel's swing, upper arm's elevation from hanging, elbow flexion [rad]."""

    swing: Turn
    elevation: Elevation
    elbow: Flexion


class Sweep(Written):
    """Steps of the sweep of the performer's joint space [rad]."""

    swing: Step
    elevation: Step
    elbow: Step


class Suit(Written):
    """One suit as its file says it, in SI."""

    format: FormatField
    name: Words
    revision: Words
    show: System = "mm"
    performer: Casting
    character: Character
    harness: Harness
    stilts: Stilts | None = None
    limbs: Mapping[Name, ParallelArm] = Field(min_length=1)
    parts: tuple[Part, ...] = ()
    poses: Mapping[Name, Pose] = Field(min_length=1)
    assembled: Words
    sweep: Sweep
    lean: Lean = 0.0
    targets: Targets = Targets()

    _path: Path = PrivateAttr(default=Path("suit.yaml"))
    _lines: Mapping[str, int] = PrivateAttr(default_factory=dict[str, int])

    @property
    def path(self) -> Path:
        """Where it was read from."""
        return self._path

    @property
    def folder(self) -> Path:
        """The project folder."""
        return self._path.parent

    @property
    def active(self) -> Performer:
        """The performer who wears it now."""
        return self.performer.cast[self.performer.active]

    def place(self, path: Path, lines: Mapping[str, int]) -> "Suit":
        """Remember the file and the line of each field, for later errors. Called by the loader."""
        self._path, self._lines = path, lines
        return self

    def error(self, field: str, problem: str, remedy: str) -> SuitError:
        """A `SuitError` that points at a field's line, for what only a later step can find wrong."""
        known = field
        while known and known not in self._lines:
            known = known.rpartition(".")[0]
        return SuitError(self._path, self._lines.get(known), field, problem, remedy)


def host_of(suit: Suit, part: Part) -> str:
    """What a part hangs on in the end: `harness`, or `<limb>/<link>`, through parts it is fastened to."""
    by_name = {other.name: other for other in suit.parts}
    host = part.on
    while host in by_name:
        host = by_name[host].on
    return host


def unfitted(suit: Suit) -> tuple[str, ...]:
    """Dotted paths of the fields that still say `fit`."""
    found: list[str] = []
    for name, arm in suit.limbs.items():
        values: dict[str, object] = {"mast.length": arm.mast.length, "mast.lean": arm.mast.lean}
        for link in ("carrier", "character_forearm", "character_hand"):
            values[f"{link}.length"] = getattr(arm, link).length
        for stage in STAGES:
            crank = getattr(arm.cranks, stage)
            values |= {f"cranks.{stage}.length": crank.length, f"cranks.{stage}.angle": crank.angle}
        found += [f"limbs.{name}.{field}" for field, value in values.items() if value == "fit"]
    return tuple(found)
