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
from limbwright.model.limb import ParallelArm
from limbwright.model.part import Harness, Part, Stilts
from limbwright.model.performer import Casting, Performer
from limbwright.model.quantity import said
from limbwright.model.target import Targets

FORMAT = 1


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
