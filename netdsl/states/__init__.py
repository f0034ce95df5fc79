"""Network into what conducts in which state: coils, contacts and poles in motion, and proofs over all that rest leads to.

`circuit_of` is the door; `Simulation` plays operations, `Joins` asks which poles can never meet.
"""

from netdsl.states.circuit import circuit_of
from netdsl.states.joins import Joins, Question, Verdict
from netdsl.states.prover import Answer, Outcome, Prover
from netdsl.states.simulation import Simulation
from netdsl.states.types import Circuit, Mover

__all__ = ["Answer", "Circuit", "Joins", "Mover", "Outcome", "Prover", "Question", "Simulation", "Verdict", "circuit_of"]
