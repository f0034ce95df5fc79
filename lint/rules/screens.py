"""Screens: there where they are needed, and ended as their use asks for."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.screening import (
    ALL_ROUND,
    BOTH_ENDS,
    PANEL_END,
    behind_sine_filter,
    metal_conduit,
    panel_sides,
    screen_class,
    sides,
    sine_filters_before,
)
from lint.subjects import cables
from lint.wording import listed, metres
from netdsl.findings import Edit, Severity, Span
from netdsl.model.kinds import Kind
from netdsl.model.plant import CableScreen, Role, ScreenTermination
from netdsl.network.queries import route_of
from netdsl.network.types import CableUse, ConductorClass, Run

PIGTAIL_RATIO = 5.0  # length to width; verified, two drive installation manuals
BARE_WARNING_M = 0.1  # unscreened core beyond the screen's end; verified, one manual
BARE_ERROR_M = 0.3  # verified, another manual
SHORT_M = 0.2  # inside a panel no screen is asked for up to here; verified, one manual
WANTED = (
    ConductorClass.MOTOR,
    ConductorClass.ANALOGUE,
    ConductorClass.BUS,
    ConductorClass.ENCODER,
    ConductorClass.THERMISTOR,
)
_WORD = {ConductorClass.CONTROL: "digital", ConductorClass.MAINS: "mains", ConductorClass.SAFETY: "safe torque off"}


@rule("screen-unterminated", Severity.ERROR, source="IEC TR 61000-5-2; drive installation instructions", judges=cables)
def screen_unterminated(facts: Facts, this: Rule) -> Iterator[Report]:
    """A screen's end is not joined to earth as the cable's use asks for.

    Reports:
      Motor, encoder and bus cables: an end of the screen, of each cable piece, that is not on a clamp, gland or pigtail.
      Analogue, thermistor and safety circuits: no such end at the drive or panel, or another end that is not even `open`
      on purpose. Digital and other cables: the same, as a warning, at whichever end.
    Silent:
      A free end declared `open` or `capacitor` where one end is enough; the screen of a pair that is not used.
    Why:
      A screen without its earth keeps nothing in and nothing out; floating, it couples what it should stop.
    Failing:
      device -T1 drive at=+MCP
      device -B1 transmitter at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 2x0.75 screened length=10m {
        BN -T1:AI1 to -B1:+
        BU -T1:AC to -B1:-
        screen -T1:SH clamp
      }
    Passing:
      -   screen -T1:SH clamp
      +   screen -T1:SH clamp to -B1 open
    Remedy:
      End the screen all round: at both ends of motor, encoder and bus cables, else at the drive or panel, the other end `open`.
    """
    for use in facts.network.cables.values():
        if use.cable.screen == "":
            continue
        faults: list[str] = []
        worst = Severity.NOTE
        for screen in use.cable.screens:
            klass = screen_class(facts, use, screen)
            found = _missing_ends(facts, use, screen, klass)
            if found:
                faults += found
                strict = klass in BOTH_ENDS or klass in PANEL_END
                worst = Severity.ERROR if strict else min(worst, Severity.WARNING, key=lambda severity: severity.rank)
        if faults:
            yield this.report(
                f"screen of `{use.cable.id}` ({_word(use.klass)}): {'; '.join(dict.fromkeys(faults))}",
                "end the screen on a clamp or gland there"
                + (", or say `open` where it is meant" if all("not mentioned" in fault for fault in faults) else ""),
                use.cable.span,
                (use.cable.id, *use.devices[0], *use.devices[1]),
                severity=worst,
                about=(f"{use.cable.id} screen",),
                fix=_clamped(facts, use),
            )


def _clamped(facts: Facts, use: CableUse) -> Iterator[Edit]:
    """The edits that end screens at the drives they come from, each where one screen terminal of it alone is free and the
    screen's line names one end: the other end is said there already."""
    taken: set[str] = set()
    for screen in use.cable.screens:
        klass = screen_class(facts, use, screen)
        bare = [side for side in sides(facts, use, screen) if side.end is None]
        wanted = klass in BOTH_ENDS or klass in PANEL_END
        if not wanted or len(screen.ends) != 1 or len(bare) != 1 or use.cable.use is not None:
            continue
        drives = [name for name in bare[0].devices if facts.plant.devices[name].kind == Kind.DRIVE]
        free = [
            f"{name}:{terminal.name}"
            for name in drives
            for terminal in facts.plant.devices[name].terminals.values()
            if terminal.role is Role.SCREEN and f"{name}:{terminal.name}" not in facts.landed | taken
        ]
        if len(free) == 1:
            taken.add(free[0])
            here = use.cable.function
            name = free[0].removeprefix(here) if here and free[0].startswith(f"{here}-") else free[0]
            yield Edit(Span(screen.span.source, screen.span.end, screen.span.end), f" to {name} clamp")


def _word(klass: ConductorClass) -> str:
    return _WORD.get(klass, klass.value)


def _article(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _missing_ends(facts: Facts, use: CableUse, screen: CableScreen, klass: ConductorClass) -> list[str]:
    """What is wrong with the ends of one screen, in words."""
    if klass is ConductorClass.NONE:
        return []
    ends = sides(facts, use, screen)
    which = f"pair {screen.pair} " if screen.pair else ""
    if klass in BOTH_ENDS:
        return [f"{which}not joined to earth at `{side.name}`" for side in ends if not side.bonded]
    eligible = panel_sides(facts, ends) if klass in PANEL_END else ends
    if ends and not any(side.bonded for side in eligible):
        return [f"{which}not joined to earth at {listed([side.name for side in eligible])}"]
    return [f"{which}end at `{side.name}` not mentioned" for side in ends if side.end is None]


@rule(
    "screen-missing",
    Severity.ERROR,
    source="IEC 61800-3; drive installation instructions",
    silences=("bundle-mixed",),
    judges=cables,
)
def screen_missing(facts: Facts, this: Rule) -> Iterator[Report]:
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
        if bare is not None and not _cable_exempt(facts, use):
            serves = f" from `{use.drive}`" if bare is ConductorClass.MOTOR and use.drive else ""
            yield this.report(
                f"`{use.cable.id}` carries {_article(_word(bare))} circuit{serves} and has no screen",
                "use a screened cable and end its screen as the circuit asks for",
                use.cable.span,
                (use.cable.id, *use.devices[0], *use.devices[1]),
                about=(use.cable.id,),
            )
    yield from _loose(facts, this)


def _unscreened_class(facts: Facts, use: CableUse) -> ConductorClass | None:
    """The first class that needs a screen and has cores under none."""
    if use.cable.screen in {"outer", "both"}:
        return None
    pairs = {screen.pair for screen in use.cable.screens if screen.pair}
    open_cores = {f"{use.cable.id} {core.name}" for core in use.cable.cores if core.pair not in pairs}
    runs = [facts.network.runs[name] for name in use.cable.conductors if name in open_cores and name in facts.network.runs]
    classes = {run.klass for run in runs}
    return next((klass for klass in WANTED if klass in classes), None)


def _cable_exempt(facts: Facts, use: CableUse) -> bool:
    routes = [facts.plant.routes.get(route_of(facts.plant, way)) for way in use.cable.routes]
    if routes and all(map(metal_conduit, routes)):
        return True
    if _is_short(facts, use.cable.length_m, (*use.devices[0], *use.devices[1])):
        return True
    return use.klass is ConductorClass.MOTOR and behind_sine_filter(facts, use)


def _is_short(facts: Facts, length_m: float | None, devices: tuple[str, ...]) -> bool:
    enclosures = {facts.enclosure_of(device) for device in devices}
    return length_m is not None and length_m <= SHORT_M and len(enclosures) == 1 and "" not in enclosures


def _loose(facts: Facts, this: Rule) -> Iterator[Report]:
    """Single wires of such circuits: one report for each pair of devices and class."""
    groups: dict[tuple[str, str, ConductorClass], list[Run]] = {}
    for conductor, run in facts.conductors():
        if conductor.cable is None and run.klass in WANTED and run.length_m is not None:
            a, b = (end.device for end in conductor.ends)
            exempt = _is_short(facts, run.length_m, (a, b)) or _wire_exempt(facts, run, a, b)
            if not exempt:
                groups.setdefault((a, b, run.klass), []).append(run)
    for (a, b, klass), runs in groups.items():
        longest = max(run.length_m or 0.0 for run in runs)
        yield this.report(
            f"{_word(klass)} circuit between `{a}` and `{b}` runs in unscreened wires, {metres(longest)} long",
            f"use a screened cable, or keep the wires within {metres(SHORT_M)}",
            runs[0].conductor.span,
            (a, b, *(run.id for run in runs)),
            about=[run.id for run in runs],
        )


def _wire_exempt(facts: Facts, run: Run, a: str, b: str) -> bool:
    routes = [facts.plant.routes.get(route_of(facts.plant, way)) for way in run.routes]
    if routes and all(map(metal_conduit, routes)):
        return True
    return run.klass is ConductorClass.MOTOR and bool(sine_filters_before(facts, {a, b}))


@rule("screen-pigtail", Severity.ERROR, source="IEC TR 61000-5-2; drive installation instructions", judges=cables)
def screen_pigtail(facts: Facts, this: Rule) -> Iterator[Report]:
    """The screen of a motor cable ends in a long thin pigtail, or far before the terminals.

    Reports:
      A pigtail more than five times as long as wide (a warning where its width is not stated); core left unscreened beyond
      the screen's end over 100 mm (warning), over 300 mm (error).
    Silent:
      Clamps and glands all round; other cables than a drive's motor cables.
    Why:
      At high frequency a pigtail is a coil: the screen loses most of its effect.
    Failing:
      device -T1 drive at=+MCP
      device -M1 motor at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 4G2.5 screened length=10m {
        BN -T1:U to -M1:U1
        BK -T1:V to -M1:V1
        GY -T1:W to -M1:W1
        GNYE -T1:PE2 to -M1:PE
        screen -T1:SH pigtail 80x10mm to -M1:SH gland
      }
    Passing:
      -   screen -T1:SH pigtail 80x10mm to -M1:SH gland
      +   screen -T1:SH pigtail 60x12mm to -M1:SH gland
    Remedy:
      End the screen all round in a clamp or gland, close to the terminals.
    """
    for use in facts.network.cables.values():
        if use.klass is not ConductorClass.MOTOR or use.drive is None:
            continue
        for screen in use.cable.screens:
            for end in screen.ends if screen.pair == 0 else ():
                faults = _end_faults(end)
                if faults:
                    yield this.report(
                        f"screen of motor cable `{use.cable.id}` at `{end.device}`: {'; '.join(text for _, text in faults)}",
                        "end the screen all round in a clamp or gland, close to the terminals",
                        end.span,
                        (use.cable.id, end.device),
                        severity=min((severity for severity, _ in faults), key=lambda severity: severity.rank),
                    )


def _end_faults(end: ScreenTermination) -> list[tuple[Severity, str]]:
    found = []
    if end.how == "pigtail" and end.how not in ALL_ROUND and end.pigtail_m is not None:
        if end.pigtail_width_m is None:
            found.append((Severity.WARNING, f"pigtail of {metres(end.pigtail_m)}, its width not stated"))
        elif end.pigtail_m > PIGTAIL_RATIO * end.pigtail_width_m + 1e-9:
            size = f"{end.pigtail_m * 1000:g} x {end.pigtail_width_m * 1000:g} mm"
            found.append((Severity.ERROR, f"pigtail of {size} is longer than {PIGTAIL_RATIO:g} times its width"))
    if end.bare_m is not None and end.bare_m > BARE_WARNING_M + 1e-9:
        limit = BARE_ERROR_M if end.bare_m > BARE_ERROR_M + 1e-9 else BARE_WARNING_M
        severity = Severity.ERROR if limit == BARE_ERROR_M else Severity.WARNING
        found.append((severity, f"{metres(end.bare_m)} of core left unscreened, at most {metres(limit)}"))
    return found
