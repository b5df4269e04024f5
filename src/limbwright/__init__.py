"""Limbwright: linkages, limits and full-scale plots for wearable creature suits."""

from typing import TYPE_CHECKING

__version__ = "0.1.0"

if TYPE_CHECKING:  # names for readers and type checkers; loaded on first use, so importing is quick
    from limbwright.analyses.assess import Assessment as Assessment
    from limbwright.analyses.assess import assess as assess
    from limbwright.core.errors import SuitError as SuitError
    from limbwright.model.suit import Suit as Suit
    from limbwright.model.suit_file import load_suit as load_suit

    check = assess

_HOMES = {
    "Assessment": ("limbwright.analyses.assess", "Assessment"),
    "check": ("limbwright.analyses.assess", "assess"),
    "SuitError": ("limbwright.core.errors", "SuitError"),
    "Suit": ("limbwright.model.suit", "Suit"),
    "load_suit": ("limbwright.model.suit_file", "load_suit"),
}


def __getattr__(name: str) -> object:
    """Load a public name from its home."""
    if name not in _HOMES:
        raise AttributeError(f"limbwright has no {name!r}; it has {', '.join(sorted(_HOMES))}")
    from importlib import import_module

    module, attribute = _HOMES[name]
    return getattr(import_module(module), attribute)
