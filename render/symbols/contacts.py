"""Contacts of control circuits, upright and at rest, and what moves them (IEC 60617 part 7, sections 2 and 13).

A contact is 16 mm high; its blade is met by the link of an actuator at (-1.6, 8.4). An actuator is drawn with the end of its
link at the origin and reaches to the left.
"""

from __future__ import annotations

from typing import ClassVar

from render.sheet import MEDIUM, NORMAL
from render.symbols.cell import Cell

#: height of a contact and where the link of what moves it meets its blade, mm
CONTACT_HEIGHT, CONTACT_LINK = 16.0, (-1.6, 8.4)
_TOP, _HINGE = 5.6, 11.2


class _Upright(Cell):
    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0), "out": (0.0, CONTACT_HEIGHT)}

    def _leads(self) -> None:
        self.line((0, 0), (0, _TOP))
        self.line((0, _HINGE), (0, CONTACT_HEIGHT))


class UprightMake(_Upright):
    """Make contact."""

    def draw(self) -> None:
        self._leads()
        self.line((0, _HINGE), (-3.2, _TOP))


class UprightBreak(_Upright):
    """Break contact: the blade touches a stroke at the fixed end, on its right."""

    def draw(self) -> None:
        self._leads()
        self.line((0, _TOP), (2.8, _TOP), width=MEDIUM)
        self.line((0, _HINGE), (2.8, _TOP - 0.9))


class UprightChange(_Upright):
    """Change-over contact, common above: at rest the blade touches the stroke of the break side, below the common; the make side
    stands right of it, and its line goes on from `make`."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0), "out": (0.0, CONTACT_HEIGHT), "make": (6.0, 10.4)}
    fixed, hinge, over = CONTACT_HEIGHT - _TOP, CONTACT_HEIGHT - _HINGE, 0.9

    def draw(self) -> None:
        low, high = sorted((self.fixed, self.hinge))
        self.line((0, 0), (0, low))
        self.line((0, high), (0, CONTACT_HEIGHT))
        self.line((0, self.fixed), (2.8, self.fixed), width=MEDIUM)
        self.line((0, self.hinge), (2.8, self.fixed + self.over))
        self.line((5.2, self.fixed), (6.0, self.fixed), width=MEDIUM)


class UprightChangeUnder(UprightChange):
    """The same with the common below."""

    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0), "out": (0.0, CONTACT_HEIGHT), "make": (6.0, _TOP)}
    fixed, hinge, over = _TOP, _HINGE, -0.9


class _Actuator(Cell):
    ports: ClassVar[dict[str, tuple[float, float]]] = {"in": (0.0, 0.0)}

    def reach(self, to: float) -> None:
        """The link, dashed as every mechanical one."""
        self.line((0, 0), (to, 0), width=MEDIUM, dashed=True)


class Hand(_Actuator):
    """Operated by hand, general: a stroke across the end of the link."""

    def draw(self) -> None:
        self.reach(-5.0)
        self.line((-5.0, -1.6), (-5.0, 1.6), width=MEDIUM)


class Push(_Actuator):
    """Operated by pushing: the stroke has arms towards the contact."""

    def draw(self) -> None:
        self.reach(-5.0)
        self.line((-4.0, -1.6), (-5.0, -1.6), (-5.0, 1.6), (-4.0, 1.6), width=MEDIUM)


class Turn(_Actuator):
    """Operated by turning: the arms point opposite ways."""

    def draw(self) -> None:
        self.reach(-5.0)
        self.line((-4.0, -1.6), (-5.0, -1.6), (-5.0, 1.6), (-6.0, 1.6), width=MEDIUM)


class Key(_Actuator):
    """Operated by a key: its bow and stem."""

    def draw(self) -> None:
        self.reach(-4.0)
        self.circle(-5.0, -0.7, 1.0, width=MEDIUM)
        self.line((-5.0, 0.3), (-5.0, 2.0), width=MEDIUM)
        self.line((-4.0, 0), (-4.2, -0.1), width=MEDIUM)


class Mushroom(_Actuator):
    """Emergency stop: a mushroom head on a link with the mark of positive opening, an arrow in a circle."""

    def draw(self) -> None:
        self.line((0, 0), (-1.2, 0), width=MEDIUM)
        self.circle(-2.7, 0, 1.5, width=MEDIUM)
        self.line((-3.7, 0), (-1.9, 0), width=MEDIUM)
        self.shape((-1.5, 0), (-2.5, -0.6), (-2.5, 0.6), width=MEDIUM, fill=True)
        self.line((-4.2, 0), (-6.4, 0), width=MEDIUM)
        self.arc(-5.4, 0, 1.6, 1.9, 90, 270, width=MEDIUM)
        self.line((-5.4, -1.9), (-5.4, 1.9), width=MEDIUM)


class Limit(_Actuator):
    """Moved by a position: a cam."""

    def draw(self) -> None:
        self.reach(-4.0)
        self.shape((-4.0, 0), (-6.0, 1.2), (-6.0, -1.2), width=MEDIUM)


class Level(_Actuator):
    """Moved by a level of liquid: a float on its surface."""

    def draw(self) -> None:
        self.reach(-3.6)
        self.circle(-5.0, 0, 1.4, width=MEDIUM)
        self.line((-6.8, 0.6), (-3.2, 0.6), width=MEDIUM)


class Thermal(_Actuator):
    """Moved by the thermal release of an overload relay."""

    def draw(self) -> None:
        self.reach(-3.0)
        self.box(-7.0, -2.0, -3.0, 2.0, width=MEDIUM)
        self.line((-3.8, -1.0), (-4.6, -1.0), (-4.6, 0.9), (-5.6, 0.9), (-5.6, -1.0), (-6.3, -1.0), width=MEDIUM)


class Quantity(_Actuator):
    """Moved by a quantity, its letter in a box."""

    def __init__(self, letter: str) -> None:
        self.letter = letter
        super().__init__()

    def draw(self) -> None:
        self.reach(-2.6)
        self.box(-7.0, -2.6, -2.6, 2.6, width=MEDIUM)
        self.text(-4.8, 1.0, self.letter, NORMAL)


class OnDelay(_Actuator):
    """Delayed when it operates: an arc whose hollow side is towards the contact."""

    def draw(self) -> None:
        self.line((0, 0), (-0.1, 0), width=MEDIUM)
        self.line((0, -0.5), (-3.5, -0.5), width=MEDIUM)
        self.line((0.5, 0.5), (-3.5, 0.5), width=MEDIUM)
        self.arc(-2.2, 0, 1.8, 1.8, 115, 245, width=MEDIUM)


class OffDelay(_Actuator):
    """Delayed when it releases: the hollow side away from the contact."""

    def draw(self) -> None:
        self.line((0, 0), (-0.1, 0), width=MEDIUM)
        self.line((0, -0.5), (-3.5, -0.5), width=MEDIUM)
        self.line((0.5, 0.5), (-3.5, 0.5), width=MEDIUM)
        self.arc(-4.0, 0, 1.8, 1.8, -65, 65, width=MEDIUM)


class BothDelays(_Actuator):
    """Delayed both ways."""

    def draw(self) -> None:
        self.line((0, 0), (-0.1, 0), width=MEDIUM)
        self.line((0, -0.5), (-4.0, -0.5), width=MEDIUM)
        self.line((0.5, 0.5), (-4.0, 0.5), width=MEDIUM)
        self.arc(-1.8, 0, 1.8, 1.8, 115, 245, width=MEDIUM)
        self.arc(-4.4, 0, 1.8, 1.8, -65, 65, width=MEDIUM)


class Positive(_Actuator):
    """Opening positively: an arrow in a circle on the link."""

    def draw(self) -> None:
        self.line((0, 0), (-1.2, 0), width=MEDIUM)
        self.circle(-2.7, 0, 1.5, width=MEDIUM)
        self.line((-3.7, 0), (-1.9, 0), width=MEDIUM)
        self.shape((-1.5, 0), (-2.5, -0.6), (-2.5, 0.6), width=MEDIUM, fill=True)
