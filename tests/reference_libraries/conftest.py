"""Pinocchio has no Windows packages (see pyproject.toml), so what needs it is left to the other systems."""

import sys

collect_ignore = ["test_trees.py", "test_loops.py"] if sys.platform == "win32" else []
