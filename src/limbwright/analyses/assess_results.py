"""What was found about one arm, and the words its findings share."""

import math
from dataclasses import dataclass

from limbwright.analyses.effort import Effort
from limbwright.analyses.least_lock import LeastLock
from limbwright.analyses.matching import Matching
from limbwright.analyses.named_poses import NamedPose
from limbwright.analyses.reach import Reach
from limbwright.analyses.travel import Travel
from limbwright.core.estimate import weakest
from limbwright.core.finding import Input
from limbwright.engine.mobility import Mobility
from limbwright.limbs.arm_masses import MassItem
from limbwright.limbs.worn_arm import WornArm
from limbwright.model.suit import Suit

LENGTHS_INPUT = Input("lengths as written, not yet measured on the build", "common practice")
DETERMINANT = (
    "closure determinant b0 b1 b2 sin(th+c0-mu) sin(ph+c1-mu) sin(ph+c2-th), flooded from the assembled pose"
)


@dataclass(frozen=True)
class ArmResults:
    """Everything found about one arm."""

    arm: WornArm
    reach: Reach
    least: LeastLock | None  # how near it comes to a lock; None where nothing is usable
    named: tuple[NamedPose, ...]
    matching: Matching | None
    travel: Travel | None
    effort: Effort | None
    mobility: Mobility
    items: tuple[MassItem, ...]  # what the effort rests on

    def key(self, rest: str) -> str:
        """A finding's stable key on this arm."""
        return f"{self.arm.limb}.{self.arm.side}.{rest}"

    @property
    def limits_input(self) -> Input:
        """The performer's joint limits as something a finding rests on."""
        return Input("the performer's joint limits", weakest(e.basis for e in self.arm.body.limits))


def pose_words(swing: float, elevation: float, elbow: float) -> str:
    """A pose in words a handler can set."""
    a, b, c = (math.degrees(v) for v in (swing, elevation, elbow))
    return f"swing {a:.0f}, elevation {b:.0f}, elbow {c:.0f} deg"


def upright(suit: Suit) -> str:
    """A reminder beside heights, which stay those of an upright trunk when the suit states a lean."""
    return "; trunk upright: the lean tilts gravity only" if suit.lean else ""
