"""What the suit must reach."""

from limbwright.model.base import Written
from limbwright.model.field import Acute, Moment, PlainMass, Share


class HoldingMoment(Written):
    """Most that a performer may be asked to hold [N m]."""

    swing: Moment | None = None
    shoulder: Moment | None = None
    elbow: Moment | None = None


class Targets(Written):
    """Limits the findings are set against; what is left out is shown without a limit."""

    usable_share: Share | None = None
    lock_margin: Acute | None = None
    holding_moment: HoldingMoment = HoldingMoment()
    suit_mass: PlainMass | None = None
