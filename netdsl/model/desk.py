"""The desk on which a plant is put together: the tables in the making, the findings, and what could not be read."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable

from msgspec.structs import replace

from netdsl.findings import Edit, Finding, Related, Severity, Source, Span
from netdsl.model.device import Device
from netdsl.model.mentions import Mentions
from netdsl.model.open_values import OpenValue
from netdsl.model.part_type import PartType
from netdsl.model.plant import (
    Coupling,
    DefaultChoice,
    Exception_,
    FunctionScope,
    InterlockPair,
    NamedPotential,
    Note,
    OwnSection,
    OwnSeparation,
    Place,
    ReferencePoint,
    SeverityChoice,
)
from netdsl.model.ratings import Ratings
from netdsl.model.wiring import Cable, Conductor, RouteRelation, RouteWay
from netdsl.syntax.tree import Part, Scheme


class TooMuch(Exception):
    """The plant is beyond one of the bounds of the whole, as the last of these findings says: it is not read on."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        super().__init__()
        self.findings = tuple(findings)


#: designations named in one finding
NAMED = 6
#: how the place is introduced that says what a mistake keeps from being judged
NOT_JUDGED = "not judged further: "


class Desk:
    """Tables in the making, and the findings. What a name means depends on where it stands: see `Here`.

    `incomplete`: identities whose own declaration has a fault, so that terminals of theirs may be missing. `declared`:
    designation of a device or cable -> its name. `mentioned`: how often a name that means nothing was met, by function.
    `something_missing`: an include could not be read, what it declares is not known. `mentions`: where the text names something,
    None where nobody asks. The counters stop texts that unfold without bound.
    """

    def __init__(self) -> None:
        self.findings: list[Finding] = []
        self.doubtful: set[str] = set()
        self.incomplete: set[str] = set()
        self.places: dict[str, Place] = {}
        self.functions: dict[str, FunctionScope] = {}
        self.devices: dict[str, Device] = {}
        self.cables: dict[str, Cable] = {}
        self.conductors: dict[str, Conductor] = {}
        self.routes: dict[str, RouteWay] = {}
        self.relations: list[RouteRelation] = []
        self.related: set[frozenset[str]] = set()  # pairs of routes of which a `relation` says how they lie
        self.laid_out: dict[frozenset[str], Span] = {}  # those of which a `layout` does
        self.usual_layouts: list[tuple[str, RouteRelation]] = []  # how routes of a place lie where nothing else says it
        self.defaults: list[DefaultChoice] = []
        self.exceptions: list[Exception_] = []
        self.severities: list[SeverityChoice] = []
        self.separations: list[OwnSeparation] = []
        self.least_sections: list[OwnSection] = []
        self.potentials: list[NamedPotential] = []
        self.reference_points: list[ReferencePoint] = []
        self.interlocks: list[InterlockPair] = []
        self.couplings: list[Coupling] = []
        self.channels: dict[tuple[str, str], Span] = {}  # what is told apart by terminal and by address
        self.in_slots: dict[str, bool] = {}  # devices called after another, `-A1.3`, and whether they say where they stand
        self.channel_ratings: dict[str, Ratings] = {}  # what a `channel` states of the protective device in a housing
        self.notes: list[Note] = []
        self.open_values: list[OpenValue] = []
        self.shades: dict[str, tuple[str, str]] = {}
        self.shade_names: dict[str, Span] = {}
        self.faulty_parts: set[str] = set()
        self.part_texts: dict[str, Part] = {}
        self.parts: dict[str, PartType] = {}
        self.schemes: dict[str, Scheme] = {}
        self.declared: dict[str, Span] = {}
        self.mentioned: dict[tuple[str, str], int] = {}
        self.something_missing = False
        self.mentions: Mentions | None = None
        self.uses = 0  # of schemes, so far
        self.alike: dict[str, int] = {}  # conductors between the same ends, by the name of the first
        self.stepped = 0  # terminals that ranges stood for, so far
        self.stepped_cables = 0  # cables that ranges stood for, so far
        self.terminals = 0  # of all devices and strips, so far
        self.cores = 0  # of all cables, so far
        self.named_outward: dict[str, set[str]] = {}  # functions inside which a name of a function around them is used
        self.doubts: dict[int, list[str]] = {}  # designations that fall in doubt with a finding, by its number
        self._landing: dict[str, list[str]] = {}  # conductors by the terminals at which they end
        self._told: set[tuple[str, str, Span, Span]] = set()  # faults in lines of schemes
        self._broken: dict[Source, list[int]] = {}  # where a text could not be read

    def note(
        self,
        rule: str,
        span: Span,
        message: str,
        remedy: str,
        subjects: tuple[str, ...],
        related: tuple[Related, ...],
        fix: tuple[Edit, ...] = (),
    ) -> None:
        """Take an error of the text."""
        self.findings.append(
            Finding(rule, Severity.ERROR, message, remedy, span, subjects, "netdsl language", related, None, fix)
        )

    def first_told(self, rule: str, message: str, line: Span, use: Span) -> bool:
        """Whether this is told for the first time of that line of a scheme and that `use`, which may be taken many times."""
        before = len(self._told)
        self._told.add((rule, message, line, use))
        return len(self._told) > before

    def landing_at(self, end: str) -> list[str]:
        """Ids of the conductors that end at a terminal, `-X1:5`, in order of text; asked for when all of them are known."""
        if not self._landing:
            for name, conductor in self.conductors.items():
                for each in dict.fromkeys(one.id for one in conductor.ends):
                    self._landing.setdefault(each, []).append(name)
        return self._landing.get(end, [])

    def take_reading(self, findings: Iterable[Finding]) -> None:
        """Take over what reading the texts found."""
        self.findings += findings
        for finding in findings:
            if finding.severity is Severity.ERROR:
                self._broken.setdefault(finding.span.source, []).append(finding.span.start)
            line = finding.span.source.line(finding.span.begin[0])
            if finding.rule in ("include-missing", "include-outside") or "include" in line.split("#")[0].split():
                self.something_missing = True
        for places in self._broken.values():
            places.sort()

    def line_is_broken(self, span: Span) -> bool:
        """Whether the line in which `span` begins could not be read in full."""
        return span.source in self._broken and any(True for _ in self.broken_lines(_line_around(span.source, span.start)))

    def is_broken(self, span: Span) -> bool:
        """Whether something inside `span` could not be read."""
        return bool(self._broken) and any(True for _ in self.broken_lines(span))

    def broken_lines(self, span: Span) -> Iterable[Span]:
        """The whole lines inside `span` that could not be read."""
        places = self._broken.get(span.source, [])
        for n in range(bisect_left(places, span.start), bisect_right(places, span.end)):
            yield _line_around(span.source, places[n])

    def hidden_names(self) -> None:
        """Note each name that hides one of a function around it which is meant there as well, by its whole designation."""
        for identity, span in self.declared.items():
            function, dash, product = identity.partition("-")
            outer = function
            while outer:
                outer = outer.rpartition(".")[0]
                hidden = self.declared.get(outer + dash + product)
                if hidden is not None and self._is_used(outer + dash + product, function):
                    self.findings.append(
                        Finding(
                            "hidden-name",
                            Severity.NOTE,
                            f"`{identity}` hides `{outer}{dash}{product}` inside `{function}`",
                            "give one of them another number if both are meant to be reached there",
                            span,
                            (identity,),
                            "netdsl language",
                            (Related("the hidden one", hidden),),
                        )
                    )
                    break

    def _is_used(self, identity: str, function: str) -> bool:
        """Whether something inside a function names what stands outside."""
        return any(f"{user}.".startswith(f"{function}.") for user in self.named_outward.get(identity, ()))

    def doubted(self) -> None:
        """Say with each fault of the text what is not judged for its sake."""
        for number, names in self.doubts.items():
            known = [name for name in dict.fromkeys(names) if name in self.doubtful and name in self.declared]
            if known:
                finding, first = self.findings[number], self.declared[known[0]]
                shown = ", ".join(f"`{name}`" for name in known[:NAMED])
                more = f" and {len(known) - NAMED} more" if len(known) > NAMED else ""
                related = Related(f"{NOT_JUDGED}{shown}{more}", first)
                self.findings[number] = replace(finding, related=(*finding.related, related))


def _line_around(source: Source, place: int) -> Span:
    """The whole line of the character at `place`; LF, CRLF and CR end lines."""
    text = source.text
    start = max(text.rfind("\n", 0, place), text.rfind("\r", 0, place)) + 1
    end = min((at for at in (text.find("\n", place), text.find("\r", place)) if at >= 0), default=len(text))
    return Span(source, start, end)
