"""Steps of the power tree and the ways they make from a source."""

from __future__ import annotations

from msgspec import Struct


class Step(Struct, frozen=True, eq=False):
    """One edge of the power tree, the only one between its devices.

    `poles`: conductor ids of each live pole, in parallel within a pole; `conductors`: all of them, pole by pole; `neutral`: those
    of the neutral or 0 V. `fed_neutral`: the device fed has a neutral, even where its conductor comes from elsewhere.
    """

    feeder: str
    fed: str
    poles: tuple[tuple[str, ...], ...]
    neutral: tuple[str, ...]
    cables: tuple[str, ...]
    fed_neutral: bool
    conductors: tuple[str, ...]

    @property
    def phases(self) -> int:
        """Number of live poles: 3, 2 or 1."""
        return len(self.poles)


class Path(Struct, eq=False):
    """A way from a source to `device`: the path to the device before it, and the step from there.

    `origin`: the supply or converter where this circuit begins; what lies before a drive, transformer or 24 V supply is not
    part of it. `drive`: the drive behind which the device lies, "" for none. Impedances are of one pole from the origin to the
    device, devices in between included, ohm: `cold` (for the largest fault current), `warm` (conductors in service), `end` (for
    the smallest fault current); `neutral_warm`, `neutral_end`, `neutral_cold` of the neutral conductors. `known`: False where a
    length or section is missing on the way. `steps`: from the origin to the device; `devices`: the same way, both ends included.
    """

    device: str
    origin: str
    parent: Path | None
    step: Step | None
    drive: str
    cold: complex
    warm: complex
    end: complex
    neutral_cold: complex
    neutral_warm: complex
    neutral_end: complex
    known: bool
    steps: tuple[Step, ...] = ()
    devices: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        before, step = self.parent, self.step
        self.steps = () if before is None or step is None else (*before.steps, step)
        self.devices = (self.origin,) if before is None or step is None else (*before.devices, self.device)
