"""Plays the control of a plant: contacts and coils step by step, buttons and drive relays moved by the test."""

from __future__ import annotations

from netdsl.model.plant import Device, Path
from tests.schemes.scheme_plants import Wired

PLUS, ZERO = "-T9:+", "-T9:-"
STEPS = 40


class Play:
    """The state of the coils of `at`. A coil pulls when both its ends reach the poles of the 24 V supply."""

    def __init__(self, at: Wired) -> None:
        self.at = at
        self.forced: dict[tuple[str, str], bool] = {}  # (device, what moves it): hand, level, running ...
        self.turned: dict[str, str] = {}  # selector: position
        self.pulled: set[str] = set()
        self.elapsed: set[str] = set()  # timers whose time has gone by
        self.settle()

    def move(self, device: str, by: str, on: bool) -> None:
        """Move what is not moved by a coil, then let the relays settle."""
        self.forced[device, by] = on
        self.settle()

    def push(self, device: str) -> None:
        """Press a button and let it go."""
        self.move(device, "hand", True)
        self.move(device, "hand", False)

    def turn(self, selector: str, position: str) -> None:
        """Turn a selector, through a moment in which no contact is closed."""
        for place in ("between", position):
            self.turned[selector] = place
            self.settle()

    def wait(self) -> None:
        """Let the time of every timer that is pulled go by."""
        self.elapsed |= self.pulled
        self.settle()

    def settle(self) -> None:
        """Step until nothing moves; every step is reached by all coils at once."""
        for _ in range(STEPS):
            plus, zero = self._reached(PLUS), self._reached(ZERO)
            pulled = {
                device.id
                for device in self.at.plant.devices.values()
                for coil in device.consumers
                if coil.kind == "coil" and self._net(device.id, coil.a) in plus and self._net(device.id, coil.b) in zero
            }
            self.elapsed &= pulled
            for pair in self.at.plant.interlocks:
                assert not set(pair.devices) <= pulled & self.pulled, f"{pair.devices} closed together"
            assert not plus & zero, "24 V and 0 V joined"
            if pulled == self.pulled:
                return
            self.pulled = pulled
        raise AssertionError(f"the relays do not settle: {sorted(self.pulled)}")

    def live(self, node: str) -> bool:
        """Whether a terminal has 24 V."""
        return self.at.network.net_of[node] in self._reached(PLUS)

    def _net(self, device: str, terminal: str) -> str:
        return self.at.network.net_of[f"{device}:{terminal}"]

    def _reached(self, node: str) -> set[str]:
        joined: dict[str, set[str]] = {}
        for device in self.at.plant.devices.values():
            for path in device.paths:
                if self._closed(device, path):
                    a, b = self._net(device.id, path.a), self._net(device.id, path.b)
                    joined.setdefault(a, set()).add(b)
                    joined.setdefault(b, set()).add(a)
        found = {self.at.network.net_of[node]}
        queue = list(found)
        while queue:
            for net in joined.get(queue.pop(), set()) - found:
                found.add(net)
                queue.append(net)
        return found

    def _closed(self, device: Device, path: Path) -> bool:
        if path.positions:
            return self.turned.get(device.id) in path.positions
        if path.certain or path.kind == "pole":
            return path.certain
        on = device.id in self.pulled if path.by == "coil" else self.forced.get((device.id, path.by), path.by == "handle")
        if "delayed" in path.marks:
            on = device.id in self.elapsed
        return on is (path.kind == "make")
