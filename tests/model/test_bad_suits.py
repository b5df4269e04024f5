"""Mirrors `model/suit_file.py` and the checks behind it: every mistake is one line that can be acted on.

Each case edits the demo suit once. The line it must name is found here by looking for a piece of
text in the edited file, not by asking the program.
"""
# ruff: noqa: E501 - the table reads best with one case a line

from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from limbwright.core.errors import SuitError
from limbwright.model.suit_file import load_suit, parse_suit, suit_errors


class Bad(NamedTuple):
    """One edit of the good file and what the program has to say about it."""

    name: str
    old: str
    new: str
    at: str  # a piece of the line that must be named
    field: str
    problem: str
    remedy: str


MAST = "mast: {length: 620 mm +/- 0.5 mm, lean: 7 deg, section: tube 25 x 1.5 mm, material: 6061-T6"
MAST_AT = "    mast:"
STATURE = "stature: {value: 1730 mm, plus_minus: 5 mm, date: 2026-09-14}"
FRONT = "front: {file: front.svg, known_length: 3100 mm, from: [400, 20], to: [400, 640]"
HARNESS = "mass: {value: 4.6 kg, range: [4.2 kg, 5.2 kg], basis: guessed}"
CARRIER = "carrier: {length: 700 mm +/- 0.5 mm, section: tube 25 x 1.5 mm"
SHOULDER_ROD = "shoulder: {length: match, trim: 8 mm"
ELBOW_PIN = "elbow: {stack: [driver, performer_forearm], length: 20 mm}"
REST = "rest: {swing: 45 deg, elevation: 30 deg, elbow: 25 deg}"

CASES = [
    # --- amounts
    Bad("bare number", "620 mm +/- 0.5 mm, lean", "620, lean", MAST_AT, "limbs.arm.mast.length", "no unit", "write 620 mm"),
    Bad("decimal comma", "620 mm +/- 0.5 mm, lean", '"620,5 mm", lean', MAST_AT, "limbs.arm.mast.length", "620.5 mm or as 6205 mm", "write 620.5 mm or 6205 mm"),
    Bad("mass for a length", "620 mm +/- 0.5 mm, lean", "620 kg, lean", MAST_AT, "limbs.arm.mast.length", "is a mass", "mm, cm"),
    Bad("unknown unit", "620 mm +/- 0.5 mm, lean", "620 milimetre, lean", MAST_AT, "limbs.arm.mast.length", "no unit 'milimetre'", "mm"),
    Bad("zero length", "620 mm +/- 0.5 mm, lean", "0 mm, lean", MAST_AT, "limbs.arm.mast.length", "not above zero", "more than zero"),
    Bad("negative length", "620 mm +/- 0.5 mm, lean", "-620 mm, lean", MAST_AT, "limbs.arm.mast.length", "not above zero", "more than zero"),
    Bad("huge length", "620 mm +/- 0.5 mm, lean", "620 m, lean", MAST_AT, "limbs.arm.mast.length", "beyond", "unit"),
    Bad("not a number", "620 mm +/- 0.5 mm, lean", "nan mm, lean", MAST_AT, "limbs.arm.mast.length", "not a number", "12 mm"),
    Bad("infinite", "620 mm +/- 0.5 mm, lean", ".inf, lean", MAST_AT, "limbs.arm.mast.length", "not a number", "12 mm"),
    Bad("an exponent", "620 mm +/- 0.5 mm, lean", "6.2e2 mm, lean", MAST_AT, "limbs.arm.mast.length", "exponent", "write the number out"),
    Bad("empty length", "{length: 620 mm +/- 0.5 mm, lean", "{length: , lean", MAST_AT, "limbs.arm.mast.length", "left empty", "12 mm"),
    Bad("a wrong word", "driver: {length: performer", "driver: {length: perfomer", "driver:", "limbs.arm.driver.length", "'perfomer'", "write performer"),
    Bad("fit where nothing fits", "driver: {length: performer", "driver: {length: fit", "driver:", "limbs.arm.driver.length", "'fit' is neither 'performer'", "write performer"),
    Bad("a list for a length", "620 mm +/- 0.5 mm, lean", "[620 mm], lean", MAST_AT, "limbs.arm.mast.length", "length is wanted", "12 mm"),
    Bad("+/- as large as the value", "620 mm +/- 0.5 mm, lean", "620 mm +/- 620 mm, lean", MAST_AT, "limbs.arm.mast.length", "as large as", "smaller"),
    Bad("+/- where none is used", "layer: 70 mm", "layer: 70 mm +/- 1 mm", MAST_AT, "limbs.arm.mast.layer", "+/-", "alone"),
    Bad("pounds in a moment", "holding_moment: {shoulder: 30 N m", "holding_moment: {shoulder: 20 lb ft", "holding_moment", "targets.holding_moment.shoulder", "no unit of moment", "20 lbf ft"),
    Bad("share without %", "usable_share: 40 %", "usable_share: 0.45", "usable_share", "targets.usable_share", "no unit", "write 45 %"),
    Bad("share over all", "usable_share: 40 %", "usable_share: 350 %", "usable_share", "targets.usable_share", "out of bounds", "100 %"),
    # --- masses
    Bad("negative mass", "value: 1.6 kg, range: [1.55 kg, 1.65 kg]", "value: -1.6 kg, range: [1.55 kg, 1.65 kg]", "of one", "stilts.mass", "not above zero", "more than zero"),
    Bad("range beside the value", HARNESS, "mass: {value: 4.6 kg, range: [4.7 kg, 5.2 kg], basis: guessed}", "value: 4.6", "harness.mass", "does not hold", "least, greatest"),
    Bad("one-ended range", HARNESS, "mass: {value: 4.6 kg, range: [4.2 kg], basis: guessed}", "value: 4.6", "harness.mass", "two ends", "[0.38 kg, 0.48 kg]"),
    Bad("unknown basis", HARNESS, "mass: {value: 4.6 kg, range: [4.2 kg, 5.2 kg], basis: hoped}", "value: 4.6", "harness.mass", "'hoped'", "weighed, computed, guessed"),
    Bad("mass key mistyped", HARNESS, "mass: {value: 4.6 kg, rnage: [4.2 kg, 5.2 kg]}", "rnage", "harness.mass", "unknown key 'rnage'", "range"),
    Bad("mass without a value", HARNESS, "mass: {range: [4.2 kg, 5.2 kg]}", "mass: {range: [4.2", "harness.mass", "'value' is missing", "value"),
    Bad("mass of a tonne", HARNESS, "mass: 4600 kg", "mass: 4600 kg", "harness.mass", "beyond", "unit"),
    Bad("neither mass nor section", "{length: 260 mm, mass: {value: 0.06 kg, range: [0.04 kg, 0.09 kg], basis: guessed}, layer", "{length: 260 mm, layer", "character_hand:", "limbs.arm.character_hand", "neither a mass nor a section", "add mass"),
    Bad("section without material", CARRIER + ", material: 6061-T6", CARRIER, "carrier:", "limbs.arm.carrier", "neither a mass nor a material", "add mass"),
    # --- sections and materials
    Bad("unknown stock", "mast: {length: 620 mm +/- 0.5 mm, lean: 7 deg, section: tube 25 x 1.5 mm", "mast: {length: 620 mm, lean: 7 deg, section: beam 25 x 1.5 mm", MAST_AT, "limbs.arm.mast.section", "'beam 25 x 1.5 mm'", "tube 25 x 1.5 mm"),
    Bad("wall too thick", "lean: 7 deg, section: tube 25 x 1.5 mm", "lean: 7 deg, section: tube 25 x 15 mm", MAST_AT, "limbs.arm.mast.section", "walls that meet", "half the outside"),
    Bad("one size too few", "lean: 7 deg, section: tube 25 x 1.5 mm", "lean: 7 deg, section: tube 25 mm", MAST_AT, "limbs.arm.mast.section", "sizes of a tube", "tube 25 x 1.5 mm"),
    Bad("section without unit", "lean: 7 deg, section: tube 25 x 1.5 mm", "lean: 7 deg, section: tube 25 x 1.5", MAST_AT, "limbs.arm.mast.section", "no unit", "write tube 25 x 1.5 mm"),
    Bad("unknown material", MAST, MAST.replace("6061-T6", "mithril"), MAST_AT, "limbs.arm.mast.material", "no material 'mithril'", "6061-T6"),
    # --- angles
    Bad("stop beyond 89", "stops: 20 deg", "stops: 95 deg", "stops:", "limbs.arm.stops", "out of bounds", "0 deg to 89 deg"),
    Bad("negative stop", "stops: 20 deg", "stops: -1 deg", "stops:", "limbs.arm.stops", "negative", "0 deg to 89 deg"),
    Bad("stop missing for a stage", "stops: 20 deg", "stops: {shoulder: 10 deg, forearm: 10 deg}", "stops:", "limbs.arm.stops.relay", "is missing", "add `relay:`"),
    Bad("step too fine", "sweep: {swing: 5 deg", "sweep: {swing: 0.5 deg", "sweep:", "sweep.swing", "out of bounds", "1 deg to 30 deg"),
    Bad("step too coarse", "sweep: {swing: 5 deg, elevation: 4 deg", "sweep: {swing: 5 deg, elevation: 31 deg", "sweep:", "sweep.elevation", "out of bounds", "1 deg to 30 deg"),
    Bad("lean too far", "lean: 0 deg   ", "lean: 75 deg  ", "of the trunk", "lean", "out of bounds", "60 deg"),
    Bad("swivel range upside down", "range: [-45 deg, 120 deg]", "range: [120 deg, -45 deg]", "range: [120", "limbs.arm.swivel.range", "does not rise", "[least, greatest]"),
    Bad("lock margin over 89", "lock_margin: 15 deg", "lock_margin: 100 deg", "lock_margin", "targets.lock_margin", "out of bounds", "89 deg"),
    # --- keys and names
    Bad("unknown key at the top", "lean: 0 deg   ", "laen: 0 deg   ", "laen", "laen", "unknown key 'laen'", "did you mean 'lean'?"),
    Bad("unknown key of a link", "lean: 7 deg, section", "laen: 8 deg, section", MAST_AT, "limbs.arm.mast.laen", "unknown key 'laen'", "did you mean 'lean'?"),
    Bad("key known to nobody", "lean: 7 deg, section", "colour: red, section", MAST_AT, "limbs.arm.mast.colour", "unknown key 'colour'", "length, lean"),
    Bad("key of a silhouette", "known_length: 3100 mm, from: [400, 20]", "known_lenght: 3100 mm, from: [400, 20]", "front:", "character.silhouettes.front.known_lenght", "unknown key", "did you mean 'known_length'?"),
    Bad("missing field", "lean: 7 deg, section: tube 25 x 1.5 mm, material: 6061-T6, layer: 70 mm", "lean: 7 deg", MAST_AT, "limbs.arm.mast", "neither a mass nor a section", "add mass"),
    Bad("missing length", "{length: 620 mm +/- 0.5 mm, lean", "{lean", MAST_AT, "limbs.arm.mast.length", "is missing", "add `length:` to limbs.arm.mast"),
    Bad("missing block", "sweep: {swing: 5 deg, elevation: 4 deg, elbow: 4 deg}\n", "", "# Orchard Warden", "sweep", "is missing", "add `sweep:` to the suit"),
    Bad("unknown kind", "kind: parallel-arm", "kind: paralel-arm", "kind:", "limbs.arm.kind", "'paralel-arm'", "did you mean 'parallel-arm'?"),
    Bad("unknown side", "side: right\n    mirrored", "side: rihgt\n    mirrored", "side: rihgt", "limbs.arm.side", "'rihgt'", "did you mean 'right'?"),
    Bad("unknown sex", "sex: female", "sex: unsaid", "sex:", "performer.cast.Wren.sex", "'unsaid'", "female, male, pooled"),
    Bad("unknown system", "show: mm    ", "show: furlong", "show:", "show", "'furlong'", "mm, in, frac-in"),
    Bad("neither true nor false", "mirrored: true", "mirrored: perhaps", "mirrored:", "limbs.arm.mirrored", "neither true nor false", "true or false"),
    Bad("other format", "format: 1", "format: 2", "format:", "format", "'2'", "format: 1"),
    Bad("empty name", "name: Orchard Warden", "name:", "name:", "name", "left empty", "few words"),
    Bad("slash in a limb's name", "\n  arm:\n", "\n  arm/left:\n", "arm/left", "limbs.arm/left", "is no name", "letters"),
    Bad("block where a text belongs", "name: Orchard Warden", "name: {a: b}", "name:", "name", "text is wanted", "words"),
    Bad("text where a block belongs", FRONT + ", origin: [400, 640]}", "front: front.svg", "front:", "character.silhouettes.front", "not a block", "file, known_length"),
    Bad("empty block", "harness:\n  mass: {value: 4.6 kg, range: [4.2 kg, 5.2 kg], basis: guessed}\n  centre: [-80 mm, 0 mm, 1720 mm]         # [forward, left, up], performer standing on the stilts\n  shape: {box: [160 mm, 360 mm, 480 mm]}", "harness:", "harness:", "harness", "left empty", "fill it in"),
    Bad("list where a block belongs", "sweep: {swing: 5 deg, elevation: 4 deg, elbow: 4 deg}", "sweep: [5 deg, 5 deg, 5 deg]", "sweep:", "sweep", "not a block", "swing, elevation, elbow"),
    # --- the performer
    Bad("nobody active", "active: Wren", "active: Robin", "active:", "performer.active", "no performer 'Robin'", "Wren"),
    Bad("near miss of a performer", "active: Wren", "active: Wrem", "active:", "performer.active", "no performer 'Wrem'", "did you mean 'Wren'?"),
    Bad("unknown dimension", "biacromial_breadth: 372 mm", "biacromial_bredth: 372 mm", "biacromial_bredth", "performer.cast.Wren.measured.biacromial_bredth", "'biacromial_bredth'", "did you mean 'biacromial_breadth'?"),
    Bad("stature out of reason", "value: 1730 mm, plus", "value: 173 mm, plus", "stature:", "performer.cast.Wren.stature", "out of bounds", "1000 mm to 2500 mm"),
    Bad("body mass in grams", "body_mass: 68 kg +/- 1 kg", "body_mass: 68 g", "body_mass", "performer.cast.Wren.body_mass", "out of bounds", "25 kg to 250 kg"),
    Bad("no such day", "plus_minus: 5 mm, date: 2026-09-14}   # barefoot", "plus_minus: 5 mm, date: 2026-09-31}   # barefoot", "barefoot", "performer.cast.Wren.stature", "not a date", "2026-09-14"),
    Bad("+/- twice", STATURE, "stature: {value: 1730 mm +/- 5 mm, plus_minus: 5 mm}", "stature:", "performer.cast.Wren.stature", "given twice", "keep it in"),
    Bad("unknown limit", "shoulder_flexion: 162 deg", "shoulder_flexoin: 162 deg", "shoulder_flexoin", "performer.cast.Wren.limits.shoulder_flexoin", "unknown key", "did you mean 'shoulder_flexion'?"),
    Bad("limit beyond half a turn", "shoulder_flexion: 162 deg", "shoulder_flexion: 262 deg", "shoulder_flexion", "performer.cast.Wren.limits.shoulder_flexion", "out of bounds", "180 deg"),
    # --- the character
    Bad("no such drawing", "file: front.svg", "file: frnt.svg", "front:", "character.silhouettes.front.file", "no file 'frnt.svg'", "front.svg"),
    Bad("drawing outside the folder", "file: front.svg", "file: ../front.svg", "front:", "character.silhouettes.front.file", "leaves the project folder", "beside the suit"),
    Bad("absolute drawing", "file: front.svg", "file: /front.svg", "front:", "character.silhouettes.front.file", "leaves the project folder", "beside the suit"),
    Bad("not an SVG", "file: front.svg", "file: suit.yaml", "front:", "character.silhouettes.front.file", "not an SVG", "export"),
    Bad("no distance between the points", "from: [400, 20], to: [400, 640]", "from: [400, 640], to: [400, 640]", "front:", "character.silhouettes.front.to", "same point", "two ends"),
    Bad("coordinate not finite", "from: [400, 20]", "from: [400, .nan]", "front:", "character.silhouettes.front.from[1]", "not a coordinate", "plain number"),
    Bad("coordinate with a unit", "from: [400, 20]", "from: [400, 20 mm]", "front:", "character.silhouettes.front.from[1]", "not a coordinate", "plain number"),
    Bad("point of one number", "from: [400, 20]", "from: [400]", "front:", "character.silhouettes.front.from", "only 1 entry", "all of them"),
    Bad("point of three numbers", "from: [400, 20]", "from: [400, 20, 3]", "front:", "character.silhouettes.front.from", "has 3 entries", "no more than 2"),
    Bad("mark above the character", "elbow: [600 mm, 0 mm, 1850 mm]", "elbow: [600 mm, 0 mm, 3850 mm]", "elbow: [600", "character.marks.elbow", "3850 mm up", "3100 mm"),
    Bad("mark on the wrong side", "elbow: [600 mm, 0 mm, 1850 mm]", "elbow: [-600 mm, 0 mm, 1850 mm]", "elbow: [-600", "character.marks.elbow", "negative", "outward"),
    Bad("mark missing", "    hand_tip: [1435 mm, 0 mm, 1265 mm]\n", "", "  marks:", "character.marks.hand_tip", "is missing", "add `hand_tip:` to character.marks"),
    # --- the arm's geometry
    Bad("rod too short to assemble", SHOULDER_ROD, "shoulder: {length: 455 mm, trim: 8 mm", "shoulder: {length: 455", "limbs.arm.rods.shoulder.length", "455 mm is too short", "460 mm to 780 mm"),
    Bad("rod too long to assemble", SHOULDER_ROD, "shoulder: {length: 790 mm, trim: 8 mm", "shoulder: {length: 790", "limbs.arm.rods.shoulder.length", "790 mm is too long", "460 mm to 780 mm"),
    Bad("relay rod too short", "relay_at: performer", "relay_at: 400 mm", "relay: {length: 100", "limbs.arm.rods.relay.length", "too short", "160 mm to 440 mm"),
    Bad("relay outside the carrier", "relay_at: performer", "relay_at: 710 mm", "relay_at", "limbs.arm.relay_at", "outside the carrier", "under 700 mm"),
    Bad("trim as long as the rod", SHOULDER_ROD, "shoulder: {length: match, trim: 620 mm", "trim: 620", "limbs.arm.rods.shoulder.trim", "as long as the rod", "travel"),
    Bad("relay without rim", "rim: 12 mm", "rim: 4 mm", "plate: 6 mm", "limbs.arm.relay.rim", "no metal", "half the diameter"),
    Bad("limb hung on itself", "on: harness\n    side", "on: arm\n    side", "on: arm\n", "limbs.arm.on", "hangs on itself", "on: harness"),
    Bad("limb hung on its own link", "on: harness\n    side", "on: arm/carrier\n    side", "on: arm/carrier\n", "limbs.arm.on", "hangs on itself", "on: harness"),
    Bad("limb hung on nothing known", "on: harness\n    side", "on: cloud\n    side", "on: cloud", "limbs.arm.on", "cannot hang on 'cloud'", "on: harness"),
    # --- pins
    Bad("unknown pin", "        elbow: {stack", "        elbwo: {stack", "elbwo", "limbs.arm.pins.each.elbwo", "'elbwo'", "did you mean 'elbow'?"),
    Bad("pin through the wrong links", ELBOW_PIN, "elbow: {stack: [driver, carrier], length: 20 mm}", "stack: [driver, carrier]", "limbs.arm.pins.each.elbow.stack", "joins driver, performer_forearm", "[driver, performer_forearm]"),
    Bad("stack upside down", ELBOW_PIN, "elbow: {stack: [performer_forearm, driver], length: 20 mm}", "stack: [performer_forearm", "limbs.arm.pins.each.elbow.stack", "order of the layers", "[driver, performer_forearm]"),
    Bad("pin too short", ELBOW_PIN, "elbow: {stack: [driver, performer_forearm], length: 10 mm}", "length: 10 mm}", "limbs.arm.pins.each.elbow.length", "shorter than its stack", "at least 11 mm"),
    Bad("links in one another", "material: 6061-T6, layer: 92 mm", "material: 6061-T6, layer: 88 mm", "elbow: {stack", "limbs.arm.pins.each.elbow.stack", "overlap by 3 mm", "further apart"),
    Bad("pin of one link", ELBOW_PIN, "elbow: {stack: [driver], length: 20 mm}", "elbow: {stack", "limbs.arm.pins.each.elbow.stack", "has 1 entry", "at least 2"),
    # --- parts
    Bad("part on an unknown limb", "on: arm/carrier", "on: leg/carrier", "on: leg", "parts[0].on", "no host 'leg/carrier'", "arm/<link>"),
    Bad("part on an unknown link", "on: arm/carrier", "on: arm/carier", "on: arm/carier", "parts[0].on", "'arm' has no link 'carier'", "did you mean 'carrier'?"),
    Bad("part on a whole limb", "on: arm/carrier", "on: arm", "on: arm\n", "parts[0].on", "whole limb", "arm/carrier"),
    Bad("part on itself", "on: twig hand", "on: lantern", "on: lantern", "parts[5].on", "hangs on itself: lantern on lantern", "harness"),
    Bad("parts in a ring", "on: arm/character_hand", "on: lantern", "on: lantern", "parts[2].on", "twig hand on lantern on twig hand", "harness"),
    Bad("two parts of one name", "name: crown", "name: twig hand", "  - name: twig hand\n    on: harness", "parts[3].name", "two parts", "parts[2]"),
    Bad("part called harness", "name: crown", "name: harness", "name: harness", "parts[3].name", "already taken", "another name"),
    Bad("side of a harness part", "name: crown\n    on: harness", "name: crown\n    on: harness\n    side: left", "side: left", "parts[3].side", "no meaning", "leave side out"),
    Bad("side that is not built", "mirrored: true              # builds the left one too", "mirrored: false\n", "side: left\n    mass", "parts[5].side", "'arm' has no left side", "write right or both"),
    Bad("part on a part of the other side", "name: twig hand\n    on", "name: twig hand\n    side: left\n    on", "side: right\n    mass", "parts[5].side", "only on the left", "write side: left"),
    Bad("unknown shape", "shape: {sphere: 520 mm}", "shape: {cube: 520 mm}", "cube", "parts[3].shape", "no shape 'cube'", "{sphere: diameter}"),
    Bad("box of two sides", "shape: {box: [520 mm, 640 mm, 1700 mm]}", "shape: {box: [520 mm, 640 mm]}", "box: [520 mm, 640 mm]", "parts[4].shape", "not 2", "box"),
    Bad("flat sphere", "shape: {sphere: 520 mm}", "shape: {sphere: 0 mm}", "sphere: 0", "parts[3].shape", "not above zero", "more than zero"),
    Bad("capsule too short", "{capsule: [150 mm, 620 mm]}", "{capsule: [150 mm, 120 mm]}", "capsule: [150 mm, 120", "parts[0].shape", "shorter than its diameter", "overall length"),
    Bad("centre of two numbers", "centre: [360 mm, 0 mm, 0 mm]", "centre: [360 mm, 0 mm]", "centre: [360 mm, 0 mm]", "parts[0].centre", "only 2 entries", "all of them"),
    # --- poses
    Bad("assembled pose missing", "assembled: rest  ", "assembled: rset  ", "assembled:", "assembled", "no pose 'rset'", "did you mean 'rest'?"),
    Bad("pose outside the swivel", REST, "rest: {swing: 130 deg, elevation: 30 deg, elbow: 25 deg}", "rest:", "poses.rest.swing", "130 deg is outside", "-45 deg to 120 deg"),
    Bad("pose over the top", REST, "rest: {swing: 45 deg, elevation: 190 deg, elbow: 25 deg}", "rest:", "poses.rest.elevation", "out of bounds", "0 deg to 180 deg"),
    Bad("elbow bent backwards", REST, "rest: {swing: 45 deg, elevation: 30 deg, elbow: -5 deg}", "rest:", "poses.rest.elbow", "negative", "0 deg to 170 deg"),
    Bad("pose not complete", REST, "rest: {swing: 45 deg, elevation: 30 deg}", "rest:", "poses.rest.elbow", "is missing", "add `elbow:` to poses.rest"),
    Bad("assembled on a change point", "relay: {length: 70 mm +/- 0.2 mm, angle: 20 deg}", "relay: {length: 70 mm +/- 0.2 mm, angle: -25 deg}", "angle: -25 deg", "limbs.arm.cranks.relay.angle", "in line with its cranks", "another pose"),
    # --- YAML itself
    Bad("tab", "  height: 3100 mm", "\theight: 3100 mm", "\theight", "", "tab", "spaces"),
    Bad("key twice", "  height: 3100 mm", "  height: 3100 mm\n  height: 3200 mm", "height: 3200", "character.height", "written twice, first on line", "keep one"),
    Bad("open bracket", "range: [-45 deg, 120 deg]", "range: [-45 deg, 120 deg", "range: [-45 deg, 120 deg\n", "", "a bracket opened here", "close the bracket"),
    Bad("quote left open", "name: Orchard Warden", "name: \"Orchard Warden", "name: \"Orchard", "", "a quote opened here", "close the quote"),
    Bad("anchor", "active: Wren", "active: &w Wren", "active:", "performer.active", "anchors and aliases", "write the value out"),
    Bad("alias", "active: Wren", "active: *w", "active:", "performer.active", "anchors and aliases", "write the value out"),
    Bad("tag", "active: Wren", "active: !!python/name:os.system Wren", "active:", "performer.active", "tags", "plain value"),
    Bad("merge key", "active: Wren", "<<: {active: Wren}", "<<", "performer", "merge keys", "write the fields out"),
    Bad("second document", "lean: 0 deg   ", "---\nlean: 0 deg   ", "---", "", "second document", "one suit a file"),
    Bad("deep nesting", "name: Orchard Warden", "name: " + "[" * 40 + "]" * 40, "name:", "name" + "[0]" * 12, "nested more than 12", "flatter"),
    Bad("control character", "name: Orchard Warden", "name: Orchard\x07 Warden", "name:", "", "character that text files do not use", "delete"),
    Bad("list as a key", "name: Orchard Warden", "? [a, b]\n: c\nname: Orchard Warden", "? [a, b]", "", "key", "plain word"),
]  # fmt: skip


def edited(text: str, case: Bad) -> str:
    """The demo's text with the case's edit in it; some cases need a second, harmless one."""
    assert text.count(case.old) == 1, f"{case.name}: {text.count(case.old)} places to edit"
    text = text.replace(case.old, case.new)
    if case.name == "relay rod too short":
        text = text.replace("relay: {length: match, trim: 20 mm", "relay: {length: 100 mm, trim: 20 mm")
    if case.name == "side that is not built":
        text = text.replace("side: right\n    mass", "side: left\n    mass")
    return text


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_one_line_with_file_line_field_and_remedy(case: Bad, demo_copy: Path) -> None:
    text = edited(demo_copy.read_text(encoding="utf-8"), case)
    demo_copy.write_text(text, encoding="utf-8")
    wanted_line = text[: text.index(case.at)].count("\n") + 1
    with pytest.raises(SuitError) as caught:
        load_suit(demo_copy)
    error = caught.value
    assert error.field == case.field, str(error)
    assert error.line == wanted_line, str(error)
    assert case.problem in error.problem, str(error)
    assert case.remedy in error.remedy, str(error)
    assert "\n" not in str(error)
    assert str(error).startswith(f"suit.yaml:{wanted_line}:")


def test_there_are_enough_cases() -> None:
    assert len({case.name for case in CASES}) == len(CASES) >= 60


@pytest.mark.parametrize(
    ("content", "line", "problem"),
    [
        (b"", None, "empty"),
        (b"\n  \n", None, "empty"),
        (b"# only a comment\n", 1, "not a suit"),
        (b"- a\n- b\n", 1, "not a suit"),
        (b"just words\n", 1, "not a suit"),
        (b"format: 1\nname: \xff\xfe\n", 2, "UTF-8"),
        ("format: 1\n".encode("utf-16"), 1, "UTF-8"),
        (b"a: 1\n" * 250_000, None, "larger than 1000 kB"),
        (b"a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\n", 1, "anchors"),
        (b"a: " + b"[" * 100_000, 1, "nested"),
        (b"a: " + b"{a: " * 100_000, 1, "nested"),
        (b"\x00\x01\x02", 1, "character"),
    ],
)
def test_files_that_are_no_suit(content: bytes, line: int | None, problem: str, tmp_path: Path) -> None:
    file = tmp_path / "suit.yaml"
    file.write_bytes(content)
    with pytest.raises(SuitError) as caught:
        load_suit(file)
    assert caught.value.line == line
    assert problem in caught.value.problem
    assert "\n" not in str(caught.value)


def test_no_file_and_a_folder(tmp_path: Path) -> None:
    with pytest.raises(SuitError, match="no such file"):
        load_suit(tmp_path / "suit.yaml")
    with pytest.raises(SuitError, match="is a folder"):
        load_suit(tmp_path)


def test_everything_wrong_is_listed_from_the_top_down(demo_copy: Path) -> None:
    text = demo_copy.read_text(encoding="utf-8")
    for old, new in (
        ("sweep: {swing: 5 deg", "sweep: {swing: 500 deg"),
        ("active: Wren", "activ: Wren"),
        ("stops: 20 deg", "stops: 95 deg"),
    ):
        text = text.replace(old, new)
    demo_copy.write_text(text, encoding="utf-8")
    errors = suit_errors(demo_copy)
    assert [e.field for e in errors] == ["performer.activ", "limbs.arm.stops", "sweep.swing"]
    assert [e.line for e in errors] == sorted(e.line or 0 for e in errors)


@settings(max_examples=150)
@given(data=st.data())
def test_no_damage_to_the_file_raises_anything_else(data: st.DataObject, demo_suit_path: Path) -> None:
    """Cut, double or replace a piece anywhere: a suit or one line, never another exception."""
    text = demo_suit_path.read_text(encoding="utf-8")
    start = data.draw(st.integers(0, len(text) - 1))
    length = data.draw(st.integers(0, 60))
    piece = data.draw(
        st.one_of(
            st.just(""),
            st.text(max_size=8),
            st.sampled_from(["{", "]", ": ", "- ", "\n", "nan", "-1 mm", "&a ", "*a", "!x ", "'", '"', "#"]),
            st.just(text[start : start + length] * 2),
        )
    )
    damaged = text[:start] + piece + text[start + length :]
    caught: SuitError | None = None
    try:
        parse_suit(damaged, demo_suit_path)
    except SuitError as error:
        caught = error
    if caught is not None:
        assert "\n" not in str(caught)
        assert caught.line is None or 1 <= caught.line <= damaged.count("\n") + 2
