"""A small reader of PDF paths, on an independent parser (pypdf), in millimetres on the page.

Operators and the order of matrix products: ISO 32000-1:2008, 8.3.4 and table 59.
"""

import io
from dataclasses import dataclass, field

import numpy as np
from pypdf import PdfReader
from pypdf.generic import ContentStream

MM = 25.4 / 72.0


@dataclass
class Path:
    """One painted path: its points [mm], how many curves, how it was painted, grey, clip boxes [mm]."""

    points: np.ndarray
    curves: int
    painted: str
    fill: float
    clips: list = field(default_factory=list)
    form: str = ""

    @property
    def box(self):
        low, high = self.points.min(axis=0), self.points.max(axis=0)
        return (*low, *high)


def read(data):
    return PdfReader(io.BytesIO(data))


def page_sizes_mm(data):
    return [(float(p.mediabox.width) * MM, float(p.mediabox.height) * MM) for p in read(data).pages]


def page_paths(data):
    """For each page, its painted paths in page millimetres, forms opened."""
    reader = read(data)
    found = []
    for page in reader.pages:
        paths = []
        state = {"ctm": np.eye(3), "fill": 0.0, "clips": [], "form": ""}
        _run(ContentStream(page.get_contents(), reader), page["/Resources"], state, paths, reader)
        found.append(paths)
    return found


def circles(paths):
    """Centre and radii of every path in a form that is one closed ring of curves [mm]."""
    rings = [p for p in paths if p.curves == 24 and len(p.points) == 25 and p.form]
    result = []
    for ring in rings:
        centre = ring.points[:-1].mean(axis=0)
        result.append((centre, np.linalg.norm(ring.points[:-1] - centre, axis=1)))
    return result


def _run(stream, resources, state, paths, reader):
    stack, points, curves, clip = [], [], 0, False
    for operands, operator in stream.operations:
        op = operator.decode()
        if op == "q":
            stack.append({**state, "clips": list(state["clips"])})
        elif op == "Q":
            state = stack.pop()
        elif op == "cm":
            a, b, c, d, e, f = (float(v) for v in operands)
            state["ctm"] = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ state["ctm"]
        elif op == "g":
            state["fill"] = float(operands[0])
        elif op in ("m", "l"):
            points.append(_at(operands, state))
        elif op == "c":
            points.append(_at(operands[4:], state))
            curves += 1
        elif op == "re":
            x, y, w, h = (float(v) for v in operands)
            points += [_at(p, state) for p in ((x, y), (x + w, y), (x + w, y + h), (x, y + h))]
        elif op == "W":
            clip = True
        elif op in ("S", "f", "B", "n", "s"):
            if clip:
                low, high = np.min(points, axis=0), np.max(points, axis=0)
                state["clips"] = [*state["clips"], (*low, *high)]
            elif op != "n":
                paths.append(Path(np.array(points), curves, op, state["fill"], state["clips"], state["form"]))
            points, curves, clip = [], 0, False
        elif op == "Do":
            form = resources["/XObject"][operands[0]].get_object()
            inner = {**state, "clips": list(state["clips"]), "form": str(operands[0])}
            _run(ContentStream(form, reader), form["/Resources"], inner, paths, reader)


def _at(operands, state):
    x, y = (float(v) for v in operands)
    return (np.array([x, y, 1.0]) @ state["ctm"])[:2] * MM
