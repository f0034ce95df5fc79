"""Screens: there where they are needed, and ended as their use asks for."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.screening import (
    ALL_ROUND,
    BOTH_ENDS,
    PANEL_END,
    Side,
    led_nowhere,
    panel_sides,
    screen_class,
    sides,
)
from lint.wording import listed, metres
from netdsl.findings import Edit, Severity, Span
from netdsl.model.kinds import Kind
from netdsl.model.plant import CableScreen, Role, ScreenTermination
from netdsl.network.types import CableUse, ConductorClass

PIGTAIL_RATIO = 5.0  # length to width; verified, two drive installation manuals
BARE_WARNING_M = 0.1  # unscreened core beyond the screen's end; verified, one manual
BARE_ERROR_M = 0.3  # verified, another manual
_WORD = {ConductorClass.CONTROL: "digital", ConductorClass.MAINS: "mains", ConductorClass.SAFETY: "safe torque off"}


def _screened(facts: Facts) -> Iterator[str]:
    """Cables with a screen, around all cores or around pairs."""
    return (name for name, cable in facts.plant.cables.items() if cable.screen != "")


def _motor_cables(facts: Facts) -> Iterator[str]:
    """Screened motor cables of drives."""
    uses = facts.network.cables.items()
    return (name for name, use in uses if use.klass is ConductorClass.MOTOR and use.drive is not None and use.cable.screen)


@rule("screen-unterminated", Severity.ERROR, source="IEC TR 61000-5-2; drive installation instructions", judges=_screened)
def screen_unterminated(facts: Facts, this: Rule) -> Iterator[Said]:
    """A screen's end is not joined to earth as the cable's use asks for.

    Reports:
      Motor, encoder and bus cables: an end of the screen, of each cable piece, that is not on a clamp, gland or pigtail.
      Analogue, thermistor and safety circuits: no such end at the drive or panel, or another end that is not even `open`
      on purpose. Digital and other cables: the same, as a warning, at whichever end. The housing of a plug connection is no such
      end where it has no earth itself and the screen beyond is `open` at the other half.
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
    taken: set[str] = set()
    for use in facts.network.cables.values():
        if use.cable.screen == "":
            continue
        faults: list[str] = []
        worst = Severity.NOTE
        for screen in use.cable.screens:
            klass = screen_class(facts, use, screen)
            yield from _left_alone(facts, this, use, screen, klass)
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
                fix=tuple(_clamped(facts, use, taken)),
            )


def _left_alone(facts: Facts, this: Rule, use: CableUse, screen: CableScreen, klass: ConductorClass) -> Iterator[Said]:
    """Screens of which nothing is asked, and free ends where one end is enough."""
    which = f"the screen of pair {screen.pair}" if screen.pair else "its screen"
    if klass is ConductorClass.NONE:
        used = any(name in facts.network.runs for name in use.cable.conductors)
        if used and not screen.pair:
            yield this.not_judged(use.cable.id, f"what {which} is there for is not known: no source reaches its cores")
        else:
            yield this.spared(use.cable.id, f"{which} lies around cores that are not used")
    elif klass not in BOTH_ENDS:
        for side in sides(facts, use, screen):
            if side.end is not None and side.end.how in ("open", "capacitor"):
                how = "open on purpose" if side.end.how == "open" else "joined over a capacitor"
                yield this.spared(use.cable.id, f"the end of {which} at `{side.name}` is {how}")


def _clamped(facts: Facts, use: CableUse, taken: set[str]) -> Iterator[Edit]:
    """The edits that end screens at the drive or in the panel that they come from, where the screen's line names one end: the
    other is said there already. `taken`: terminals that other edits use, to which these are added."""
    for screen in use.cable.screens:
        klass = screen_class(facts, use, screen)
        ends = sides(facts, use, screen)
        bare = [side for side in ends if side.end is None]
        wanted = klass in BOTH_ENDS or klass in PANEL_END
        if not wanted or len(screen.ends) != 1 or len(bare) != 1 or use.cable.use is not None:
            continue
        terminal = _free_clamp(facts, bare[0], klass, taken, in_panel=bare[0] in panel_sides(facts, ends))
        if terminal is not None:
            taken.add(terminal)
            here = use.cable.function
            name = terminal.removeprefix(here) if here and terminal.startswith(f"{here}-") else terminal
            yield Edit(Span(screen.span.source, screen.span.end, screen.span.end), f" to {name} clamp")


def _free_clamp(facts: Facts, side: Side, klass: ConductorClass, taken: set[str], *, in_panel: bool) -> str | None:
    """The one free clamp that is meant at a side: that of its drive for such cables, where it has several; else, where no device
    there has any, the first free one of the only screen bar in the same enclosure."""
    devices = [facts.plant.devices[name] for name in side.devices if name in facts.plant.devices]
    clamps = [(device, terminal) for device in devices for terminal in device.terminals.values() if terminal.role is Role.SCREEN]
    function = "screen-motor" if klass is ConductorClass.MOTOR else "screen-control"
    meant = [pair for pair in clamps if function in pair[1].functions] or clamps
    free = [f"{device.id}:{t.name}" for device, t in meant if f"{device.id}:{t.name}" not in facts.landed | taken]
    if clamps:
        return free[0] if len(free) == 1 and all(device.kind == Kind.DRIVE for device, _ in meant) else None
    homes = {facts.enclosure_of(device.id) for device in devices}
    bars = [d for d in facts.plant.devices.values() if d.kind == Kind.SCREEN_BAR and {facts.enclosure_of(d.id)} == homes]
    if not in_panel or "" in homes or len(bars) != 1 or bars[0].function:
        return None
    return next(
        (f"{bars[0].id}:{name}" for name in bars[0].terminals if f"{bars[0].id}:{name}" not in facts.landed | taken), None
    )


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
    if ends and not any(side.bonded and not led_nowhere(facts, side) for side in eligible):
        return [f"{which}not joined to earth at {listed([side.name for side in eligible])}"]
    return [f"{which}end at `{side.name}` not mentioned" for side in ends if side.end is None]


@rule("screen-pigtail", Severity.ERROR, source="IEC TR 61000-5-2; drive installation instructions", judges=_motor_cables)
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
