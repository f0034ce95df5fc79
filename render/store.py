"""Finished sheets of earlier builds, kept under what they were made from.

A sheet as its writers see it, with the code of the writers, is the key: what is found under it is what they would write again.
Nothing is taken from a store that is damaged, and a store that is gone costs time alone.
"""

from __future__ import annotations

import sqlite3
import sys
import zlib
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from typing import TypeVar

import msgspec

from netdsl.sums import sum_of
from render.sheet import Sheet

_T = TypeVar("_T")
FILE = "sheets.sqlite"
#: bytes of finished sheets that are kept, compressed: some ten thousand sheets
LIMIT = 256 << 20
_WAIT_S = 20.0  # for another build that writes to the store
_FAST = 1  # of compression
_SUM = 32  # bytes of a check sum
_TABLE = "CREATE TABLE IF NOT EXISTS finished (key BLOB PRIMARY KEY, build INTEGER, sum BLOB, made BLOB) WITHOUT ROWID"


@cache
def _writers() -> bytes:
    """All that what is written follows from besides the sheet: the code here, and what it stands on, the font among it."""
    found = sha256(f"{sys.version} {zlib.ZLIB_RUNTIME_VERSION} {sqlite3.sqlite_version}".encode())
    for package in ("svgwrite", "fonttools", "font-source-sans-pro", "ezdxf", "msgspec"):
        found.update(f"{package} {version(package)}\n".encode())
    for file in sorted(Path(__file__).parent.rglob("*.py")):
        found.update(file.read_bytes())
    return found.digest()


def key_of(sheet: Sheet) -> bytes:
    """What `sheet` and the code of the writers come to: every line and text on it, title block and links too. With a form before
    it, such as `svg`, it is the key of what is written in that."""
    return sha256(_writers() + msgspec.msgpack.encode(sheet)).digest()


def font_key(bold: bool, characters: str) -> bytes:
    """Likewise for a font cut down to some characters."""
    return sha256(_writers() + f"font {bold} {characters}".encode()).digest()


class Store:
    """The store in `folder`, None for none: then nothing is found and nothing kept. One for each process; builds side by side may
    have the same folder. What it cannot read or write is as if it were not there."""

    def __init__(self, folder: Path | None) -> None:
        self._file = None if folder is None else folder / FILE
        self._open: sqlite3.Connection | None = None
        self._made: dict[bytes, bytes] = {}
        self._used: list[bytes] = []
        if self._file is not None:
            with suppress(OSError, sqlite3.Error):
                self._file.parent.mkdir(parents=True, exist_ok=True)
                self._open = _opened(self._file)

    def find(self, key: bytes) -> bytes | None:
        """What was kept under `key`; None where nothing was, or not what it was."""
        if self._open is None:
            return None
        try:
            row = self._open.execute("SELECT sum, made FROM finished WHERE key = ?", (key,)).fetchone()
            found = None if row is None else zlib.decompress(row[1])
        except (sqlite3.Error, zlib.error, TypeError):
            return None
        if found is None or sha256(key + found).digest() != row[0]:
            return None
        self._used.append(key)
        return found

    def keep(self, key: bytes, made: bytes) -> None:
        """Have `made` found under `key` from the next build on; written by `close`."""
        if self._open is not None:
            self._made[key] = sha256(key + made).digest() + zlib.compress(made, _FAST)

    def made(self, key: bytes, make: Callable[[], _T], kind: type[_T]) -> _T:
        """What was kept under `key`, of this kind, else what `make` makes, which is kept."""
        data = self.find(key)
        if data is not None:
            return msgspec.msgpack.decode(data, type=kind)
        made = make()
        self.keep(key, msgspec.msgpack.encode(made))
        return made

    def close(self) -> None:
        """Write what was kept; of what builds since long have not used, so much goes that `LIMIT` is held."""
        if self._open is None:
            return
        with suppress(sqlite3.Error), self._open as change:
            change.execute("BEGIN IMMEDIATE")
            (last,) = change.execute("SELECT coalesce(max(build), 0) FROM finished").fetchone()
            rows = ((key, last + 1, made[:_SUM], made[_SUM:]) for key, made in self._made.items())
            change.executemany("INSERT OR REPLACE INTO finished VALUES (?, ?, ?, ?)", rows)
            change.executemany("UPDATE finished SET build = ? WHERE key = ?", ((last + 1, key) for key in self._used))
            _bounded(change)
        with suppress(sqlite3.Error):
            self._open.close()
        self._open = None


def _opened(file: Path) -> sqlite3.Connection:
    """The store in `file`; one that is none is begun anew."""
    for again in (True, False):
        connection = sqlite3.connect(file, timeout=_WAIT_S, isolation_level=None)
        try:
            connection.execute("PRAGMA synchronous = OFF")  # what a fall of the system damages is not taken, and made again
            connection.execute(_TABLE)
            connection.execute("SELECT key, build, sum, made FROM finished LIMIT 1").fetchall()
            return connection
        except sqlite3.OperationalError:
            connection.close()
            raise
        except sqlite3.DatabaseError:
            connection.close()
            if not again:
                raise
            file.unlink(missing_ok=True)
    raise sqlite3.DatabaseError


def _bounded(change: sqlite3.Connection) -> None:
    """Once the file is beyond the limit, take out what was not used for the most builds, until the rest takes three quarters of
    it: else each build after would add up all entries again."""
    used, free, each = (change.execute(f"PRAGMA {name}").fetchone()[0] for name in ("page_count", "freelist_count", "page_size"))
    filled = (used - free) * each
    if filled <= LIMIT:  # as nearly always; to add up all entries takes long
        return
    sizes = change.execute("SELECT build, sum(length(made)) FROM finished GROUP BY build ORDER BY build DESC").fetchall()
    # pages hold more than what was made: a share of the entries is counted on as the same share of the file
    room, whole = sum_of(size for _, size in sizes) * 3 * LIMIT / (4 * filled), 0
    for build, size in sizes:
        whole += size
        if whole > room:
            change.execute("DELETE FROM finished WHERE build <= ?", (build,))
            return
