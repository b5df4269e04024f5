"""Reads a silhouette's SVG into outlines in metres, in the view's own right and up."""

import math
from pathlib import Path
from typing import Any, Final, NamedTuple

from limbwright.core.errors import LimbwrightError
from limbwright.model.character import Silhouette

Flat = tuple[float, float]
CURVE: Final = 24  # straight pieces for one curve
_LARGEST: Final = 20_000_000  # bytes; a drawing beyond this is a photograph in disguise
_COPIES: Final = 20


class SilhouetteError(LimbwrightError):
    """A silhouette that cannot be read."""


class Outlines(NamedTuple):
    """Closed or open outlines, each a run of points [m]: right of the origin, up from the floor."""

    runs: tuple[tuple[Flat, ...], ...]


def read_silhouette(drawn: Silhouette, folder: Path) -> Outlines:
    """Outlines of a silhouette file.

    Args:
        drawn: which file, and its scale and origin.
        folder: of the suit file.

    Raises:
        SilhouetteError: the file is not there, is no SVG, or has nothing drawn in it.
    """
    path = folder / drawn.file
    try:
        if path.stat().st_size > _LARGEST:
            raise SilhouetteError(f"{path}: larger than {_LARGEST // 1_000_000} MB; simplify the outline")
        runs = _runs(path)
    except OSError as error:
        raise SilhouetteError(f"{path}: {error.strerror or error}; give the silhouette's SVG file") from None
    scale, (x0, y0) = drawn.scale, drawn.origin
    placed = tuple(tuple((scale * (x - x0), scale * (y0 - y)) for x, y in run) for run in runs)
    sound = tuple(run for run in placed if len(run) > 1 and all(math.isfinite(c) for p in run for c in p))
    if not sound:
        raise SilhouetteError(f"{path}: no outline in it; draw the silhouette as a path")
    return Outlines(sound)


def _runs(path: Path) -> list[list[Flat]]:
    """Every subpath in the drawing's own units, curves as straight pieces."""
    from xml.etree.ElementTree import ParseError

    import svgelements

    lib: Any = svgelements  # it has no annotations
    _refuse_traps(path)
    try:
        svg = lib.SVG.parse(str(path))
        own = lib.Matrix(svg.viewbox_transform)
        own.inverse()
        runs: list[list[Flat]] = []
        for element in svg.elements():
            if isinstance(element, lib.Shape):
                outline = lib.Path(element)
                outline.reify()
                for part in outline.as_subpaths():
                    spots = [own.point_in_matrix_space(p) for p in _points(lib.Path(part))]
                    runs.append([(float(spot.x), float(spot.y)) for spot in spots])
    except (ParseError, ValueError, TypeError, ArithmeticError, RecursionError) as error:
        raise SilhouetteError(f"{path}: not an SVG drawing that can be read ({error})") from None
    return runs


def _refuse_traps(path: Path) -> None:
    """Refuse what can grow without bound when it is read: entities, and copies of copies."""
    raw = path.read_bytes()
    if b"<!ENTITY" in raw:
        raise SilhouetteError(f"{path}: declares XML entities; save it as plain SVG")
    if raw.count(b"<use") > _COPIES:
        raise SilhouetteError(f"{path}: more than {_COPIES} linked copies; turn copies into paths")


def _points(outline: Any) -> list[Any]:
    """Points along one subpath; straight pieces give their end, curves some more."""
    run: list[Any] = []
    for piece in outline:
        name = type(piece).__name__
        if name in ("Move", "Line", "Close"):
            run.append(piece.end)
        else:
            run += [piece.point(k / CURVE) for k in range(1, CURVE + 1)]
    return [spot for spot in run if spot is not None]
