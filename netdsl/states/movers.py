"""What moves the contacts of a device: which of them move together, what decides it, and how they stand at rest."""

from __future__ import annotations

from typing import NamedTuple

from netdsl.model.kinds import BREAKING, Kind
from netdsl.model.plant import Device, Path
from netdsl.states.types import Cause, Closed, Movement, Mover

#: closed in service: their handle is on at rest
_ON_AT_REST = BREAKING | {Kind.ISOLATOR, Kind.RESIDUAL_DEVICE}
#: symbols by which a part says how its delayed contacts move: whether they wait when the coil pulls, when it drops
_SLOW = {"relay-on-delay": (True, False), "relay-off-delay": (False, True)}
#: the symbol of a timer whose contacts follow each other with a pause between
STAR_DELTA = "relay-star-delta"
#: the word by which each contact of a controller moves for itself
_OUTPUT = "output"


class PathMoves(NamedTuple):
    """How a path is closed and the movements this takes; `closed` is None where it is one piece of metal."""

    closed: Closed | None
    movements: tuple[Movement, ...]
    early_of: Mover | None = None  # the handle before which an early contact opens


def moves_of(device: Device, path: Path) -> PathMoves:
    """What moves a path of `device`."""
    if path.positions:
        movers = tuple(Mover(device.id, f"at {position}") for position in path.positions)
        return PathMoves(Closed(movers), tuple(Movement(mover, Cause.POSITION, False) for mover in movers))
    if path.kind == "link":
        return PathMoves(None, ())
    if path.kind == "pole" and path.certain and not path.by:
        return PathMoves(Closed((), on=False), ())  # always closed, and a device on the way all the same
    on = path.kind != "break"
    coil = coil_of(device, path.by)
    if coil is not None and "delayed" in path.marks:
        pulled, mover = Mover(device.id, coil), Mover(device.id, _contact_word(device, path))
        slow = _SLOW.get(device.symbol, (True, True))
        delayed = Movement(mover, Cause.DELAY, False, pulled, slow)
        return PathMoves(Closed((mover,), on), (Movement(pulled, Cause.COIL, False), delayed))
    if coil is not None:
        mover = Mover(device.id, coil)
        return PathMoves(Closed((mover,), on), (Movement(mover, Cause.COIL, False),))
    word = _contact_word(device, path) if path.by == _OUTPUT else path.by or "contact"
    handle = Mover(device.id, word)
    rest = word == "handle" and device.kind in _ON_AT_REST
    whole = Movement(handle, Cause.FREE, rest)
    if "early" in path.marks and on:
        early = Mover(device.id, f"{word} early")
        return PathMoves(Closed((early,)), (whole, Movement(early, Cause.FREE, rest)), handle)
    return PathMoves(Closed((handle,), on), (whole,))


def coil_of(device: Device, by: str) -> str | None:
    """The name of the coil that `by` means, None where it means none: the only coil of a device is also called `coil`."""
    names = list(dict.fromkeys(consumer.name for consumer in device.consumers if consumer.kind == "coil"))
    if by in names:
        return by
    return names[0] if by == "coil" and len(names) == 1 else None


def _contact_word(device: Device, path: Path) -> str:
    """Terminals of a contact that moves for itself; the arms of a changeover are one, called after the make contact."""
    arms = [other for other in device.paths if other.span == path.span and other.a == path.a]
    make = next((arm for arm in arms if arm.kind == "make"), path)
    return f"{make.a}-{make.b}"
