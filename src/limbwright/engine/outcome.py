"""How a solve ended: one small code for each pose, never an exception."""

from enum import IntEnum


class Outcome(IntEnum):
    """What became of one pose."""

    CLOSED = 0
    CANNOT_CLOSE = 1  # the loops miss each other by the reported distance
    BRANCH_LOST = 2  # it closes, but on another assembly than the one it was built in


CLOSED = int(Outcome.CLOSED)
CANNOT_CLOSE = int(Outcome.CANNOT_CLOSE)
BRANCH_LOST = int(Outcome.BRANCH_LOST)
