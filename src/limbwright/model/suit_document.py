"""Editing a suit file without touching anything else in it.

An edit replaces the characters of one value in the file's own text, so comments, order, spacing and
every other number's spelling stay as the builder left them: one changed value is one changed line.
"""

import contextlib
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from limbwright.core.errors import SuitError
from limbwright.model.suit import Suit
from limbwright.model.suit_file import parse_suit
from limbwright.model.yaml_text import (
    Block,
    Listing,
    Node,
    Path_,
    Scalar,
    dotted,
    plain_data,
    read_text,
    read_tree,
    split_path,
)

_BOM = "\N{ZERO WIDTH NO-BREAK SPACE}".encode()


class SuitDocument:
    """A suit file being edited: `set` values, then `save`."""

    def __init__(self, path: Path | str) -> None:
        """Read the file.

        Raises:
            SuitError: it cannot be read, or is not YAML.
        """
        self._file = Path(path)
        self._text = read_text(self._file)
        self._on_disk = self._file.read_bytes()
        self._tree = read_tree(self._text, self._file)

    @property
    def text(self) -> str:
        """The file's text as it stands now, saved or not."""
        return self._text

    @property
    def path(self) -> Path:
        """The file."""
        return self._file

    def get(self, field: str) -> str:
        """A value as written.

        Raises:
            SuitError: no such field, or a block of fields.
        """
        node = self._find(split_path(field))
        if not isinstance(node, Scalar):
            raise self._error(split_path(field), "is a block of fields", "name one value in it")
        return node.text

    def set(self, field: str, written: str) -> None:
        """Write a value; add the field where its block is there but it is not.

        Args:
            field: dotted path, such as `limbs.arm.mast.length` or `parts[0].mass.value`.
            written: the value as a builder would write it, unit and all.

        Raises:
            SuitError: no such block, or the field is itself a block; nothing is changed then.
        """
        path = split_path(field)
        if "\n" in written or "\r" in written:
            raise self._error(path, "a value of more than one line", "write it in one line")
        parent = self._find(path[:-1])
        if isinstance(parent, Block) and path[-1] not in parent.entries:
            self._add(parent, path, written)
            return
        node = self._find(path)
        if not isinstance(node, Scalar):
            inside = list(node.entries) if isinstance(node, Block) else range(len(node.items))
            names = ", ".join(str(name) for name in inside)
            raise self._error(path, "is a block of fields", f"set one of {names} in it")
        if not node.text and not node.quote and isinstance(parent, Block):
            # an empty value is reported where the next word stands; it belongs behind its colon
            colon = self._text.index(":", parent.entries[str(path[-1])][0].end) + 1
            self._try(f"{self._text[:colon]} ", self._text[colon:], path, written, "")
            return
        old = self._text[node.start : node.end]
        kept = len(old) - len(old.rstrip()) if node.quote in ("|", ">") else 0
        before, after = self._text[: node.start], self._text[node.end - kept :]
        self._try(before, after, path, written, node.quote)

    def set_all(self, values: Mapping[str, str]) -> None:
        """Several values; either all are written or, on an error, none."""
        kept = self._text, self._tree
        try:
            for field, written in values.items():
                self.set(field, written)
        except SuitError:
            self._text, self._tree = kept
            raise

    def suit(self) -> Suit:
        """The suit that the text describes now.

        Raises:
            SuitError: the first thing wrong with it.
        """
        return parse_suit(self._text, self._file)

    def save(self) -> Suit:
        """Check the suit and put the text in the file's place: temporary file, flush, rename.

        Raises:
            SuitError: the suit is wrong, the file was changed by someone else meanwhile, or it
                cannot be written; the file on disk is untouched then.
        """
        suit = self.suit()
        target = Path(os.path.realpath(self._file))
        if not target.is_file() or target.read_bytes() != self._on_disk:
            raise SuitError(
                self._file, None, "", "was changed by another program", "read it again and repeat the edit"
            )
        mark = _BOM if self._on_disk.startswith(_BOM) else b""
        raw = mark + self._text.encode("utf-8")
        try:
            _replace(target, raw)
        except OSError as error:
            reason = error.strerror or "unknown reason"
            raise SuitError(
                self._file, None, "", f"cannot be written ({reason})", "check rights and space"
            ) from None
        self._on_disk = raw
        if read_text(target) != self._text:
            raise SuitError(self._file, None, "", "reads back differently from what was saved", "save again")
        return suit

    def _find(self, path: Path_) -> Node:
        node: Node = self._tree
        for depth, step in enumerate(path):
            if isinstance(node, Block) and str(step) in node.entries:
                node = node.entries[str(step)][1]
            elif isinstance(node, Listing) and isinstance(step, int) and step < len(node.items):
                node = node.items[step]
            else:
                raise self._error(path[: depth + 1], "there is no such field", "look at the file's own names")
        return node

    def _add(self, parent: Block, path: Path_, written: str) -> None:
        """Put a new field at the end of its block."""
        key = str(path[-1])
        if not parent.entries:
            raise self._error(path[:-1], "is an empty block", "write its first field by hand")
        last = next(reversed(parent.entries.values()))
        if parent.flow:
            at = last[1].end
            self._try(f"{self._text[:at]}, {key}: ", self._text[at:], path, written, "")
            return
        first = next(iter(parent.entries.values()))[0]
        line_start = self._text.rfind("\n", 0, first.start) + 1
        indent = " " * (first.start - line_start)
        end = _last_character(last[1])
        at = self._text.find("\n", max(end - 1, 0))
        newline = "\r\n" if "\r\n" in self._text else "\n"
        if at < 0:
            self._try(f"{self._text}{newline}{indent}{key}: ", newline, path, written, "")
        else:
            self._try(
                f"{self._text[: at + 1]}{indent}{key}: ", newline + self._text[at + 1 :], path, written, ""
            )

    def _try(self, before: str, after: str, path: Path_, written: str, quote: str) -> None:
        """The first spelling of the value that changes this field and nothing else."""
        wanted = _with(plain_data(self._tree), path, written)
        spellings = {"": written, "'": "'" + written.replace("'", "''") + "'", '"': _double(written)}
        order = [quote, *(q for q in spellings if q != quote)] if quote in spellings else list(spellings)
        for spelling in order:
            text = before + spellings[spelling] + after
            try:
                tree = read_tree(text, self._file)
            except SuitError:
                continue
            if plain_data(tree) == wanted and isinstance(_leaf(tree, path), Scalar):
                self._text, self._tree = text, tree
                return
        raise self._error(path, f"'{written}' cannot be written here", "write plain printable text")

    def _error(self, path: Path_, problem: str, remedy: str) -> SuitError:
        return SuitError(self._file, None, dotted(path), problem, remedy)


def _last_character(node: Node) -> int:
    """Where a node's own text ends; a block's ends with its last leaf, not at the next block."""
    if isinstance(node, Block) and not node.flow and node.entries:
        return _last_character(next(reversed(node.entries.values()))[1])
    if isinstance(node, Listing) and not node.flow and node.items:
        return _last_character(node.items[-1])
    return node.end


def _leaf(node: Node, path: Path_) -> Node | None:
    for step in path:
        if isinstance(node, Block):
            node = node.entries[str(step)][1]
        elif isinstance(node, Listing) and isinstance(step, int):
            node = node.items[step]
    return node


def _with(data: object, path: Path_, written: str) -> object:
    """Plain data with one value replaced or added."""
    if not path:
        return written
    step, rest = path[0], path[1:]
    if isinstance(data, dict):
        return {**data, str(step): _with(data.get(str(step)), rest, written)}  # pyright: ignore[reportUnknownArgumentType, reportUnknownVariableType]
    if isinstance(data, list):
        return [_with(item, rest, written) if i == step else item for i, item in enumerate(data)]  # pyright: ignore[reportUnknownArgumentType, reportUnknownVariableType]
    return written


def _double(written: str) -> str:
    return '"' + written.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _replace(target: Path, raw: bytes) -> None:
    """Write beside the file, flush to the disk, rename over it: a crash leaves the old or the new."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".tmp")
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(raw)
            stream.flush()
            os.fsync(stream.fileno())
        shutil.copymode(target, name)
        Path(name).replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise
    with contextlib.suppress(OSError):  # not every system can flush a folder
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
