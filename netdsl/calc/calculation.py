"""All questions of the calculation about one plant, each answered on first use."""

from __future__ import annotations

from functools import cached_property

from netdsl.calc.breaking import BreakingCapacities
from netdsl.calc.capacity import Capacities
from netdsl.calc.characteristics import Characteristics
from netdsl.calc.circuit import Circuit
from netdsl.calc.contacts import ContactLoads
from netdsl.calc.control_drops import ControlDrops
from netdsl.calc.control_paths import ControlCircuits
from netdsl.calc.derating import Deratings
from netdsl.calc.disconnection import Disconnections
from netdsl.calc.distortion import Distortion
from netdsl.calc.drops import VoltageDrops
from netdsl.calc.enclosures import Enclosures
from netdsl.calc.faults import Faults
from netdsl.calc.gaps import Gaps
from netdsl.calc.leakage import Leakages
from netdsl.calc.loads import LoadCurrents
from netdsl.calc.loops import LoopBurdens
from netdsl.calc.motor_cables import MotorCables
from netdsl.calc.overload import Overloads
from netdsl.calc.protective import ProtectiveConductors
from netdsl.calc.results import Assumption, Gap, Result
from netdsl.calc.serial import SerialLines
from netdsl.calc.settings import Settings
from netdsl.calc.sources import SourceLoads
from netdsl.calc.withstand import Withstands
from netdsl.collector import collector_paused
from netdsl.network.types import Network

#: the questions in the order of the sheet; beside them the distortion, which takes a simulation and is asked for by the sheet alone
QUESTIONS = (
    "loads",
    "capacities",
    "overloads",
    "faults",
    "drops",
    "breaking",
    "disconnections",
    "withstands",
    "protective_conductors",
    "leakages",
    "motor_cables",
    "source_loads",
    "control_drops",
    "contact_loads",
    "loop_burdens",
    "serial_lines",
    "enclosures",
    "deratings",
)


class Calculation:
    """A network and what is computed from it. Each question is a room of its own that asks the others through this."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.plant = network.plant
        self.settings = Settings(network.plant)
        self.gaps = Gaps()
        self.circuit = Circuit(network, self.settings, self.gaps)

    @cached_property
    def loads(self) -> LoadCurrents:
        return LoadCurrents(self)

    @cached_property
    def capacities(self) -> Capacities:
        return Capacities(self)

    @cached_property
    def characteristics(self) -> Characteristics:
        return Characteristics(self)

    @cached_property
    def overloads(self) -> Overloads:
        return Overloads(self)

    @cached_property
    def faults(self) -> Faults:
        return Faults(self)

    @cached_property
    def drops(self) -> VoltageDrops:
        return VoltageDrops(self)

    @cached_property
    def breaking(self) -> BreakingCapacities:
        return BreakingCapacities(self)

    @cached_property
    def disconnections(self) -> Disconnections:
        return Disconnections(self)

    @cached_property
    def withstands(self) -> Withstands:
        return Withstands(self)

    @cached_property
    def protective_conductors(self) -> ProtectiveConductors:
        return ProtectiveConductors(self)

    @cached_property
    def leakages(self) -> Leakages:
        return Leakages(self)

    @cached_property
    def motor_cables(self) -> MotorCables:
        return MotorCables(self)

    @cached_property
    def control_circuits(self) -> ControlCircuits:
        """What the questions about control circuits share."""
        return ControlCircuits(self)

    @cached_property
    def source_loads(self) -> SourceLoads:
        return SourceLoads(self)

    @cached_property
    def control_drops(self) -> ControlDrops:
        return ControlDrops(self)

    @cached_property
    def contact_loads(self) -> ContactLoads:
        return ContactLoads(self)

    @cached_property
    def loop_burdens(self) -> LoopBurdens:
        return LoopBurdens(self)

    @cached_property
    def serial_lines(self) -> SerialLines:
        return SerialLines(self)

    @cached_property
    def enclosures(self) -> Enclosures:
        return Enclosures(self)

    @cached_property
    def deratings(self) -> Deratings:
        return Deratings(self)

    @cached_property
    def distortion(self) -> Distortion:
        return Distortion(self)

    @cached_property
    def judged(self) -> tuple[Result, ...]:
        """Every result that a rule may hold to its limit, question by question."""
        with collector_paused():
            return tuple(result for question in QUESTIONS for result in getattr(self, question).results())

    @cached_property
    def results(self) -> tuple[Result, ...]:
        """Every result, the simulated ones last."""
        return (*self.judged, *self.distortion.results())

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


def calculate(network: Network) -> Calculation:
    """The calculation of a plant; nothing is computed before it is asked for."""
    return Calculation(network)
