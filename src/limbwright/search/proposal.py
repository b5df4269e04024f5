"""What `fit` proposes, and what would come of it."""

from dataclasses import dataclass, field
from typing import NamedTuple

from limbwright.core.errors import SuitError
from limbwright.core.estimate import Basis
from limbwright.limbs.arm_geometry import ArmGeometry
from limbwright.model.limb import StageName
from limbwright.model.suit import Suit
from limbwright.model.suit_document import SuitDocument
from limbwright.search.drawn_arm import DrawnArm

COORDINATES: tuple[str, str, str] = ("elevation", "elevation + elbow", "elbow")  # by stage


@dataclass(frozen=True)
class Proposed:
    """A value for one field of the suit file."""

    field: str  # dotted path, such as limbs.arm.cranks.shoulder.angle
    text: str  # as the file would have it
    was: str | None  # None where the file says fit
    reason: str
    value: float  # SI
    basis: Basis


@dataclass(frozen=True)
class Kept:
    """A value that stands, beside the other one that fit would have chosen."""

    field: str
    text: str
    would: str
    better: bool  # whether what fit would have chosen is better by more than rounding
    reason: str


class StageOutlook(NamedTuple):
    """Where one stage locks, in its own coordinate [rad]; margins are signed, negative beyond a lock."""

    stage: StageName
    coordinate: str
    low: float
    high: float
    tightest: str
    margin: float
    floor: float  # the margin at which the share is reckoned


class PoseOutlook(NamedTuple):
    """One pose: least margin over the stages, which stage, and the likely angle between forearms [rad]."""

    name: str
    margin: float
    stage: StageName
    likely_turn: float  # NaN where a lock is nearer than a degree


@dataclass(frozen=True)
class Outlook:
    """What an arm with certain crank angles keeps; the share is of the performer's range."""

    share: float
    stages: tuple[StageOutlook, StageOutlook, StageOutlook]
    poses: tuple[PoseOutlook, ...]

    @property
    def least(self) -> PoseOutlook:
        """The pose nearest to a lock."""
        return min(self.poses, key=lambda pose: pose.margin)


@dataclass(frozen=True)
class Proposal:
    """Proposed values of one arm and what would come of them."""

    limb: str
    values: tuple[Proposed, ...]
    kept: tuple[Kept, ...]
    unmet: tuple[str, ...]  # one sentence for each wish that cannot be met, with how far
    notes: tuple[str, ...]  # what the shop should know
    margin: float  # lock margin asked for [rad]
    drawn: DrawnArm | None  # None without marks
    before: Outlook | None  # None where the file still says fit
    after: Outlook | None  # None where the mast's lean is not known
    suit: Suit  # with the proposals in it
    geometry: ArmGeometry | None = field(compare=False)  # right arm, proposals in it; None until all is known


def write_proposal(document: SuitDocument, proposal: Proposal) -> None:
    """Put every proposed value into a suit document; the caller saves it.

    Raises:
        SuitError: a value cannot be written; nothing is changed then.
    """
    document.set_all(dict(_target(document, value) for value in proposal.values))


def _target(document: SuitDocument, proposed: Proposed) -> tuple[str, str]:
    """Where a value goes: a field written as {value: ..., plus_minus: ...} keeps its +/-."""
    inner = f"{proposed.field}.value"
    try:
        document.get(inner)
    except SuitError:
        return proposed.field, proposed.text
    return inner, proposed.text.partition(" +/- ")[0]
