"""For the tests of all rooms: Python's search for cycles stands still within a test, and is done between two of them."""

from __future__ import annotations

import gc
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from importlib import import_module
from itertools import count
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.brief_reports import BriefReports, suffice

# how long an example takes depends on what else the machine does: no test fails by the clock
settings.register_profile("whenever", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("whenever")

#: thousands of small folders are made: in memory where there is room, a tenth of the time of some disks
MEMORY = Path("/dev/shm")
ROOM = 2 << 30
if os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > ROOM:
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))
    tempfile.tempdir = str(MEMORY)

# what is compiled is kept beside its text, whatever the environment says of that: else each process compiles a thousand modules
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# no test takes sheets that another finished
os.environ["NETDSL_CACHE"] = ""

#: bytes of memory of a small machine, for where the system does not say how many there are
SMALL = 4 << 30


def _garbage() -> int:
    """Objects made and still there, some 200 bytes each, beyond which what the last tests left is searched: those of all workers
    together may take half of the machine's memory."""
    try:
        memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    except (AttributeError, ValueError, OSError):
        memory = SMALL
    return memory // (2 * 200 * int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", 1)))


GARBAGE = _garbage()


@settings(max_examples=1, database=None)
@given(st.none())
def _begun(_: None) -> None:
    """hypothesis looks through all objects when a process begins its first test by chance: while these are few."""


def pytest_configure(config: pytest.Config) -> None:
    """Workers say little."""
    if suffice(config):
        config.pluginmanager.register(BriefReports())


@pytest.hookimpl(trylast=True)
def pytest_sessionstart() -> None:
    _begun()


# without the collector, which looks through every test, network and sheet again and again, the run takes a tenth less
gc.disable()


#: what reads, checks and draws the shipped examples for many tests, once in a process
SHARED = ("tests.readings", "tests.render.plants", "tests.schemes.scheme_plants", "tests.states.drawn_circuits")


def _shares(module: ModuleType, known: dict[ModuleType, bool]) -> bool:
    """Whether tests of a module look at the shipped examples."""
    if module not in known:
        known[module] = any(getattr(value, "__module__", "") in SHARED for value in vars(module).values())
    return known[module]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that copy their process come first, while it is small, and those that take long at one go, for which others would
    wait at the end. Those that look at the shipped examples follow each other, so that one worker has them and none draws what
    another drew."""
    known: dict[ModuleType, bool] = {}

    def place(item: pytest.Item) -> int:
        if item.get_closest_marker("forks") or item.get_closest_marker("long"):
            return 0
        return 1 if isinstance(item, pytest.Function) and _shares(item.module, known) else 2

    items.sort(key=place)


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session: pytest.Session) -> None:
    """Every second worker loads the modules from the last to the first: in a first run, which compiles them all, each compiles
    half and reads what another has written. What cannot be loaded is told where pytest collects it."""
    if os.environ.get("PYTEST_XDIST_WORKER", "")[-1:] not in tuple("13579"):
        return
    for argument in session.config.args:
        for file in sorted(Path(argument.partition("::")[0]).resolve().rglob("test_*.py"), reverse=True):
            if str(file.parent) not in sys.path:
                sys.path.insert(0, str(file.parent))  # as pytest does when it collects
            with suppress(Exception, pytest.skip.Exception):
                import_module(file.stem)


def pytest_collection_finish() -> None:
    """What stays to the end is searched at no time, nor counted."""
    gc.freeze()


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown() -> None:
    """Search what is new alone, and only where memory asks for it: with no search two processes take 4 GB each."""
    if gc.get_count()[0] > GARBAGE:
        gc.collect(0)


def pytest_sessionfinish() -> None:
    """What is left is not searched once more while the run ends."""
    gc.freeze()


_NUMBERS = count(1)


@pytest.fixture
def tmp_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of its own: numbered, without the link to the last one that pytest's own keeps up at some milliseconds a test."""
    path = tmp_path_factory.getbasetemp() / str(next(_NUMBERS))
    path.mkdir()
    return path


@pytest.fixture(scope="session")
def called(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A command line for a shell that does what `netdsl` does, in a copy of this process, which has drawn a plant before."""
    from netdsl.cli import main
    from tests.forked import called_from_elsewhere
    from tests.signal_box import PLANT

    folder = tmp_path_factory.mktemp("called")
    (folder / "plant.netdsl").write_text(PLANT, "utf-8")
    with pytest.raises(SystemExit):
        main(["build", str(folder), "--no-cache", "--jobs", "1"])
    with called_from_elsewhere() as command:
        yield command
