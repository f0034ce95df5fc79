"""Folders held by one run at a time, where the system can lock them: locked is the folder itself, and nothing is left behind."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

#: what file systems that know no locks, as some shares, answer to one
_NO_LOCKS = (errno.ENOLCK, errno.ENOTSUP, errno.EINVAL)


@contextmanager
def held(folders: Iterable[Path], busy: str | None = None) -> Iterator[None]:
    """Hold folders against other runs that do. Where one of them does, this one waits for its end, or, if `busy` says in words
    what it would wait for, raises OSError. A folder that cannot be opened is not held."""
    try:
        import fcntl
    except ImportError:  # a system without such locks
        yield
        return
    handles: list[int] = []
    try:
        for folder in sorted(set(folders)):  # in the same order in every run, so that no two wait for one another
            with suppress(PermissionError):
                handles.append(os.open(folder, os.O_RDONLY))
                try:
                    fcntl.flock(handles[-1], fcntl.LOCK_EX | (fcntl.LOCK_NB if busy else 0))
                except BlockingIOError:
                    raise OSError(errno.EBUSY, busy) from None
                except OSError as error:
                    if error.errno not in _NO_LOCKS:
                        raise
        yield
    finally:
        for handle in handles:
            os.close(handle)
