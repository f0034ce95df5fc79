"""The calculation of one plant and what may be asked of it. It knows no question by name: whoever asks names the class."""

from __future__ import annotations

import pkgutil
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from importlib import import_module
from itertools import chain
from pathlib import Path
from types import ModuleType
from typing import Any, ClassVar, Protocol, TypeVar, cast

from msgspec import Struct

from netdsl.calc.basis.gaps import Gaps
from netdsl.calc.basis.results import Assumption, Gap, Result
from netdsl.calc.basis.settings import Settings
from netdsl.collector import collector_paused
from netdsl.kept import Answers, cached_property, kept
from netdsl.network.types import Network

Q = TypeVar("Q", bound="Question")


class Answer(Struct, frozen=True):
    """A kind of result as the sheet names it.

    `question`: that of its results (`voltage-drop.running`); `title`, and `symbol` of the value. `of_conductors`: listed
    conductor by conductor, after the figures of the devices of its circuit. `graded`: False where the value is kept or not,
    without a distance in between: a size that a table names, a count of resistors. `in_series`: its conductors all lie one behind
    the other, there and back.
    """

    question: str
    title: str
    symbol: str
    of_conductors: bool = False
    graded: bool = True
    in_series: bool = False


class Question:
    """Something asked of a calculation, made once for it when first asked for: `calculation.of(Circuit)`.

    It asks others in the same way. Whoever reads its imports reads what it needs.
    """

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def apart_from_sections(self) -> bool:
        """Whether no section of a conductor changes any of its answers: then it is one for all calculations that are alike but
        for these (see `Calculation`)."""
        return False


class SheetQuestion(Question):
    """A question whose results stand on the sheet. It is found wherever it is defined in a room of `netdsl.calc`.

    `place`: its place in the order of the sheet, its own alone; `answers`: the kinds of its results. `judged`: False where no
    rule holds its results to a limit and it takes long, so that the sheet alone asks for it.
    """

    place: ClassVar[int]
    answers: ClassVar[tuple[Answer, ...]]
    judged: ClassVar[bool] = True

    def results(self) -> Iterable[Result]:
        """The results, in the order of the sheet."""
        raise NotImplementedError


class Asks(Protocol):
    """What gives the question of a class."""

    def __call__(self, question: type[Q], /) -> Q: ...


class Calculation:
    """A network and what is computed from it: each question once, on first use.

    `like`: one of the same plant with other sections of conductors, if there is one, from which this takes what these do not
    change, and which knows what of that is missing; `of`: the question of a class, one for the whole calculation. It is asked for
    many times with each figure.
    """

    def __init__(self, network: Network, like: Calculation | None = None) -> None:
        self.network = network
        self.like = like
        self.plant = network.plant
        self.settings = Settings(network.plant)
        self.gaps = Gaps()
        self.of = cast("Asks", Answers[type[Any], Any](self._question).__getitem__)

    def _question(self, question: type[Q]) -> Q:
        known = self.like.of(question) if self.like is not None else None
        return known if known is not None and known.apart_from_sections() else question(self)

    @kept
    def results_of(self, question: type[SheetQuestion]) -> tuple[Result, ...]:
        """The results of a question, worked out once for all who ask."""
        asked = self.of(question)
        if self.like is not None and asked is self.like.of(question):
            return self.like.results_of(question)
        return tuple(asked.results())

    @cached_property
    def judged(self) -> tuple[Result, ...]:
        """Every result that a rule may hold to its limit, question by question."""
        with collector_paused():
            asked = [self.results_of(each) for each in sheet_questions() if each.judged]
            return tuple(chain.from_iterable(asked))

    @cached_property
    def results(self) -> tuple[Result, ...]:
        """Every result, the simulated ones last."""
        others = (self.results_of(each) for each in sheet_questions() if not each.judged)
        return (*self.judged, *chain.from_iterable(others))

    @cached_property
    def by_key(self) -> dict[str, Result]:
        """Results by their key."""
        return {result.key: result for result in self.results}

    @property
    def missing(self) -> tuple[Gap, ...]:
        """Data that is missing for what was computed so far, one per feeder and kind."""
        return tuple(self.gaps)

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What was used so far without being stated."""
        return self.settings.assumptions


@cache
def sheet_questions() -> tuple[type[SheetQuestion], ...]:
    """The questions of the sheet in its order, found in the modules of all rooms, which are loaded for it.

    Raises ValueError where two have one place.
    """
    found: dict[int, type[SheetQuestion]] = {}
    for module in _modules():
        for each in vars(module).values():
            if not isinstance(each, type) or not issubclass(each, SheetQuestion) or each is SheetQuestion:
                continue
            if found.setdefault(each.place, each) is not each:
                raise ValueError(f"{each.__name__} and {found[each.place].__name__} have one place on the sheet")
    return tuple(found[place] for place in sorted(found))


def _modules() -> Iterator[ModuleType]:
    """Every module of the rooms beside this one. Left out is what `check` does without: the words of the sheet, which are not
    asked, and packages inside a room, as the simulation of rectifiers, which the question that needs it loads when it is
    asked."""
    beside = Path(__file__).parents[1]
    for room in pkgutil.iter_modules([str(beside)]):
        if room.ispkg and room.name != "sheet":
            for module in pkgutil.iter_modules([str(beside / room.name)], f"netdsl.calc.{room.name}."):
                if not module.ispkg:
                    yield import_module(module.name)


@cache
def answers() -> Mapping[str, Answer]:
    """The kinds of results by their question, in the order of the sheet."""
    return {answer.question: answer for each in sheet_questions() for answer in each.answers}


def calculate(network: Network) -> Calculation:
    """The calculation of a plant; nothing is computed before it is asked for."""
    return Calculation(network)
