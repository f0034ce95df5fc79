"""Screens that circuits need and do not have."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from lint.screening import behind_sine_filter, metal_conduit, sine_filters_before
from lint.subjects import cables
from lint.wording import metres
from netdsl.findings import Severity
from netdsl.network.queries import route_of
from netdsl.network.types import CableUse, ConductorClass, Run

SHORT_M = 0.2  # inside a panel no screen is asked for up to here; verified, one manual
WANTED = (
    ConductorClass.MOTOR,
    ConductorClass.ANALOGUE,
    ConductorClass.BUS,
    ConductorClass.ENCODER,
    ConductorClass.THERMISTOR,
)
_WORD = {ConductorClass.CONTROL: "digital", ConductorClass.MAINS: "mains", ConductorClass.SAFETY: "safe torque off"}


@rule(
    "screen-missing",
    Severity.ERROR,
    source="IEC 61800-3; drive installation instructions",
    silences=("bundle-mixed",),
    judges=cables,
)
def screen_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """A circuit that needs a screen runs in unscreened conductors.

    Reports:
      A drive's motor cable, or an analogue, bus, encoder or thermistor circuit, without a screen.
    Silent:
      Behind a sine filter (`filter = sine`); in conduit of metal (`kind=conduit material=steel`) all along; up to
      200 mm inside the panel.
    Why:
      The steep edges of a drive's output radiate from an unscreened cable, and small signals receive them.
    Failing:
      device -T1 drive at=+MCP
      device -M1 motor at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 4G2.5 length=10m {
        BN -T1:U to -M1:U1
        BK -T1:V to -M1:V1
        GY -T1:W to -M1:W1
        GNYE -T1:PE2 to -M1:PE
      }
    Passing:
      - cable -W1 4G2.5 length=10m {
      + cable -W1 4G2.5 screened length=10m {
      -   GNYE -T1:PE2 to -M1:PE
      +   GNYE -T1:PE2 to -M1:PE
      +   screen -T1:SH clamp to -M1:SH gland
    Remedy:
      Use a screened cable and end its screen at both sides as its use asks for.
    """
    for use in facts.network.cables.values():
        bare = _unscreened_class(facts, use)
        why = _why_none(facts, use) if bare is not None else ""
        if bare is None:
            if _is_unknown(facts, use):
                yield this.not_judged(use.cable.id, "what its cores carry is not known: no source reaches them")
        elif why:
            yield this.spared(use.cable.id, why)
        else:
            serves = f" from `{use.drive}`" if bare is ConductorClass.MOTOR and use.drive else ""
            yield this.report(
                f"`{use.cable.id}` carries {_article(_word(bare))} circuit{serves} and has no screen",
                "use a screened cable and end its screen as the circuit asks for",
                use.cable.span,
                (use.cable.id, *use.devices[0], *use.devices[1]),
                about=(use.cable.id,),
            )
    yield from _loose(facts, this)


def _word(klass: ConductorClass) -> str:
    return _WORD.get(klass, klass.value)


def _article(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _is_unknown(facts: Facts, use: CableUse) -> bool:
    """Whether an unscreened cable is wired, and nothing is known of what it carries."""
    runs = [facts.network.runs[name] for name in use.cable.conductors if name in facts.network.runs]
    return not use.cable.screen and bool(runs) and all(run.klass is ConductorClass.NONE for run in runs)


def _unscreened_class(facts: Facts, use: CableUse) -> ConductorClass | None:
    """The first class that needs a screen and has cores under none."""
    if use.cable.screen in {"outer", "both"}:
        return None
    pairs = {screen.pair for screen in use.cable.screens if screen.pair}
    open_cores = {f"{use.cable.id} {core.name}" for core in use.cable.cores if core.pair not in pairs}
    runs = [facts.network.runs[name] for name in use.cable.conductors if name in open_cores and name in facts.network.runs]
    classes = {run.klass for run in runs}
    return next((klass for klass in WANTED if klass in classes), None)


def _why_none(facts: Facts, use: CableUse) -> str:
    """Why a cable needs no screen although its circuit asks for one, "" where it does."""
    if _in_conduit(facts, use.cable.routes):
        return "it lies in metal conduit all along"
    if _is_short(facts, use.cable.length_m, (*use.devices[0], *use.devices[1])):
        return f"it is no longer than {metres(SHORT_M)}, inside one enclosure"
    if use.klass is ConductorClass.MOTOR and behind_sine_filter(facts, use):
        return "it lies behind a sine filter"
    return ""


def _in_conduit(facts: Facts, along: tuple[str, ...]) -> bool:
    routes = [facts.plant.routes.get(route_of(facts.plant, way)) for way in along]
    return bool(routes) and all(map(metal_conduit, routes))


def _is_short(facts: Facts, length_m: float | None, devices: tuple[str, ...]) -> bool:
    enclosures = {facts.enclosure_of(device) for device in devices}
    return length_m is not None and length_m <= SHORT_M and len(enclosures) == 1 and "" not in enclosures


def _loose(facts: Facts, this: Rule) -> Iterator[Said]:
    """Single wires of such circuits: one report for each pair of devices and class."""
    groups: dict[tuple[str, str, ConductorClass, str], list[Run]] = {}
    for conductor, run in facts.conductors():
        if conductor.cable is None and run.klass in WANTED:
            a, b = (end.device for end in conductor.ends)
            groups.setdefault((a, b, run.klass, _why_bare(facts, run, a, b)), []).append(run)
    for (a, b, klass, why), runs in groups.items():
        if why:
            yield this.spared(runs[0].id, why)
            continue
        lengths = [run.length_m for run in runs if run.length_m is not None]
        if not lengths:
            yield this.not_judged(runs[0].id, f"its length is not stated: up to {metres(SHORT_M)} it needs no screen")
            continue
        yield this.report(
            f"{_word(klass)} circuit between `{a}` and `{b}` runs in unscreened wires, {metres(max(lengths))} long",
            f"use a screened cable, or keep the wires within {metres(SHORT_M)}",
            runs[0].conductor.span,
            (a, b, *(run.id for run in runs if run.length_m is not None)),
            about=[run.id for run in runs if run.length_m is not None],
        )


def _why_bare(facts: Facts, run: Run, a: str, b: str) -> str:
    """Why a wire needs no screen, "" where it does."""
    if _is_short(facts, run.length_m, (a, b)):
        return f"it is no longer than {metres(SHORT_M)}, inside one enclosure"
    if _in_conduit(facts, run.routes):
        return "it lies in metal conduit all along"
    if run.klass is ConductorClass.MOTOR and sine_filters_before(facts, {a, b}):
        return "it lies behind a sine filter"
    return ""
