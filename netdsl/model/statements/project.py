"""`project`: what the title block shows, revisions, and what is chosen for the calculation."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import Any

from msgspec.structs import replace

from netdsl.model.desk import Desk
from netdsl.model.filling import filled
from netdsl.model.here import Here, Scope
from netdsl.model.measures import Measure
from netdsl.model.project import Choice, ProjectData, ProjectRevision
from netdsl.model.rating_table import CATEGORIES
from netdsl.model.statements.electrical import INSULATIONS
from netdsl.model.table import Nothing, Statement, Take, fixed, group, record, value
from netdsl.model.usual_measures import (
    CURRENT,
    FACTOR,
    LEAST_CURRENT,
    LENGTH,
    NUMBER,
    PER_LENGTH,
    POSITIVE,
    RESISTANCE,
    SHARE,
    TEMPERATURE,
)
from netdsl.model.value_kinds import Free, ValueKind, Words
from netdsl.model.values import is_day
from netdsl.quantities import Quantity
from netdsl.syntax.tree import Project, Revision
from netdsl.syntax.written import Attr

#: what each choice is, its usual value, unit and source: one file for manual, calculation and sheets
USUAL: dict[str, Any] = tomllib.loads(resources.files("netdsl.standards").joinpath("choices.toml").read_text(encoding="utf-8"))
TEXT = Free("a text")
TIME = Measure("time")
SECTION = Measure("section", positive=True)
VOLTAGE_FACTOR = Measure("number", 0.5, 2.0)
LOAD_FACTOR = Measure("number", 0.01, 1.0)
MULTIPLE = Measure("number", 0.1, 10.0)
PULL_IN = Measure("number", 1.0, 100.0)


class Chosen(ValueKind[Choice], eq=False):
    """What a project chooses for the calculation: one value, or one and more of a series that is stocked."""

    of: ValueKind[Any]
    series: bool = False

    @property
    def manual(self) -> str:
        return f"{self.of.manual}, or several" if self.series else self.of.manual

    @property
    def choices(self) -> tuple[str, ...]:
        return self.of.choices

    def read(self, attr: Attr, here: Here) -> Choice | None:
        pieces = [replace(attr, values=(each,)) for each in attr.values] if self.series else [attr]
        found = [self.of.read(piece, here) for piece in pieces]
        numbers = tuple(each.value for each in found if isinstance(each, Quantity))
        word = next((each for each in found if isinstance(each, str)), "")
        return Choice(numbers, word, attr.span) if word or len(numbers) == len(found) else None


def _words(name: str, *words: str) -> Words:
    return Words(words, f"value of `{name}`")


def _choice(name: str, kind: Measure, series: bool = False, says: str = "") -> Take:
    return value(name, Chosen(kind, series), says or USUAL[name]["words"])


def _answer(name: str, *words: str) -> Take:
    return value(name, Chosen(_words(name, *words)), USUAL[name]["words"])


@record
class ProjectSays:
    """What the lines of a `project` say."""

    attributes: dict[str, str] = group(
        dict,
        value("number", TEXT, "number of the document"),
        value("owner", TEXT, "who owns it"),
        value("title2", TEXT, "a second line of the title"),
        value("created-by", TEXT, "who made it"),
        value("approved-by", TEXT, "who approved it"),
        value("status", TEXT, "where it stands, as `for review`"),
        value("document-language", TEXT, "its language"),
        value(
            "sheet-size",
            _words("sheet-size", "A3", "A4"),
            "size of the sheets, `A3` where it is not said; `A3` lies, `A4` stands",
        ),
        value("technical-reference", TEXT, "who knows more"),
        value("department", TEXT, "department responsible"),
        value(
            "marks",
            _words("marks", "ends", "potential"),
            "conductors are marked by their two ends, as where it is not said, or by their potential",
        ),
        value("standard", TEXT, "standard it follows"),
    )
    choices: dict[str, Choice] = group(
        dict,
        _choice("voltage-drop-limit", SHARE),
        _choice("starting-drop-limit", SHARE),
        _choice("voltage-factor-max", VOLTAGE_FACTOR),
        _answer("fault-edition", "2016", "2001"),
        _choice("voltage-factor-min", VOLTAGE_FACTOR),
        _choice("network-voltage-factor", POSITIVE),
        _choice("loop-factor", Measure("number", 0.1, 1.0)),
        _answer("transformer-correction", "yes", "no"),
        _choice("temperature-coefficient", NUMBER),
        _choice("temperature-coefficient-aluminium", NUMBER),
        _answer("conductor-temperature", "operating", "part-load"),
        _choice("fault-temperature", TEMPERATURE),
        _choice("fault-temperature-max", TEMPERATURE),
        _choice("reactance-per-length", PER_LENGTH),
        _choice("ambient", TEMPERATURE),
        _choice("panel-ambient", TEMPERATURE),
        _choice("ground-temperature", TEMPERATURE),
        _answer("conductor-resistance", "table", "resistivity"),
        _answer("drop-from", "terminals", "source"),
        _choice("load-margin", MULTIPLE),
        _choice("simultaneity", FACTOR),
        _choice("touch-current-limit", CURRENT),
        _choice("standing-share", NUMBER),
        _choice("altitude", LENGTH),
        _choice("source-r-over-x", NUMBER),
        _answer("wiring-table", "machine", "machine-all", "building"),
        _answer("wiring-method", "B1", "B2", "C", "E"),
        _choice("bit-rate", Measure("bit-rate", positive=True)),
        _choice("control-drop-limit", SHARE),
        _choice("contactor-pull-in", PULL_IN),
        _choice("coil-pull-in", PULL_IN),
        _choice("transformer-inrush", PULL_IN),
        _choice("supply-inrush", LEAST_CURRENT),
        _choice("coil-supply", Measure("percent", 1.0, 150.0)),
        _answer("fuse-overload-rule", "tripping-current", "rated-current"),
        _choice(
            "stock-sections",
            replace(SECTION, positive=True),
            True,
            "sections that the shop stocks, within which sizes are proposed",
        ),
        _choice("stock-ratings", replace(CURRENT, positive=True), True, "rated currents that the shop stocks"),
        _answer("one-section-per-class", "yes", "no"),
        _answer("insulation", *INSULATIONS),
        _choice(
            "disconnection-time",
            replace(TIME, positive=True),
            says="time in which faults are disconnected, in place of the standard's for each circuit",
        ),
        value(
            "selectivity",
            Chosen(_words("selectivity", "total", "partial")),
            "selectivity that is wanted of protective devices one behind the other; none where it is not stated",
        ),
        _choice("inside-limit", TEMPERATURE),
        _choice("dc-link-capacitance", Measure("number", 1.0, 10_000.0, "microfarads per kilowatt")),
        _answer("enclosure-heat", "balance", "power-law"),
        _choice("filter-factor", POSITIVE),
        _choice("load-power-factor", LOAD_FACTOR),
        _choice("drive-power-factor", LOAD_FACTOR),
        _choice("drive-power-factor-without-choke", LOAD_FACTOR),
        _answer("starting-together", "yes", "no"),
        _answer("coordination-type", "none", "type-1", "type-2"),
        _choice("starting-ratio", POSITIVE),
        _choice("starting-power-factor", FACTOR),
        _answer("motor-contribution", "yes", "no"),
        _choice("motor-infeed-r-over-x", NUMBER),
        _choice("motor-infeed-ratio", MULTIPLE),
        _choice("opening-time", TIME),
        _choice("let-through-factor-d", MULTIPLE),
        _answer("adiabatic-constants", "table", "formula"),
        _answer("fault-heating", "adiabatic", "non-adiabatic"),
        _answer("protective-conductor-size", "table", "equation"),
        _answer("parallel-earths", "alone", "shared"),
        _choice("smallest-power-section", SECTION),
        _choice("smallest-control-section", SECTION),
        _choice("inrush-factor", POSITIVE),
        _choice("smallest-inrush-rating", CURRENT),
        _choice("digital-input-current", CURRENT),
        _choice("safety-input-current", CURRENT),
        _choice("dc-trip-factor", POSITIVE),
        _choice("control-wire-length", LENGTH),
        _choice("control-wire-section", SECTION),
        _choice("loop-input-resistance", RESISTANCE),
        _answer("distortion-class", "class-1", "class-2", "class-3"),
        _choice("distortion-limit", SHARE, says="largest distortion of a supply's current"),
        _choice("stiff-distortion", SHARE),
        _answer("emission", *CATEGORIES),
        _answer("several-motor-cables", "sum", "root"),
        _choice("reflection-factor", Measure("number", 1.0, 10.0)),
        _choice("reflection-length", LENGTH),
    )


PROJECT = Statement(
    "project",
    ProjectSays,
    "What the title block shows, and what is chosen for the calculation",
    fixed('"TITLE"', "a text in quotes", "the title"),
)


REVISION = Statement(
    "revision",
    Nothing,
    "A line of the revision table",
    fixed("INDEX", "a word", "its index"),
    fixed("DATE", "a day, `2026-05-04`", "its date"),
    fixed('"TEXT"', "a text in quotes", "what was changed"),
    fixed('by="WHO"', "a text in quotes", "by whom, for the reader of the text"),
    block="project",
)


def project_data(project: Project | None, desk: Desk, scope: Scope) -> ProjectData:
    """Title-block data; empty without a `project` statement."""
    if project is None:
        return ProjectData("", {}, (), None)
    here = Here(desk, scope, project.span)
    project = filled(project, project.span, here) or project
    says = PROJECT.read(here, project.attrs)
    revisions = _revisions(project.revisions, here)
    return ProjectData(
        title=project.title.value,
        attributes=says.attributes,
        revisions=revisions,
        span=project.span,
        choices=says.choices,
    )


def _revisions(given: tuple[Revision, ...], here: Here) -> tuple[ProjectRevision, ...]:
    revisions: list[ProjectRevision] = []
    for each in given:
        index, date = each.index.text, each.date.text
        if any(earlier.index == index for earlier in revisions):
            message = f"revision `{index}` is there twice"
            here.fault("duplicate-name", each.index.span, message, "give one of them another index")
        if not is_day(date):
            here.fault("wrong-unit", each.date.span, f"`{date}` is no date", "write it as 2026-05-04 (ISO 8601)")
        revisions.append(ProjectRevision(index, date, each.text.value if each.text else ""))
    return tuple(revisions)
