"""Whether what is no conductor bears a short circuit: by its conditional rating, or by current and peak."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, formula, one_table
from netdsl.calc.coordination.exposed import Exposed, ExposedThings
from netdsl.calc.coordination.stress import Stress, Stressing, is_cut_off
from netdsl.calc.devices import Characteristic, place
from netdsl.calc.protection import Conditional, Limiting, Trips, conditional
from netdsl.kept import cached_property
from netdsl.model.kinds import BARS, Kind

QUESTION = "equipment-withstand"
SOURCES = {
    "assembly": "IEC 61439-1, 9.3",
    Kind.ISOLATOR: "IEC 60947-3",
    Kind.RESIDUAL_DEVICE: "IEC 61008-1",
    Kind.DRIVE: "IEC 61800-5-1",
}
_CURRENT, _RATED = formula("{I_k}"), formula("{I_n}")
_PEAK = formula("{n} * {I_cw}")


class EquipmentWithstands(SheetQuestion):
    """Short-circuit strength of switches, contactors, relays, bars and assemblies.

    By the conditional rating where what protects ahead is what it names; else by the current that the thing states for a second
    and the peak, against what the device ahead that limits most lets through. What states nothing is not judged, but for what a
    standard asks of it: a switch of IEC 60947-3 bears twelve times its rated current (whether it bears more is not judged), and
    bars and assemblies with no more than 10 kA need no verification.
    """

    place = 820
    answers = (
        Answer(f"{QUESTION}.conditional", "Fault current against conditional rating", "I_k"),
        Answer(f"{QUESTION}.protection", "Protection ahead of a conditional rating", "I_n", graded=False),
        Answer(f"{QUESTION}.short-time", "Fault current of one second against what is borne", "I_1s"),
        Answer(f"{QUESTION}.peak", "Peak fault current against what is borne", "i_p"),
        Answer(f"{QUESTION}.exempt", "Fault current where no strength is stated", "I_k", graded=False),
    )

    def results(self) -> Iterator[Result]:
        """Of every thing that can be judged; the rest with the reason is in `not_judged`."""
        for found in self._judged.values():
            if not isinstance(found, str):
                yield from found

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Things whose strength is not judged, with the reason."""
        return tuple((subject, why) for subject, why in self._judged.items() if isinstance(why, str))

    def of(self, subject: str) -> tuple[Result, ...] | str:
        """The results of a thing, none of what no short circuit stresses; or, in words, why there are none."""
        return self._judged.get(subject, ())

    @cached_property
    def _judged(self) -> dict[str, tuple[Result, ...] | str]:
        return {thing.subject: self._judge(thing) for thing in self._calculation.of(ExposedThings).all()}

    def _judge(self, thing: Exposed) -> tuple[Result, ...] | str:
        if self._calculation.of(ExposedThings).largest(thing.device) is None:
            return "the largest fault current at it is not computed"
        made = self._calculation.plant.devices.get(thing.subject)
        span = place(made, "conditional-current") if made is not None else thing.span
        stated = conditional(thing.ratings, thing.own_a, span)
        if stated is not None:
            found = self._by_rating(thing, stated)
            if found is not None:
                return (found,)
        second, peak = tuple(self._short_time(thing)), tuple(self._peak(thing))
        if not thing.ratings.amount("short-time-withstand") and not all(each.holds for each in second):
            # the least that its standard asks says that it bears as much, not that it bears no more
            return "a fault is more than its standard asks it to bear, and it states no `short-time-withstand`"
        unbroken = bool(thing.ratings.amount("short-time-withstand")) and not second
        if (second or peak) and not (unbroken and all(each.holds for each in peak)):
            return (*second, *peak)
        if unbroken or thing.ratings.amount("peak-withstand"):
            return "nothing ahead of it is known to break the fault in time"
        if stated is not None:
            return f"{_unmet(stated)}, and it states nothing else"
        return self._exempt(thing)

    # --- by conditional rating --------------------------------------------------------------------------------------
    def _by_rating(self, thing: Exposed, stated: Conditional) -> Result | None:
        limiting = self._calculation.of(Limiting)
        fitting = limiting.fitting(thing.device, stated)
        if fitting is not None:
            given = Given("I_cc", stated.amps, "A", f"conditional rating of {thing.subject}", stated.span)
            limit = Limit(stated.amps, Sense.AT_MOST, "conditional rating", given)
            return self._result(thing, "conditional", limit, note=f"behind {self._names(fitting)}")
        large = limiting.too_large(thing.device, stated)
        if large is None or stated.most is None:
            return None
        words = f"largest protection ahead with which {thing.subject} has its conditional rating"
        limit = Limit(stated.most, Sense.AT_MOST, words, Given("I_n", stated.most, "A", words, stated.span))
        rated = limiting.given(large)
        note = f"{self._names((large,))} is the nearest ahead"
        source = SOURCES.get(thing.kind, "IEC 60947-4-1")
        return Result.worked(
            f"{QUESTION}.protection",
            thing.subject,
            thing.feeder,
            _RATED,
            "A",
            (rated,),
            source,
            limit,
            note=note,
            span=thing.span,
        )

    def _names(self, devices: tuple[Characteristic, ...]) -> str:
        return " and ".join(dict.fromkeys(self._calculation.of(Trips).named(each) for each in devices))

    # --- by current and peak ----------------------------------------------------------------------------------------
    def _short_time(self, thing: Exposed) -> Iterator[Result]:
        amps = thing.ratings.amount("short-time-withstand")
        if amps:
            given = Given("I_cw", amps, "A", f"current that {thing.subject} bears for 1 s", thing.span)
        elif thing.kind == Kind.ISOLATOR and thing.own_a:
            row = one_table("coordination", "switch")
            words = f"switches that state no short-time withstand bear {row['short_time_x_Ie']} times their rated current for 1 s"
            self._calculation.settings.assume("short-time-withstand", words, row["source"], row["confidence"])
            borne = f"current that {thing.subject} bears for 1 s, {row['short_time_x_Ie']} times {thing.own_a:g} A"
            amps = row["short_time_x_Ie"] * thing.own_a
            given = Given("I_cw", amps, "A", borne, None, row["source"], row["confidence"])
        else:
            return
        stress = self._calculation.of(Stressing).second(thing.device)
        if stress is not None:
            yield Result.worked(
                f"{QUESTION}.short-time",
                thing.subject,
                thing.feeder,
                stress.formula,
                "A",
                stress.givens,
                SOURCES.get(thing.kind, "IEC 60947-1"),
                Limit(amps, Sense.AT_MOST, "current borne for 1 s", given),
                note=f"broken by {self._names((stress.device,))}",
                span=thing.span,
            )

    def _peak(self, thing: Exposed) -> Iterator[Result]:
        limit = self._bearing_peak(thing)
        stress = self._calculation.of(Stressing).peak(thing.device) if limit is not None else None
        if limit is not None and stress is not None:
            yield Result.worked(
                f"{QUESTION}.peak",
                thing.subject,
                thing.feeder,
                stress.formula,
                "A",
                stress.givens,
                SOURCES.get(thing.kind, "IEC 60947-1"),
                limit,
                note=self._cut(stress),
                span=thing.span,
            )

    def _cut(self, stress: Stress) -> str:
        if not is_cut_off(stress):
            return "limited by nothing ahead"
        rises = ", up to which the current is taken to rise in a straight line" if len(stress.givens) > 1 else ""
        return f"cut off by {self._names((stress.device,))}{rises}"

    def _bearing_peak(self, thing: Exposed) -> Limit | None:
        """The peak that a thing bears: as stated, of a switch also the making capacity, of bars and assemblies by its short-time
        current; None where nothing says so."""
        for name in ("peak-withstand", "making"):
            stated = thing.ratings.amount(name)
            if stated:
                given = Given("I_pk", stated, "A", f"peak that {thing.subject} bears", thing.span)
                return Limit(stated, Sense.AT_MOST, "peak borne", given)
        amps = thing.ratings.amount("short-time-withstand")
        if not amps or not (thing.kind in BARS or thing.kind == "assembly"):
            return None
        row = one_table("coordination", "peak_factor")
        index = next(n for n, upto in enumerate(row["rms_upto_A"]) if amps <= upto)
        values = (
            Given("n", row["n"][index], "", "peak over rms", None, row["source"], row["confidence"]),
            Given("I_cw", amps, "A", f"current that {thing.subject} bears for 1 s", thing.span),
        )
        peak = _PEAK.of(values)
        words = f"peak borne, {row['n'][index]:g} times the current borne for 1 s"
        return Limit(peak, Sense.AT_MOST, words, Given("I_pk", peak, "A", words, None, row["source"], row["confidence"]))

    # --- what needs no verification ---------------------------------------------------------------------------------
    def _exempt(self, thing: Exposed) -> tuple[Result, ...] | str:
        bar = thing.kind in BARS and self._calculation.of(ExposedThings).enclosed(thing.device)
        if not bar and thing.kind != "assembly":
            return "it states no conditional rating and no current that it bears for a second"
        row = one_table("coordination", "assembly")
        upto, cut = row["exempt_upto_A"], row["exempt_cut_off_A"]
        words = "up to which no verification is asked"
        given = Given("I_k", upto, "A", words, None, row["source"], row["confidence"])
        result = self._result(thing, "exempt", Limit(upto, Sense.AT_MOST, words, given), source=row["source"])
        if result.holds:
            return (result,)
        stress = self._calculation.of(Stressing).peak(thing.device)
        if stress is not None and is_cut_off(stress) and stress.formula.of(stress.givens) <= cut:
            words = "peak let through up to which no verification is asked"
            limit = Limit(cut, Sense.AT_MOST, words, Given("i_D", cut, "A", words, None, row["source"], row["confidence"]))
            key = f"{QUESTION}.peak"
            note = self._cut(stress)
            values = (thing.subject, thing.feeder, stress.formula, "A", stress.givens, row["source"], limit)
            return (Result.worked(key, *values, note=note, span=thing.span),)
        most = f"more than {upto / 1000:g} kA can flow"
        return f"it states no conditional rating and no current that it bears for a second, and {most}"

    def _result(self, thing: Exposed, name: str, limit: Limit, note: str = "", source: str = "") -> Result:
        """The largest fault current at a thing, held to a limit."""
        largest = self._calculation.of(ExposedThings).largest(thing.device)
        assert largest is not None
        current = Given("I_k", largest.value, "A", f"largest prospective current at {thing.device}", result=largest.key)
        return Result.worked(
            f"{QUESTION}.{name}",
            thing.subject,
            thing.feeder,
            _CURRENT,
            "A",
            (current,),
            source or SOURCES.get(thing.kind, "IEC 60947-4-1"),
            limit,
            note=note,
            span=thing.span,
        )


def _unmet(stated: Conditional) -> str:
    """Why a conditional rating says nothing here."""
    if stated.most is None:
        return "its conditional rating names no largest protection ahead (`max-upstream`)"
    named = " or ".join(stated.kinds) or "any protection"
    return f"its conditional rating is for {named} up to {stated.most:g} A ahead, which is not there"
