"""What goes wrong in words a builder can act on."""

from pathlib import Path


class LimbwrightError(Exception):
    """Base of every error that Limbwright raises on purpose; its text is one line for a person."""


class SuitError(LimbwrightError):
    """The suit file says something that cannot be built.

    Args:
        file: the suit file.
        line: 1-based line of the field, or None when the file as a whole is at fault.
        field: dotted path, such as `limbs.arm.mast.length`.
        problem: what is wrong.
        remedy: what would be right.
    """

    def __init__(self, file: Path | str, line: int | None, field: str, problem: str, remedy: str) -> None:
        self.file = str(file)
        self.line = line
        self.field = field
        self.problem = problem
        self.remedy = remedy
        where = f"{Path(self.file).name}:{line}" if line else Path(self.file).name
        named = f" {field}:" if field else ""
        super().__init__(f"{where}:{named} {problem}; {remedy}")


class GeometryError(LimbwrightError):
    """Dimensions that are each fine but cannot be assembled together."""

    def __init__(self, field: str, problem: str, remedy: str) -> None:
        self.field = field
        self.problem = problem
        self.remedy = remedy
        super().__init__(f"{field}: {problem}; {remedy}")
