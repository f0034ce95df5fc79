"""The process that judges whole plants for the server: `python -m netdsl.serving.checking`, one answer for each question.

A process of its own, because the rules over a large plant take seconds: the server answers meanwhile, and stops it where the text
has changed. It says what `netdsl check` says, by the same stages on whole texts.
"""

from __future__ import annotations

import gc
import struct
import sys
from pathlib import Path
from typing import BinaryIO

import msgspec

from netdsl.findings import Finding, arranged
from netdsl.serving.told import Asked, Told, told

_LENGTH = struct.Struct(">I")


def judge(asked: Asked) -> list[Told]:
    """All findings of a plant, in order."""
    import lint
    from netdsl.calc import calculate
    from netdsl.model import read_plant
    from netdsl.network import build_network

    plant, reading = read_plant(Path(asked.file), asked.texts)
    found: tuple[Finding, ...] = reading
    if plant is not None:
        network, joining = build_network(plant)
        found = (*reading, *joining, *lint.verdict(network, asked.today, calculate(network)).findings)
    return [told(each) for each in arranged(found)]


def read_message(stream: BinaryIO) -> bytes | None:
    """The next message of a stream, None at its end."""
    head = stream.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    return stream.read(_LENGTH.unpack(head)[0])


def framed(message: bytes) -> bytes:
    """A message with its length before it."""
    return _LENGTH.pack(len(message)) + message


def main() -> None:
    """Answer until nobody asks any more."""
    gc.disable()
    decode, encode = msgspec.msgpack.Decoder(Asked).decode, msgspec.msgpack.Encoder().encode
    out = sys.stdout.buffer
    sys.stdout = sys.stderr  # what anything prints must not come between the answers
    while (message := read_message(sys.stdin.buffer)) is not None:
        out.write(framed(encode(judge(decode(message)))))
        out.flush()
        gc.collect()


if __name__ == "__main__":
    main()
