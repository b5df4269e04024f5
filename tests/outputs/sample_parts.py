"""Parts and drawings that the plot tests share; sizes invented."""

import math

from limbwright.model.cut_part import CutPart, Hole
from limbwright.outputs.title_block import SheetInfo

INFO = SheetInfo(suit="Orchard Warden", revision="A")
FRACTIONS = SheetInfo(suit="Orchard Warden", revision="A", units="frac-in")


def polar(degrees, length):
    return (length * math.cos(math.radians(degrees)), length * math.sin(math.radians(degrees)))


def carrier(**changes):
    crank = polar(60.0, 0.080)
    facts = {
        "name": "carrier",
        "limb": "arm",
        "side": "right",
        "circles": ((0.0, 0.0, 0.020), (0.700, 0.0, 0.020), (*crank, 0.016)),
        "holes": (
            Hole(0.0, 0.0, 0.008, "S'"),
            Hole(0.322123457, 0.0, 0.008, "E1"),
            Hole(0.700, 0.0, 0.008, "E'"),
            Hole(*crank, 0.008, "C0'"),
        ),
        "datum": "S'",
        "material": "6061-T6",
        "section": "plate 6 mm",
        "layer": 0.012,
        "notes": ("Ream to Ø 8 H7 ± 0, break edges ½ mm.",),
    }
    return CutPart(**(facts | changes))


def relay():
    first, second = polar(100.0, 0.070), polar(55.0, 0.070)
    return CutPart(
        name="relay",
        limb="arm",
        side="right",
        circles=((0.0, 0.0, 0.018), (*first, 0.015), (*second, 0.015)),
        holes=(
            Hole(0.0, 0.0, 0.008, "E1"),
            Hole(*first, 0.008, "B"),
            Hole(*second, 0.008, "C"),
        ),
        datum="E1",
        material="6061-T6",
        section="plate 6 mm",
    )


def rod(length=0.620):
    return CutPart(
        name="shoulder rod",
        limb="arm",
        side="both",
        circles=((0.0, 0.0, 0.008), (length, 0.0, 0.008)),
        holes=(Hole(0.0, 0.0, 0.006, "A"), Hole(length, 0.0, 0.006, "A'")),
        datum="A",
        material="6061-T6",
        section="tube 16 x 1 mm",
        quantity=2,
    )


def parts():
    return [carrier(), carrier().mirror_image(), relay(), rod()]


def hole_distances_mm(part):
    """Every hole-to-hole distance straight from the part's numbers [mm]."""
    holes = part.holes
    return sorted(
        1e3 * math.dist((a.x, a.y), (b.x, b.y)) for i, a in enumerate(holes) for b in holes[i + 1 :]
    )
