"""More mass never asks less: over drawn suits, adding to any one part raises mass and moments or leaves them.

Source: weights are forces that point down; outboard of a joint they add to its moment (statics). Drawn by
hypothesis, the same draws every time.
"""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from limbs.trial import arms_of, suit_of
from limbwright.analyses.effort import Effort, effort_over
from limbwright.analyses.mass_budget import weigh
from limbwright.engine.closure import follow_drive

PLACES = ("arm/carrier", "arm/character_forearm", "arm/character_hand", "arm/driver", "arm/performer_forearm")
ARM = arms_of()[0]
# every pose with arm and forearm pointing outward: what hangs on them is outboard of its joints
DRIVES = np.radians([[s, e, b] for s in (0.0, 70.0) for e in (40.0, 70.0, 100.0) for b in (0.0, 20.0, 45.0)])
POSES = follow_drive(ARM.mechanism, DRIVES).q


def suit_with(masses: dict[str, float]):
    parts = [
        {
            "name": f"part {k}", "on": place, "centre": ["100 mm", "0 mm", "0 mm"],
            "mass": {"value": f"{m:.6f} kg", "range": [f"{0.8 * m:.6f} kg", f"{1.3 * m:.6f} kg"]},
        }
        for k, (place, m) in enumerate((place, masses[place]) for place in PLACES)
    ]  # fmt: skip
    return suit_of({"parts": parts})


def effort(masses: dict[str, float]) -> Effort:
    found = effort_over(suit_with(masses), ARM, POSES, {str(k): q for k, q in enumerate(POSES)})
    assert found is not None
    return found


MASSES = st.fixed_dictionaries({place: st.floats(0.01, 3.0) for place in PLACES})


@settings(max_examples=15)
@given(MASSES, st.sampled_from(PLACES), st.floats(0.05, 2.0))
def test_heavier_is_never_easier(masses, place, more):
    light, heavy = effort(masses), effort({**masses, place: masses[place] + more})
    assert np.all(heavy.moments[:, 1:] >= light.moments[:, 1:] - 1e-9)
    assert heavy.moments[:, 1].max() > light.moments[:, 1].max()
    for axis in ("shoulder", "elbow"):
        before, after = light.worst[axis].asked[axis], heavy.worst[axis].asked[axis]
        assert after.value >= before.value - 1e-9
        assert after.band[0] >= before.band[0] - 1e-9
        assert after.band[1] >= before.band[1] - 1e-9


@settings(max_examples=10)
@given(MASSES, MASSES)
def test_moments_add_up(one, two):
    """Superposition: two loads together ask what they ask apart, over what the bare arm asks."""
    bare = effort(dict.fromkeys(PLACES, 1e-6)).moments
    apart = effort(one).moments + effort(two).moments - bare
    together = effort({place: one[place] + two[place] for place in PLACES}).moments
    np.testing.assert_allclose(together, apart, atol=1e-4)


@settings(max_examples=15)
@given(MASSES, st.sampled_from(PLACES), st.floats(0.05, 2.0))
def test_the_suit_weighs_what_is_added(masses, place, more):
    """Twice, as both arms carry the part; and the centre moves towards it."""
    arms = arms_of()
    light, heavy = (
        weigh(suit_with(masses), arms),
        weigh(suit_with({**masses, place: masses[place] + more}), arms),
    )
    assert abs(heavy.total - light.total - 2.0 * more) < 1e-5
    name = f"part {PLACES.index(place)}"
    at = next(i.centre for i in heavy.items if i.name.startswith(name) and "right" in i.name)
    towards = (at[2] - light.centre[2]) * (heavy.centre[2] - light.centre[2])
    assert towards >= -1e-12
    assert light.band is not None
    assert heavy.band is not None
    assert heavy.band[1] > light.band[1]
