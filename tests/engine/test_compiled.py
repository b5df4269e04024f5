"""Where compiled kernels are kept: never stale, never in the way."""

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import limbwright.engine
from limbwright.engine.compiled import KERNEL_CACHE, is_cold
from limbwright.engine.threads import spread, thread_count

ENGINE = Path(limbwright.engine.__file__).parent


def cache_of(package: Path, **env: str) -> Path:
    """Kernel cache that a fresh process with this source would use."""
    program = "from limbwright.engine.compiled import KERNEL_CACHE; print(KERNEL_CACHE)"
    wanted = {**os.environ, "PYTHONPATH": str(package), **env}
    done = subprocess.run(
        [sys.executable, "-c", program], env=wanted, capture_output=True, text=True, check=True
    )
    return Path(done.stdout.strip())


def test_the_folder_is_named_after_every_source_that_is_compiled():
    """A kernel that calls into another file is compiled anew when that file changes."""
    others = [ENGINE / name for name in ("compiled.py", "mechanism.py", "outcome.py")]
    digest = hashlib.sha256()
    for path in [*sorted(ENGINE.glob("kernel_*.py")), *others]:
        digest.update(path.read_bytes())
    assert KERNEL_CACHE.name == digest.hexdigest()[:12]


def test_a_changed_kernel_file_gets_a_folder_of_its_own(tmp_path):
    package = tmp_path / "limbwright"
    shutil.copytree(ENGINE.parent, package, ignore=shutil.ignore_patterns("__pycache__"))
    before = cache_of(tmp_path, NUMBA_CACHE_DIR=str(tmp_path / "cache"))
    with (package / "engine" / "kernel_rows.py").open("a") as source:
        source.write("# a changed line\n")
    after = cache_of(tmp_path, NUMBA_CACHE_DIR=str(tmp_path / "cache"))
    assert before.parent == after.parent == tmp_path / "cache"
    assert before != after


def test_a_child_process_uses_the_parents_folder():
    assert cache_of(ENGINE.parents[1], NUMBA_CACHE_DIR=str(KERNEL_CACHE)) == KERNEL_CACHE


def test_a_cache_that_cannot_be_written_is_replaced(tmp_path):
    """A file where the folder should be stops anyone, root as well."""
    blocked = tmp_path / "blocked"
    blocked.write_text("not a folder")
    found = cache_of(ENGINE.parents[1], NUMBA_CACHE_DIR=str(blocked))
    assert found.is_dir()
    assert blocked not in found.parents
    found.rmdir()


def test_warm_after_something_was_compiled():
    from engine.rigs import arm

    arm().assemble()
    assert not is_cold()


def test_ranges_are_covered_once_whatever_the_threads(monkeypatch):
    for threads in ("1", "3"):
        monkeypatch.setenv("LIMBWRIGHT_THREADS", threads)
        assert thread_count() == int(threads)
        for count in (0, 1, 63, 64, 65, 1000, 4096):
            parts: list[tuple[int, int]] = []
            spread(lambda first, last, into: into.append((first, last)), count, 64, parts)
            parts.sort()
            assert [n for first, last in parts for n in range(first, last)] == list(range(count))
            assert all(first % 64 == 0 for first, _ in parts)


def test_a_failing_part_is_not_swallowed(monkeypatch):
    monkeypatch.setenv("LIMBWRIGHT_THREADS", "2")

    def fails(first: int, last: int) -> None:
        raise RuntimeError(f"{first}..{last}")

    with pytest.raises(RuntimeError, match=r"\d+\.\.\d+"):
        spread(fails, 1000, 10)


def test_thread_setting_that_is_no_number_is_passed_over(monkeypatch):
    monkeypatch.setenv("LIMBWRIGHT_THREADS", "many")
    assert thread_count() >= 1
