"""Words of the calculation sheet: titles of the questions, symbols of their answers, cautions."""

from __future__ import annotations

from netdsl.calc.basis import answers

SUPPORT = (
    "This sheet supports the responsible engineer and does not replace one: a licensed person checks and signs.",
    "A figure within its limit is no proof that the plant is safe; it is as good as the data it was computed from.",
    "Verify against local codes and the manufacturers' instructions, which prevail, and by measurement at commissioning.",
)
CAUTIONS = (
    *SUPPORT,
    "Before any work: isolate, lock off, wait for the DC link to discharge, prove dead. Skilled persons only.",
)
#: the same on a sheet that is not the first
IN_SHORT = (
    "Isolate, lock off, wait for the DC link to discharge, prove dead; skilled persons only. "
    "Supports the responsible engineer, does not replace one."
)
#: how sure a figure is -> what it is called in print
CONFIDENCES = {"memory": "from memory, look it up", "verified": "verified", "common practice": "common practice"}


def title(question: str) -> str:
    """The title of a question; one that has none is named by its own words."""
    known = answers().get(question)
    return known.title if known else question.replace(".", ", ").replace("-", " ").capitalize()


def symbol(question: str) -> str:
    """The symbol of a question's answer."""
    known = answers().get(question)
    return known.symbol if known else "x"


def origin_words(source: str, confidence: str) -> str:
    """A source with its confidence: `IEC 60228:2004 (verified)`; from memory said as what it asks for."""
    sure = CONFIDENCES.get(confidence, confidence)
    if not source:
        return sure
    return source if not sure or sure in source else f"{source} ({sure})"
