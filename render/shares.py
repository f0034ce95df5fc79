"""The files of a set, made by one process or by several that each take their share of the sheets: the same bytes whatever their
number."""

from __future__ import annotations

import multiprocessing
import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from multiprocessing.process import BaseProcess
from multiprocessing.sharedctypes import RawArray
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from netdsl.collector import collector_paused
from netdsl.plain_files import read_plain
from netdsl.sums import sum_of
from render.sheet import Sheet
from render.store import Store, key_of
from render.writers.pdf_page import Leaf, Page, page_of

#: sheets from which a second process pays
MANY = 60


class Order(Struct, frozen=True):
    """What is to be written of `sheets`: files in `forms` (`svg`, `pdf`, `dxf`), into the folder `fresh`, in place of what the
    folder `before` holds. `standalone`: each SVG with its font. `store`: the folder of the store, None for none."""

    sheets: Sequence[Sheet]
    forms: Sequence[str]
    fresh: Path
    before: Path
    standalone: bool
    store: Path | None


class _Place(Struct, frozen=True):
    """A page of a share, without its operators, and where these are in the file of the share."""

    page: Page
    begin: int
    length: int


class _Made(Struct, frozen=True):
    """What a share came to: its pages, and how many of its sheets are new or differ from the file of before."""

    pages: list[_Place]
    changed: int


def written(order: Order, jobs: int, told: Callable[[int], None]) -> tuple[int, list[Leaf]]:
    """Write the files of an order, but for the PDF, by `jobs` processes: how many sheets are new or not as before, and what the
    PDF is bound of. `told` is given the number of sheets done now and then."""
    jobs = max(1, min(jobs, len(order.sheets) // (MANY // 2)))
    if "fork" not in multiprocessing.get_all_start_methods():  # the sheets would have to be sent
        jobs = 1
    done = RawArray("l", jobs)
    with _others(order, jobs, done) as others:
        _share(order, 0, jobs, done, told)
        for number, other in enumerate(others, start=1):
            other.join()
            if other.exitcode != 0:  # what it could not do is said by whoever does it again
                _share(order, number, jobs, done, told)
            told(sum_of(done))
    made = [msgspec.msgpack.decode(_list(order.fresh, number).read_bytes(), type=_Made) for number in range(jobs)]
    leaves = []
    if "pdf" in order.forms:
        for position, sheet in enumerate(order.sheets):
            number = position % jobs
            place = made[number].pages[position // jobs]
            leaves.append(Leaf(sheet, place.page, _reader(_file(order.fresh, number), place)))
    return sum_of(each.changed for each in made), leaves


@contextmanager
def _others(order: Order, jobs: int, done: Any) -> Iterator[list[BaseProcess]]:
    """The other processes at work; stopped with this one, as they write into a folder that goes."""
    fork = multiprocessing.get_context("fork") if jobs > 1 else None
    started: list[BaseProcess] = []
    try:
        for number in range(1, jobs):
            assert fork is not None
            other: BaseProcess = fork.Process(target=_beside, args=(order, number, jobs, done), daemon=True)
            other.start()
            started.append(other)
        yield started
    finally:
        for other in started:
            if other.is_alive():
                other.terminate()
            other.join()


def _beside(order: Order, number: int, jobs: int, done: Any) -> None:
    """A share in a process of its own, which says nothing: the first is stopped by the keyboard, and does again what fails."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        _share(order, number, jobs, done, _untold)
    except Exception:  # whatever it is, it comes again, and is told where it can be
        raise SystemExit(1) from None


def _untold(_done: int) -> None:
    """Nobody is told by a second process."""


def _share(order: Order, number: int, jobs: int, done: Any, told: Callable[[int], None]) -> None:
    """Write share `number` of `jobs`: every so manieth sheet, as those beside one another take about the same time."""
    store = Store(order.store)
    pages: list[_Place] = []
    changed = begin = 0
    with collector_paused(), _file(order.fresh, number).open("wb") as file:
        for count, sheet in enumerate(order.sheets[number::jobs], start=1):
            key = key_of(sheet) if order.store else b""
            changed += _drawn(order, sheet, key, store)
            if "pdf" in order.forms:
                page = _page(sheet, key, store)
                file.write(page.content)
                pages.append(_Place(replace(page, content=b""), begin, len(page.content)))
                begin += len(page.content)
            done[number] = count
            told(sum_of(done))
    _list(order.fresh, number).write_bytes(msgspec.msgpack.encode(_Made(pages, changed)))
    store.close()


def _drawn(order: Order, sheet: Sheet, key: bytes, store: Store) -> bool:
    """Write the files of one sheet; whether one of them is new or not as before."""
    changed = False
    for form in order.forms:
        if form == "pdf":
            continue
        its = (b"standalone " if order.standalone else b"") + form.encode() + key
        data = store.find(its)
        if data is None:
            data = _made(sheet, form, order.standalone)
            store.keep(its, data)
        name = f"{sheet.key}.{form}"
        (order.fresh / name).write_bytes(data)
        changed |= not _is(order.before / name, data)
    return changed


def _made(sheet: Sheet, form: str, standalone: bool) -> bytes:
    if form == "dxf":
        from render.writers.dxf import dxf_bytes

        return dxf_bytes(sheet)
    from render.writers.svg import svg_bytes

    return svg_bytes(sheet, standalone)


def _page(sheet: Sheet, key: bytes, store: Store) -> Page:
    data = store.find(b"page" + key)
    if data is not None:
        return msgspec.msgpack.decode(data, type=Page)
    page = page_of(sheet)
    store.keep(b"page" + key, msgspec.msgpack.encode(page))
    return page


def _is(path: Path, data: bytes) -> bool:
    """Whether a plain file holds `data`."""
    try:
        return path.stat().st_size == len(data) and read_plain(path) == data
    except OSError:
        return False


def _file(folder: Path, number: int) -> Path:
    return folder / f"share-{number}.pages"


def _list(folder: Path, number: int) -> Path:
    return folder / f"share-{number}.list"


def _reader(file: Path, place: _Place) -> Callable[[], bytes]:
    """How to get the operators of a page that stands in the file of a share."""

    def read() -> bytes:
        with file.open("rb") as pages:
            pages.seek(place.begin)
            return pages.read(place.length)

    return read
