"""Findings about what a scheme makes: one fault in its text is told once, however often the scheme is used."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from netdsl.findings import Finding, Related, Span
from netdsl.model.files import is_shipped
from netdsl.model.plant import Cable, Conductor, Device, Plant

#: what stands beside a finding about a thing that a `use` made
IN_SCHEME = "in this line of the scheme"


def with_line(finding: Finding, plant: Plant) -> Finding:
    """`finding`, with the line of the scheme where its first subject is written, when a `use` made it."""
    made = _made(finding, plant)
    if made is None or made.use is None or any(related.message == IN_SCHEME for related in finding.related):
        return finding
    return replace(finding, related=(*finding.related, Related(IN_SCHEME, made.use)))


def once(findings: Iterable[Finding], plant: Plant) -> Iterator[Finding]:
    """Findings, those that every use of a scheme's line gives told once: at that line with the uses as related places, of a
    shipped scheme, which nobody can change, at the first use. What one use alone gives, by its parameters, stays at that use."""
    alike: dict[tuple[str, Span], list[Finding]] = defaultdict(list)
    uses = _uses(plant)
    for finding in findings:
        line = next((related.span for related in finding.related if related.message == IN_SCHEME), None)
        if line is None or finding.allowed is not None:
            yield finding
        else:
            alike[finding.rule, line].append(finding)
    for (_, line), found in alike.items():
        made = _made(found[0], plant)
        every = uses.get(made.use, set()) if made is not None and made.use is not None else set[Span]()
        if len(every) > 1 and {finding.span for finding in found} == every and len(found) == len(every):
            yield _together(found, line)
        else:
            yield from found


def _together(found: list[Finding], line: Span) -> Finding:
    """One finding for all uses of a line."""
    first, *others = found
    subjects = tuple(dict.fromkeys(name for finding in found for name in finding.subjects))
    shown = is_shipped(line.source)
    uses = [Related(f"used here, which makes `{finding.subjects[0]}`", finding.span) for finding in found]
    related = [each for each in first.related if each.message != IN_SCHEME or shown]
    return replace(
        first,
        message=f"{first.message}; so it is in {len(others)} other use{'s' if len(others) > 1 else ''} of this scheme",
        span=first.span if shown else line,
        subjects=subjects,
        related=(*related, *(uses[1:] if shown else uses)),
        fix=(),
    )


def _made(finding: Finding, plant: Plant) -> Device | Cable | Conductor | None:
    """The thing that a finding is about in the first place."""
    if not finding.subjects:
        return None
    name = finding.subjects[0]
    return plant.conductors.get(name) or plant.cables.get(name) or plant.devices.get(name.partition(":")[0])


def _uses(plant: Plant) -> dict[Span, set[Span]]:
    """The uses by which each line of a scheme is made."""
    found: dict[Span, set[Span]] = defaultdict(set)
    for table in (plant.devices, plant.cables, plant.conductors):
        for thing in table.values():
            if thing.use is not None:
                found[thing.use].add(thing.span)
    return found
