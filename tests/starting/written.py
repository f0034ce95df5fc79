"""Plants that `netdsl new` writes. It checks what it wrote before it puts it into place: what it found is not sought again, and
where a test looks at what is written alone, it is not sought at all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.cli import new as command
from netdsl.cli.work import Judged, connect, judge
from netdsl.network.types import Network

#: of the plant written last: its texts as they were judged, by name, and what was found
_LAST: list[tuple[Mapping[str, str], Judged]] = []


def written(folder: Path, *options: str | Path) -> Path:
    """The file of the plant that `netdsl new` writes into `folder`; it must write one."""
    _LAST.clear()

    def judging(plant: Path) -> Judged:
        _LAST.append((_texts(plant), judge(plant)))
        return _LAST[-1][1]

    return _written(judging, folder, *options)


def unchecked(folder: Path, *options: str | Path) -> Path:
    """As `written`, but nothing is said at its head of what `check` finds."""
    return _written(lambda _: Judged(None, None, (), False), folder, *options)


def _written(judging: Callable[[Path], Judged], folder: Path, *options: str | Path) -> Path:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(command, "judge", judging)
        with pytest.raises(SystemExit) as leaving:
            main(["new", str(folder), *map(str, options)])
    assert leaving.value.code == 0
    return folder / "plant.netdsl"


def network_of(plant: Path) -> Network:
    """The network of a plant, to which no rule is applied."""
    network = connect(plant).network
    assert network is not None
    return network


def judged(plant: Path) -> Judged:
    """What `check` makes of a plant as it is: what `new` found where the very texts that it judged stand there, else anew."""
    texts = _texts(plant)
    return next((found for said, found in _LAST if said == texts), None) or judge(plant)


def _texts(plant: Path) -> dict[str, str]:
    return {file.name: file.read_text("utf-8") for file in plant.parent.glob("*.netdsl")}
