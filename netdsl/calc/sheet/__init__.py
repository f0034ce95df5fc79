"""The calculation sheet: how results are arranged, put into words and explained."""

from netdsl.calc.sheet.arrangement import Section, about, not_judged, sections_of, sources_of, summary_of, worked
from netdsl.calc.sheet.circuits import CircuitRow, circuit_rows, least_margin, margin_text, selectivity_word
from netdsl.calc.sheet.explanation import designations, explained, results_at, verdict
from netdsl.calc.sheet.leaning import leaning, narrow, noted
from netdsl.calc.sheet.series import in_series
from netdsl.calc.sheet.told import Sources, told
from netdsl.calc.sheet.words import CAUTIONS, CONFIDENCES, IN_SHORT, SUPPORT, origin_words, symbol, title

__all__ = [
    "CAUTIONS",
    "CONFIDENCES",
    "IN_SHORT",
    "SUPPORT",
    "CircuitRow",
    "Section",
    "Sources",
    "about",
    "circuit_rows",
    "designations",
    "explained",
    "in_series",
    "leaning",
    "least_margin",
    "margin_text",
    "narrow",
    "not_judged",
    "noted",
    "origin_words",
    "results_at",
    "sections_of",
    "selectivity_word",
    "sources_of",
    "summary_of",
    "symbol",
    "title",
    "told",
    "verdict",
    "worked",
]
