"""The files of a set, made by one process or by several that each take portions of it as they get on: the same bytes whatever
their number.

A portion draws sheets one after the other; each is written and forgotten before the next is drawn. What is to be known of it
afterwards is its head, what the portion notes of it, and where its page of the PDF lies.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from multiprocessing.process import BaseProcess
from multiprocessing.sharedctypes import RawArray
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

from netdsl.collector import collector_paused
from netdsl.plain_files import read_plain
from netdsl.sums import sum_of
from render.layout.stretches import Stretch
from render.sheet import Sheet
from render.store import Store, key_of
from render.writers.pdf_page import Leaf, Page, page_of

#: bytes of the number of a portion in the queue, which holds so many that none waits
_NUMBER = 2
MOST = 4000


class Note(Struct, frozen=True):
    """What is to be known of a sheet that is forgotten: its `fingerprint`; for each file the `lines` that it comes from; the zone
    of the first text of each thing that it `shows`, where others refer to that."""

    fingerprint: str = ""
    lines: dict[str, Stretch] = {}
    shows: dict[str, str] = {}


class Piece(Struct, frozen=True):
    """A sheet that is to be written, and what is to be known of it afterwards."""

    sheet: Sheet
    note: Note = Note()


#: draws the sheets of a portion, the same in each process
Portion = Callable[[], Iterable[Piece]]


class Order(Struct, frozen=True):
    """What is to be written of each sheet: files in `forms` (`svg`, `pdf`, `dxf`), into the folder `fresh`, but for those that
    are in the folder `before` as they are to be. `standalone`: each SVG with its font. `store`: the folder of the store, None
    for none."""

    forms: Sequence[str]
    fresh: Path
    before: Path
    standalone: bool
    store: Path | None


class Done(Struct, frozen=True):
    """A sheet that is written. `sheet`: without what is drawn on it; `fresh`: names of the files that are new or not as before;
    `leaf`: its page, None where no PDF is wanted."""

    sheet: Sheet
    note: Note
    fresh: tuple[str, ...]
    leaf: Leaf | None


class _Entry(Struct, frozen=True):
    """What a share says of a sheet: its head, and where in the file of the share its page is."""

    head: tuple[str, str, str, str, str, str, str]
    note: Note
    fresh: tuple[str, ...]
    begin: int
    length: int


class _Made(Struct, frozen=True):
    """What a share came to: the sheets of each of its portions, and the characters that each font letters."""

    portions: dict[int, list[_Entry]]
    regular: str
    bold: str


def written(order: Order, portions: Sequence[Portion], jobs: int, told: Callable[[int], None]) -> list[list[Done]]:
    """Write what `portions`, at most some `MOST`, draw, all files but the PDF, by `jobs` processes: the sheets of each. `told` is
    given the number of sheets done now and then."""
    jobs = max(1, min(jobs, len(portions)))
    if "fork" not in multiprocessing.get_all_start_methods():  # the plant would have to be sent
        jobs = 1
    done = RawArray("l", jobs + 1)
    names = _names(order.fresh)
    with _queue(range(len(portions))) as queue, _others(order, portions, names, queue, jobs, done) as others:
        _share(order, portions, names[0], queue, done, 0, told)
        for other in others:
            other.join()
            told(sum_of(done))
    made = [_read(names[number]) for number, other in enumerate([None, *others]) if other is None or other.exitcode == 0]
    found = {at: made_by for made_by in made for at in made_by[1].portions}
    if len(found) < len(portions):  # what another process could not do is said by this one, that does it again
        with _queue([at for at in range(len(portions)) if at not in found]) as queue:
            _share(order, portions, names[jobs], queue, done, jobs, told)
        again = _read(names[jobs])
        found |= dict.fromkeys(again[1].portions, again)
    return [list(_done(order, *found[at], at)) for at in range(len(portions))]


def _done(order: Order, file: Path, made: _Made, at: int) -> Iterator[Done]:
    for entry in made.portions[at]:
        head = entry.head
        sheet = Sheet(*head[:5], (), *head[5:])
        leaf = None
        if "pdf" in order.forms:
            leaf = Leaf(sheet, _reader(file, entry), made.regular, made.bold)
        yield Done(sheet, entry.note, entry.fresh, leaf)


@contextmanager
def _queue(numbers: Iterable[int]) -> Iterator[int]:
    """Numbers that several processes take one after the other: a pipe, whose holder may end at any time without the others'
    waiting for ever."""
    take, give = os.pipe()
    try:
        os.write(give, b"".join(number.to_bytes(_NUMBER, "big") for number in numbers))
        os.close(give)
        yield take
    finally:
        os.close(take)


@contextmanager
def _others(
    order: Order, portions: Sequence[Portion], names: Sequence[Path], queue: int, jobs: int, done: Any
) -> Iterator[list[BaseProcess]]:
    """The other processes at work; stopped with this one, as they write into a folder that goes."""
    fork = multiprocessing.get_context("fork") if jobs > 1 else None
    started: list[BaseProcess] = []
    try:
        for number in range(1, jobs):
            assert fork is not None
            share = (order, portions, names[number], queue, done, number)
            other: BaseProcess = fork.Process(target=_beside, args=share, daemon=True)
            other.start()
            started.append(other)
        yield started
    finally:
        for other in started:
            if other.is_alive():
                other.terminate()
            other.join()


def _beside(order: Order, portions: Sequence[Portion], name: Path, queue: int, done: Any, number: int) -> None:
    """A share in a process of its own, which says nothing: the first is stopped by the keyboard, and does again what fails.
    It ends with the first, were that killed: nobody else wants the rest."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)  # by which the first stops it
    first = multiprocessing.parent_process()

    def told(done_here: int) -> None:
        if first is None or os.getppid() != first.pid:
            raise SystemExit(1)
        _untold(done_here)

    try:
        _share(order, portions, name, queue, done, number, told)
    except Exception:  # whatever it is, it comes again, and is told where it can be
        raise SystemExit(1) from None


def _untold(_done: int) -> None:
    """Nobody is told by a second process."""


def _share(
    order: Order, portions: Sequence[Portion], name: Path, queue: int, done: Any, number: int, told: Callable[[int], None]
) -> None:
    """Write portions as long as there are any left."""
    store = Store(order.store)
    made: dict[int, list[_Entry]] = {}
    letters: dict[bool, set[str]] = {False: set(), True: set()}
    count = 0
    with collector_paused(), name.open("wb") as file:
        while taken := os.read(queue, _NUMBER):
            at = int.from_bytes(taken, "big")
            entries = []
            for piece in portions[at]():
                key = key_of(piece.sheet) if order.store else b""
                fresh = _drawn(order, piece.sheet, key, store)
                page = b""
                if "pdf" in order.forms:
                    page, regular, bold = _page(piece.sheet, key, store)
                    letters[False].update(regular)
                    letters[True].update(bold)
                entries.append(_Entry(_head(piece.sheet), piece.note, fresh, file.tell(), len(page)))
                file.write(page)
                count += 1
                done[number] = count
                told(sum_of(done))
            made[at] = entries
    store.close()
    of_all = ["".join(sorted(letters[bold])) for bold in (False, True)]
    name.with_suffix(_LIST).write_bytes(msgspec.msgpack.encode(_Made(made, *of_all)))


def _head(sheet: Sheet) -> tuple[str, str, str, str, str, str, str]:
    return (sheet.key, sheet.number, sheet.title, sheet.kind, sheet.part_of, sheet.size, sheet.about)


def _drawn(order: Order, sheet: Sheet, key: bytes, store: Store) -> tuple[str, ...]:
    """Write the files of one sheet that are new or not as before, and give their names."""
    fresh = []
    for form in order.forms:
        if form == "pdf":
            continue
        its = (b"standalone " if order.standalone else b"") + form.encode() + key
        data = store.find(its)
        if data is None:
            data = _made(sheet, form, order.standalone)
            store.keep(its, data)
        name = f"{sheet.key}.{form}"
        if not is_file(order.before / name, data):
            (order.fresh / name).write_bytes(data)
            fresh.append(name)
    return tuple(fresh)


def _made(sheet: Sheet, form: str, standalone: bool) -> bytes:
    if form == "dxf":
        from render.writers.dxf import dxf_bytes

        return dxf_bytes(sheet)
    from render.writers.svg import svg_bytes

    return svg_bytes(sheet, standalone)


def _page(sheet: Sheet, key: bytes, store: Store) -> tuple[bytes, str, str]:
    """The page of a sheet as it is kept, and the characters that each font letters on it."""
    data = store.find(b"page" + key)
    page = page_of(sheet) if data is None else msgspec.msgpack.decode(data, type=Page)
    if data is None:
        data = msgspec.msgpack.encode(page)
        store.keep(b"page" + key, data)
    return data, page.regular, page.bold


def is_file(path: Path, data: bytes) -> bool:
    """Whether a plain file holds `data`."""
    with suppress(OSError):
        return path.lstat().st_size == len(data) and read_plain(path, len(data)) == data
    return False


_PAGES, _LIST = ".pages", ".list"


def _names(folder: Path) -> list[Path]:
    """Files for the shares, of names that none has yet."""
    begun = sum(1 for _ in folder.glob(f"share-*{_LIST}"))
    return [folder / f"share-{begun + number}{_PAGES}" for number in range(66)]


def _read(file: Path) -> tuple[Path, _Made]:
    return file, msgspec.msgpack.decode(file.with_suffix(_LIST).read_bytes(), type=_Made)


def _reader(file: Path, entry: _Entry) -> Callable[[], Page]:
    """How to get a page that stands in the file of a share."""

    def read() -> Page:
        with file.open("rb") as pages:
            pages.seek(entry.begin)
            return msgspec.msgpack.decode(pages.read(entry.length), type=Page)

    return read
