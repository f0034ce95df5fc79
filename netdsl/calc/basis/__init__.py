"""What every room of the calculation stands on: results and their givens, figures of standards, settings, gaps, the questions."""

from netdsl.calc.basis.calculation import Answer, Calculation, Question, SheetQuestion, answers, calculate, sheet_questions
from netdsl.calc.basis.connections import kept_of_connections, of_connections
from netdsl.calc.basis.figures import (
    Figure,
    at_or_above,
    between,
    confidence_at,
    exactly,
    figure,
    one_table,
    single,
    standard,
    tables,
)
from netdsl.calc.basis.formulas import Formula, Words, formula
from netdsl.calc.basis.givens import Given, Input, Later, Said, fault_text, figure_text
from netdsl.calc.basis.ratings import amount, rating, word
from netdsl.calc.basis.results import Assumption, Gap, Limit, Result, Sense
from netdsl.calc.basis.sections import standard_section
from netdsl.calc.basis.settings import Settings

__all__ = [
    "Answer",
    "Assumption",
    "Calculation",
    "Figure",
    "Formula",
    "Gap",
    "Given",
    "Input",
    "Later",
    "Limit",
    "Question",
    "Result",
    "Said",
    "Sense",
    "Settings",
    "SheetQuestion",
    "Words",
    "amount",
    "answers",
    "at_or_above",
    "between",
    "calculate",
    "confidence_at",
    "exactly",
    "fault_text",
    "figure",
    "figure_text",
    "formula",
    "kept_of_connections",
    "of_connections",
    "one_table",
    "rating",
    "sheet_questions",
    "single",
    "standard",
    "standard_section",
    "tables",
    "word",
]
