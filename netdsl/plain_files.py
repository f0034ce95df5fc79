"""Files read where they are plain ones of a size that a text can have: a pipe would hang, a device never end."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

#: most bytes of a file that is read; a plant of a thousand drives has some 5 MB
MAX_BYTES = 16_000_000


def read_plain(path: Path, most: int = MAX_BYTES) -> bytes:
    """What a file holds. Raises OSError where it cannot be read, is no plain file, or has more than `most` bytes."""
    # not to wait for whoever might write to a pipe
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as stream:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode):
            raise OSError(errno.EINVAL, "it is a folder, a pipe or a device, and no plain file")
        # memory is taken for as much as it says it has; files that the system makes up say nothing, and have more
        data = stream.read(min(found.st_size, most) + 1)
        if len(data) > found.st_size:
            data += stream.read(most + 1 - len(data))
    if len(data) > most:
        raise OSError(errno.EFBIG, f"it has more than {most // 1_000_000} MB")
    return data
