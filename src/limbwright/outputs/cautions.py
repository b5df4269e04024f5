"""The cautions that go with every answer somebody may act on; they inform, nothing here certifies."""

from typing import Final

ESTIMATE: Final = "Estimates for planning by trained people; nothing here certifies a suit."
STAGED: Final = (
    "Verify by staged physical tests, at ground level first, with spotters; never first on stilts."
)
LOCK: Final = "Never force a locked arm; rehearse the way out, and see that a helper can free the performer."
STOP: Final = "Stop on pain, numbness, loss of grip, or heat."
NOT_COMPUTED: Final = (
    "Not computed, so unknown: strength of tubes and pins, clearance, springs, wind, balance, falls, "
    "fatigue, heat."
)
BAR: Final = "Measure the check bar on every print before cutting."
DEFER: Final = (
    "A structural engineer, a medic and the venue have the last word in their fields; "
    "name the person who accepted these numbers, with date and revision."
)

CHECK_CAUTIONS: Final = (ESTIMATE, STAGED, LOCK, STOP, NOT_COMPUTED, DEFER)
SHEET_CAUTIONS: Final = (ESTIMATE, BAR, STAGED)
FIT_CAUTIONS: Final = (ESTIMATE, STAGED)
PICTURE_CAUTION: Final = f"{ESTIMATE} {STAGED} {LOCK}"
