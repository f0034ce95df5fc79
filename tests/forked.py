"""Commands in processes of their own that are copies of this one: with streams, folder, environment and exit code as the shell
knows them, and without the third of a second in which a Python that is started anew loads what this one has."""

from __future__ import annotations

import gc
import marshal
import os
import signal
import socket
import sys
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NoReturn

from netdsl.cli.entry import script

#: hands its folder, words, environment and streams on, and ends as the command there does
_CALLER = """
import marshal, os, socket, sys
with socket.socket(socket.AF_UNIX) as line:
    line.connect(sys.argv[1])
    socket.send_fds(line, [b"."], [0, 1, 2])
    line.sendall(marshal.dumps((os.getcwd(), sys.argv[2:], dict(os.environ))))
    line.shutdown(socket.SHUT_WR)
    code = line.recv(1)
sys.exit(code[0] if code else 99)
"""

#: seconds between two looks whether a process is still there
LOOK_S = 10


def written_anew(encoding: str = "utf-8") -> None:
    """Streams as Python opens them at its start."""
    sys.stdout, sys.stderr = (open(number, "w", encoding=encoding, closefd=False) for number in (1, 2))  # noqa: SIM115


def code_of_copy(arguments: Sequence[str], folder: Path, streams: Sequence[int], before: Callable[[], None]) -> int:
    """Exit code of the command in a copy of this process, in a folder and with its three streams; `before` it begins."""
    child = os.fork()
    if child == 0:
        _as_command(arguments, folder, streams, before)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def said_by_copy(arguments: Sequence[str], folder: Path, before: Callable[[], None]) -> tuple[int, bytes, bytes]:
    """Exit code, output and errors of the command in a copy of this process, with nothing to read."""
    out, err = (os.memfd_create(name) for name in ("out", "err"))
    with Path(os.devnull).open() as nothing:
        code = code_of_copy(arguments, folder, (nothing.fileno(), out, err), before)
    said = []
    for file in (out, err):
        os.lseek(file, 0, os.SEEK_SET)
        said.append(os.read(file, 1 << 24))
        os.close(file)
    return code, said[0], said[1]


def _as_command(arguments: Sequence[str], folder: Path, streams: Sequence[int], before: Callable[[], None]) -> NoReturn:
    try:
        os.chdir(folder)
        for number, file in enumerate(streams):
            os.dup2(file, number)
        sys.argv = ["netdsl", *arguments]
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
        written_anew()
        _unswept()
        before()
        script()
    except BaseException:
        os.write(streams[2], traceback.format_exc().encode())
        os._exit(99)


def _unswept() -> None:
    """What the tests hold is not there in a process of its own: where that looks for garbage, it is not looked through."""
    gc.freeze()
    gc.unfreeze = lambda: None


@contextmanager
def called_from_elsewhere() -> Iterator[str]:
    """A command line for a shell that does in a copy of this process what `netdsl` does."""
    with TemporaryDirectory() as folder, socket.socket(socket.AF_UNIX) as line:  # whose name must be short
        caller, address = Path(folder, "caller.py"), Path(folder, "line")
        caller.write_text(_CALLER, "utf-8")
        line.bind(str(address))
        line.listen()
        parent, child = os.getpid(), os.fork()
        if child == 0:
            _answer(line, parent)
        try:
            yield f"{sys.executable} -I -S {caller} {address}"
        finally:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)


def _answer(line: socket.socket, parent: int) -> NoReturn:
    """Do what is called for, one after the other, until this is ended or `parent`, from which it came, is no more."""
    try:
        line.settimeout(LOOK_S)
        while os.getppid() == parent:
            with suppress(TimeoutError), line.accept()[0] as call:
                streams = socket.recv_fds(call, 1, 3)[1]
                folder, arguments, environment = marshal.loads(b"".join(iter(lambda: call.recv(1 << 16), b"")))
                code = code_of_copy(arguments, folder, streams, partial(_surrounded_by, environment))
                for each in streams:
                    os.close(each)
                call.sendall(bytes([code % 256]))
    finally:
        os._exit(99)


def _surrounded_by(environment: Mapping[str, str]) -> None:
    os.environ.clear()
    os.environ.update(environment)
