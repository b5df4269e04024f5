"""YAML as text with places: every scalar keeps its own spelling, its line and where it stands.

Only what a suit file needs: one document of mappings, lists and scalars. Anchors, aliases, tags, merge
keys and repeated keys are refused, size and depth are limited, and no scalar is turned into anything.
The events come from ruamel.yaml; the tree is built here, in a loop, so that depth cannot hurt.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, cast

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from limbwright.core.errors import SuitError

LARGEST_FILE = 1_000_000  # bytes; a large suit is a few tens of kilobytes
DEEPEST = 12
Path_ = tuple[str | int, ...]


@dataclass
class Scalar:
    """A value as written; `start` and `end` count characters of the file's text."""

    text: str
    line: int
    start: int
    end: int
    quote: str  # "" plain, "'" or '"' quoted, "|" or ">" block


@dataclass
class Listing:
    """A list."""

    line: int
    start: int
    flow: bool
    items: "list[Node]" = field(default_factory=list["Node"])
    end: int = 0


@dataclass
class Block:
    """A mapping."""

    line: int
    start: int
    flow: bool
    entries: "dict[str, tuple[Scalar, Node]]" = field(default_factory=dict[str, "tuple[Scalar, Node]"])
    end: int = 0


Node = Scalar | Listing | Block


def dotted(path: Path_) -> str:
    """A field's path as people read it: `limbs.arm.mast.length`, `parts[0].mass`."""
    words = [f"[{step}]" if isinstance(step, int) else f".{step}" for step in path]
    return "".join(words).removeprefix(".")


def split_path(written: str) -> Path_:
    """The reverse of `dotted`."""
    steps: list[str | int] = []
    for name, index in re.findall(r"([^.\[\]]+)|\[([0-9]+)\]", written):
        steps.append(int(index) if index else name)
    return tuple(steps)


def read_text(file: Path) -> str:
    """The file's text, line ends as they are.

    Raises:
        SuitError: no such file, too large, or not UTF-8 text.
    """
    try:
        raw = file.read_bytes() if file.is_file() and file.stat().st_size <= LARGEST_FILE else None
    except OSError as error:
        raise SuitError(file, None, "", f"cannot be read ({error.strerror})", "check its rights") from None
    if raw is None:
        raise _no_text(file)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise SuitError(file, line, "", "is not UTF-8 text", "save it as UTF-8") from None
    if not text.strip():
        raise SuitError(file, None, "", "is empty", "start one with `limbwright new`")
    return text


def _no_text(file: Path) -> SuitError:
    if file.is_dir():
        return SuitError(file, None, "", "is a folder", "give the suit.yaml in it")
    if file.exists():
        limit = f"{LARGEST_FILE // 1000} kB"
        return SuitError(file, None, "", f"is larger than {limit}", "give a suit file")
    return SuitError(file, None, "", "there is no such file", "check the name")


def read_tree(text: str, file: Path) -> Block:
    """The document's tree.

    Raises:
        SuitError: not YAML, or YAML beyond what a suit file uses.
    """
    _refuse_tabs(text, file)
    try:
        return _Builder(file).build(cast(Iterator[Event], YAML(typ="safe", pure=True).parse(text)))
    except MarkedYAMLError as error:
        raise _not_yaml(error, file) from None
    except YAMLError as error:
        position = getattr(error, "position", None)
        line = text[:position].count("\n") + 1 if isinstance(position, int) else None
        problem = "holds a character that text files do not use"
        raise SuitError(file, line, "", problem, "delete it") from None


def _not_yaml(error: MarkedYAMLError, file: Path) -> SuitError:
    context = str(cast(Any, error).context or "")
    if "flow" in context or "quoted" in context:
        what = "quote" if "quoted" in context else "bracket"
        mark = cast(Any, error.context_mark)
        line = int(mark.line) + 1
        return SuitError(file, line, "", f"a {what} opened here is not closed", f"close the {what}")
    mark = cast(Any, error.problem_mark or error.context_mark)
    line = int(mark.line) + 1 if mark is not None else None
    problem = f"is not YAML here: {error.problem or context}"
    return SuitError(file, line, "", problem, "look for a missing colon, dash or space here or just above")


def _refuse_tabs(text: str, file: Path) -> None:
    for number, line in enumerate(re.split(r"\r\n|\r|\n", text), start=1):
        if line.strip() and "\t" in line[: len(line) - len(line.lstrip())]:
            raise SuitError(file, number, "", "a tab indents this line", "indent with spaces")


class _Builder:
    """Puts events together to a tree."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._open: list[Block | Listing] = []
        self._keys: list[Scalar | None] = []  # of each open block: the key whose value comes next
        self._names: list[str] = []  # of each open block: the key read last
        self._root: Node | None = None

    def build(self, events: Iterator[Event]) -> Block:
        documents = 0
        for event in events:
            if isinstance(event, DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._refuse(event, "a second document starts here", "keep one suit a file")
            elif isinstance(event, AliasEvent) or getattr(event, "anchor", None):
                self._refuse(event, "anchors and aliases (& and *) are not used", "write the value out")
            elif isinstance(event, MappingEndEvent | SequenceEndEvent):
                closed = self._open.pop()
                self._keys.pop()
                self._names.pop()
                closed.end = _index(event.end_mark)
            elif isinstance(event, MappingStartEvent | SequenceStartEvent | ScalarEvent):
                self._take(event)
        if not isinstance(self._root, Block):
            raise SuitError(self._file, 1, "", "is not a suit", "start with `format: 1` and fields")
        return self._root

    def _take(self, event: MappingStartEvent | SequenceStartEvent | ScalarEvent) -> None:
        tag = getattr(event, "tag", None)
        if tag is not None:
            self._refuse(event, "tags (!) are not used", "write the plain value")
        line, start = _line(event), _index(event.start_mark)
        if isinstance(event, ScalarEvent):
            text, quote = str(cast(Any, event).value), str(cast(Any, event).style or "")
            node = Scalar(text, line, start, _index(event.end_mark), quote)
            if self._open and isinstance(self._open[-1], Block) and self._keys[-1] is None:
                self._keys[-1] = self._key(node, event)
                self._names[-1] = node.text
                return
            self._place(node, event)
            return
        flow = bool(cast(Any, event).flow_style)
        node = (
            Block(line, start, flow) if isinstance(event, MappingStartEvent) else Listing(line, start, flow)
        )
        self._place(node, event)
        self._open.append(node)
        self._keys.append(None)
        self._names.append("")
        if len(self._open) > DEEPEST:
            self._refuse(event, f"is nested more than {DEEPEST} deep", "suits are flatter")

    def _key(self, key: Scalar, event: Event) -> Scalar:
        block = cast(Block, self._open[-1])
        if key.text == "<<":
            self._refuse(event, "merge keys (<<) are not used", "write the fields out")
        if key.text in block.entries:
            first = block.entries[key.text][0].line
            problem = f"'{key.text}' is written twice, first on line {first}"
            self._refuse(event, problem, "keep one of them", key.text)
        return key

    def _place(self, node: Node, event: Event) -> None:
        if not self._open:
            self._root = node
            return
        top = self._open[-1]
        if isinstance(top, Listing):
            top.items.append(node)
            return
        key = self._keys[-1]
        if key is None:
            self._refuse(event, "a key that is itself a list or a block", "write a plain word before the :")
            return
        top.entries[key.text] = (key, node)
        self._keys[-1] = None

    def _refuse(self, event: Event, problem: str, remedy: str, key: str | None = None) -> None:
        field_path: list[str | int] = []
        innermost = len(self._open) - 1
        for depth, node in enumerate(self._open):
            if isinstance(node, Listing):
                field_path.append(len(node.items) - (1 if depth < innermost else 0))
            elif depth < innermost or self._keys[depth] is not None:
                field_path.append(self._names[depth])
        if key is not None:
            field_path.append(key)
        raise SuitError(self._file, _line(event), dotted(tuple(field_path)), problem, remedy)


def _line(event: Event) -> int:
    return int(cast(Any, event).start_mark.line) + 1


def _index(mark: Any) -> int:
    return int(mark.index)


def plain_data(node: Node) -> Any:
    """The tree as plain data for validation; what is left empty becomes None."""
    if isinstance(node, Block):
        return {key: plain_data(value) for key, (_, value) in node.entries.items()}
    if isinstance(node, Listing):
        return [plain_data(item) for item in node.items]
    return None if not node.quote and node.text in ("", "~", "null") else node.text


def lines_of(node: Node, path: Path_ = ()) -> Iterator[tuple[Path_, int]]:
    """Every field's path with its 1-based line: a mapping's field by its key, a list's by its item."""
    if isinstance(node, Block):
        for key, (name, value) in node.entries.items():
            yield (*path, key), name.line
            yield from lines_of(value, (*path, key))
    elif isinstance(node, Listing):
        for index, item in enumerate(node.items):
            yield (*path, index), item.line
            yield from lines_of(item, (*path, index))


def leaves(node: Node, path: Path_ = ()) -> Iterator[tuple[Path_, Scalar]]:
    """Every scalar with its path."""
    if isinstance(node, Block):
        for key, (_, value) in node.entries.items():
            yield from leaves(value, (*path, key))
    elif isinstance(node, Listing):
        for index, item in enumerate(node.items):
            yield from leaves(item, (*path, index))
    else:
        yield path, node
