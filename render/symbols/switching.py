"""Switching and protecting devices in single-line form (IEC 60617 parts 7 and 2)."""

from __future__ import annotations

from math import hypot

from render.sheet import MEDIUM, NORMAL
from render.symbols.cell import HEIGHT, Cell

_FIXED, _HINGE, _SWING = 6.0, 14.0, -4.4  # fixed end, hinge of the blade, how far its tip swings to the left


class _Contact(Cell):
    """A make contact: the blade hinges below and slants to the left of the fixed end without touching it."""

    def blade(self, fixed: float = _FIXED, hinge: float = _HINGE) -> tuple[float, float]:
        """Draw fixed end, blade and leads; gives the middle of the blade."""
        swing = _SWING * (hinge - fixed) / (_HINGE - _FIXED)
        self.leads(fixed, hinge)
        self.line((0, hinge), (swing, fixed + 0.4))
        return swing / 2, (hinge + fixed + 0.4) / 2

    def cross(self, fixed: float = _FIXED) -> None:
        """The mark of a circuit-breaker at the fixed end."""
        self.line((-1.3, fixed - 1.3), (1.3, fixed + 1.3), width=MEDIUM)
        self.line((-1.3, fixed + 1.3), (1.3, fixed - 1.3), width=MEDIUM)

    def bar(self, fixed: float = _FIXED) -> None:
        """The mark of a disconnector at the fixed end."""
        self.line((-1.8, fixed), (1.8, fixed))


class MakeContact(_Contact):
    """Switch, general."""

    def draw(self) -> None:
        self.blade()


class CircuitBreaker(_Contact):
    """Circuit-breaker: a cross at the fixed end."""

    def draw(self) -> None:
        self.blade()
        self.cross()


class Disconnector(_Contact):
    """Disconnector: a bar at the fixed end."""

    def draw(self) -> None:
        self.blade()
        self.bar()


class SwitchDisconnector(_Contact):
    """Switch-disconnector: a bar with a small circle beneath it."""

    def draw(self) -> None:
        self.blade(fixed=5.0)
        self.bar(fixed=5.0)
        self.circle(0, 5.9, 0.9, width=MEDIUM)


class Contactor(_Contact):
    """Contactor, main contact: a half circle at the fixed end."""

    def draw(self) -> None:
        self.blade()
        self.arc(0, _FIXED + 1.4, 1.4, 1.4, 0, 180, width=MEDIUM)


class Fuse(Cell):
    """Fuse: a rectangle with the conductor running through."""

    def draw(self) -> None:
        self.line((0, 0), (0, HEIGHT))
        self.box(-1.8, 5.0, 1.8, 15.0)


class FuseSwitchDisconnector(_Contact):
    """Fuse switch-disconnector: the blade of a switch-disconnector carries a fuse."""

    def draw(self) -> None:
        self.blade(fixed=5.0)
        self.bar(fixed=5.0)
        self.circle(0, 5.9, 0.9, width=MEDIUM)
        tip = (_SWING * (_HINGE - 5.0) / (_HINGE - _FIXED), 5.4)
        length = hypot(tip[0], _HINGE - tip[1])
        across = ((_HINGE - tip[1]) / length * 1.2, -tip[0] / length * -1.2)
        near, far = ((tip[0] * share, _HINGE + (tip[1] - _HINGE) * share) for share in (0.2, 0.8))
        self.shape(
            (near[0] - across[0], near[1] - across[1]),
            (near[0] + across[0], near[1] + across[1]),
            (far[0] + across[0], far[1] + across[1]),
            (far[0] - across[0], far[1] - across[1]),
            width=MEDIUM,
        )


class OverloadRelay(Cell):
    """Thermal overload relay: the conductor makes a square step inside a box."""

    def draw(self) -> None:
        self.leads(5.0, 15.0)
        self.box(-5.0, 5.0, 5.0, 15.0)
        self.line((0, 5.0), (0, 7.5), (-2.4, 7.5), (-2.4, 12.5), (0, 12.5), (0, 15.0), width=MEDIUM)


class MotorBreaker(_Contact):
    """Motor-protective circuit-breaker: breaker contact, thermal release (step) and magnetic release (I>)."""

    def draw(self) -> None:
        self.line((0, 0), (0, 3.0))
        self.line((0, 17.5), (0, HEIGHT))
        self.line((0, 9.5), (-3.5, 3.4))
        self.cross(fixed=3.0)
        self.line((0, 9.5), (0, 11.5))
        self.box(-3.2, 11.5, 1.8, 17.5)
        self.box(1.8, 11.5, 6.6, 17.5)
        self.line((0, 11.5), (0, 12.8), (-1.8, 12.8), (-1.8, 16.2), (0, 16.2), (0, 17.5), width=MEDIUM)
        self.text(4.2, 15.75, "I>", NORMAL)


class MotorStarter(_Contact):
    """Motor starter: breaker contact, thermal and magnetic release, contactor contact, one below the other."""

    def draw(self) -> None:
        self.line((0, 0), (0, 2.0))
        self.line((0, 6.8), (-2.8, 2.2))
        self.cross(fixed=2.0)
        self.line((0, 6.8), (0, 7.6))
        self.box(-3.2, 7.6, 1.8, 12.6)
        self.box(1.8, 7.6, 6.6, 12.6)
        self.line((0, 7.6), (0, 8.6), (-1.8, 8.6), (-1.8, 11.6), (0, 11.6), (0, 12.6), width=MEDIUM)
        self.text(4.2, 11.35, "I>", NORMAL)
        self.line((0, 12.6), (0, 13.6))
        self.arc(0, 14.7, 1.1, 1.1, 0, 180, width=MEDIUM)
        self.line((0, 18.6), (-2.8, 13.9))
        self.line((0, 18.6), (0, HEIGHT))


class ResidualCurrentDevice(_Contact):
    """Residual-current device: a contact linked to a summation transformer round the conductors."""

    def draw(self) -> None:
        self.line((0, 0), (0, 3.0))
        self.line((0, 9.5), (0, HEIGHT))
        self.line((0, 9.5), (-3.5, 3.4))
        self.arc(0, 14.5, 3.4, 1.3, 0, 360, width=MEDIUM)
        self.line((-3.4, 14.5), (-6.0, 14.5), (-6.0, 6.45), (-1.75, 6.45), width=MEDIUM, dashed=True)


class BreakContact(Cell):
    """Break contact: the blade slants to the right and touches a short stroke at the fixed end."""

    def draw(self) -> None:
        self.leads(_FIXED, _HINGE)
        self.line((0, _FIXED), (3.4, _FIXED), width=MEDIUM)
        self.line((0, _HINGE), (3.4, _FIXED - 1.0))


class Coil(Cell):
    """Coil of a relay or contactor: a rectangle, leads on its long sides."""

    def draw(self) -> None:
        self.leads(7.0, 13.0)
        self.box(-6.0, 7.0, 6.0, 13.0)


class OnDelayCoil(Coil):
    """Coil of a relay slow to operate: a crossed field at its end."""

    def draw(self) -> None:
        super().draw()
        self.line((-2.5, 7.0), (-2.5, 13.0))
        self.line((-6.0, 7.0), (-2.5, 13.0), width=MEDIUM)
        self.line((-6.0, 13.0), (-2.5, 7.0), width=MEDIUM)


class OffDelayCoil(Coil):
    """Coil of a relay slow to release: a black field at its end."""

    def draw(self) -> None:
        super().draw()
        self.shape((-6.0, 7.0), (-2.5, 7.0), (-2.5, 13.0), (-6.0, 13.0), fill=True)
