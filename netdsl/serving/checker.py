"""Whole plants judged in another process, which is started when it is first needed and stopped where its answer has no use."""

from __future__ import annotations

import asyncio
import struct
import sys

import msgspec

from netdsl.serving.checking import framed
from netdsl.serving.told import Asked, Told

_LENGTH = struct.Struct(">I")


class CheckFailed(Exception):
    """The process ended without an answer."""


class Checker:
    """One such process at a time; questions are asked one after the other. `closed`: none is asked any more."""

    def __init__(self) -> None:
        self.closed = False
        self._process: asyncio.subprocess.Process | None = None
        self._turn = asyncio.Lock()
        self._encode = msgspec.msgpack.Encoder().encode
        self._decode = msgspec.msgpack.Decoder(list[Told]).decode

    async def judge(self, asked: Asked) -> list[Told]:
        """All findings of a plant. Raises CheckFailed where the process ends; cancelled, it stops the process."""
        async with self._turn:
            process = await self._started()
            assert process.stdin is not None and process.stdout is not None
            try:
                process.stdin.write(framed(self._encode(asked)))
                await process.stdin.drain()
                (length,) = _LENGTH.unpack(await process.stdout.readexactly(_LENGTH.size))
                return self._decode(await process.stdout.readexactly(length))
            except (OSError, asyncio.IncompleteReadError, msgspec.DecodeError) as error:
                await self._stop()
                raise CheckFailed(type(error).__name__) from error
            except asyncio.CancelledError:
                await self._stop()
                raise

    async def _started(self) -> asyncio.subprocess.Process:
        if self._process is None or self._process.returncode is not None:
            pipe = asyncio.subprocess.PIPE
            command = (sys.executable, "-m", "netdsl.serving.checking")
            self._process = await asyncio.create_subprocess_exec(*command, stdin=pipe, stdout=pipe, limit=1 << 26)
        return self._process

    async def _stop(self) -> None:
        process, self._process = self._process, None
        if process is not None and process.returncode is None:
            process.kill()
            await process.wait()

    async def close(self) -> None:
        """End the process for good."""
        self.closed = True
        await self._stop()
