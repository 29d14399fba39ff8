"""What every test may rest on.

No test reads or writes the folders of whoever runs it: case store, cache and settings lie in a folder that
is thrown away. A test that needs a program which is not there skips with a reason, yet fails where CI is set,
since a check that nobody sees skipped is no check.
"""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Callable, Iterator

if "PYTEST_XDIST_WORKER" in os.environ:
    # The workers fill the processors: threads that numpy begins beside them would only stand in the way. It
    # reads this once, when it is imported.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest
from hypothesis import settings

# What is gathered before the first test is there until the last: to look through it for garbage again and
# again takes a tenth of the whole run.
gc.disable()

# A time limit on each example fails on a busy machine and says nothing about the code.
# Each run draws examples of its own, so many runs try more than one long run would.
settings.register_profile("steady", deadline=None, print_blob=True, max_examples=40)
settings.load_profile("steady")


def pytest_collection_finish() -> None:
    """Look for garbage from now on, and only among what the tests make."""
    gc.freeze()
    gc.set_threshold(20_000, 10, 10)
    gc.enable()


@pytest.hookimpl(optionalhook=True)  # where xdist is not loaded nobody asks
def pytest_xdist_auto_num_workers() -> int:
    """How many processes `-n auto` starts: half as many again as there are processors, for tests at a
    terminal wait more than they reckon.
    """
    processors = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return processors + processors // 2


@pytest.fixture(autouse=True, scope="session")
def _own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Point the platform's user folders, and the settings of the environment, away from the user's own."""
    home = tmp_path_factory.mktemp("home")
    base = tmp_path_factory.getbasetemp()
    with pytest.MonkeyPatch.context() as patch:
        # Routes are compiled once in a run, for all its processes; whoever runs several of the same checkout
        # one after the other may name a folder for all. A route out of it is proved again like any other.
        run = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
        if "ROUTES_OF_THIS_RUN" not in os.environ:
            patch.setenv("ROUTES_OF_THIS_RUN", str(run / "routes"))
        for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"):
            patch.setenv(name, str(home / name.lower()))
        for name in [name for name in os.environ if name.startswith("DIAGNOSE_")] + ["NO_COLOR", "COLUMNS"]:
            patch.delenv(name, raising=False)
        yield


@pytest.fixture
def need() -> Callable[[str], str]:
    """`need("dot")` gives the program's path; without it the test skips, or fails where CI is set."""

    def find(program: str) -> str:
        path = shutil.which(program)
        if path is None:
            reason = f"the program {program} is not installed"
            if os.environ.get("CI"):
                pytest.fail(reason)
            pytest.skip(reason)
        return path

    return find


def _read_shipped_trees_once() -> None:
    """Each process of a run reads and judges the shipped files once, and hands them out again.

    Trees and what they share are frozen values: nobody can change what the next test gets. Files of any other
    folder are read whenever they are asked for, and so is a shipped one that has changed.
    """
    from functools import cache

    from diagnose.knowledge import collection

    ours = collection.shipped_folder()
    load_tree, load_common = collection.load_tree, collection.load_common
    common_once = cache(load_common)
    shared = {}

    @cache
    def tree_once(path, changed, file, known, of):
        return load_tree(path, shared[of], file=file, shipped=True, known=frozenset(known))

    def tree(path, common, *, file=None, shipped=False, known=None):
        if not shipped or known is None or path.absolute().parent != ours:
            return load_tree(path, common, file=file, shipped=shipped, known=known)
        shared[id(common)] = common
        return tree_once(path.absolute(), path.stat().st_mtime_ns, file, tuple(known), id(common))

    def common(folder, shown):
        return common_once(folder, shown) if folder == ours / "common" else load_common(folder, shown)

    collection.load_tree, collection.load_common = tree, common


_read_shipped_trees_once()
