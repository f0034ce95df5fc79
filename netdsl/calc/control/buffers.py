"""How long a battery or buffer goes on feeding what hangs at its source."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from netdsl.calc.basis import Answer, Gap, Given, Limit, Result, Sense, SheetQuestion, amount, formula, rating
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.paths import ControlCircuits
from netdsl.calc.control.source_poles import Source
from netdsl.calc.control.sources import summed


class BufferTimes(SheetQuestion):
    """Sources of direct current that state a capacity, and those that are to last for a time."""

    place = 1250
    answers = (Answer("buffer-time", "Time for which a buffer feeds its circuits", "t_b"),)

    def results(self) -> Iterator[Result]:
        """`buffer-time` of every direct-current source whose device states `battery-capacity` or `buffer-energy`, h, with all
        that can be on at once, held to `needed-buffer-time`. Where that is needed and no capacity stated, it is missing."""
        circuits = self._calculation.of(ControlCircuits)
        for source in circuits.net.sources:
            made = self._calculation.plant.devices[source.device]
            feeds = circuits.by_source.get(source.pole, ())
            held = self._held(source)
            if source.kind != "dc" or not feeds:
                continue
            if held is None:
                if amount(made, "needed-buffer-time") is not None:
                    remedy = "state its `battery-capacity=` in Ah, or its `buffer-energy=` in Ws"
                    feeder = self._calculation.of(Circuit).feeder(made.id)
                    gap = Gap(feeder, "capacity", (made.id,), (f"how long {made.id} buffers",), made.span, remedy)
                    self._calculation.gaps.note(gap)
                continue
            for feed in feeds:
                if feed.amps is None:
                    circuits.note_unknown(feed, f"how long {made.id} buffers")
            if any(feed.amps is None for feed in feeds):
                continue
            total, givens = summed(feeds, source)
            text, own = held
            limit = None
            if amount(made, "needed-buffer-time") is not None:
                seconds = rating(made, "needed-buffer-time", "t", "s", f"time for which {made.id} is to last")
                hours = replace(seconds, value=seconds.value / 3600, unit="h")
                limit = Limit(hours.value, Sense.AT_LEAST, "time for which it is to last", hours)
            yield Result.worked(
                "buffer-time",
                source.pole,
                self._calculation.of(Circuit).feeder(made.id),
                formula(text.format(total=f"({total})")),
                "h",
                tuple({given.symbol: given for given in (*own, *givens)}.values()),
                "charge over current; a battery that is cold, old or emptied faster than its rating says gives less",
                limit,
                note="everything that can take current from it, whether its contacts let it be on together or not",
                span=made.span,
            )

    def _held(self, source: Source) -> tuple[str, tuple[Given, ...]] | None:
        """The formula of the time with `{total}` for the current, and what is put in."""
        made = self._calculation.plant.devices[source.device]
        if amount(made, "battery-capacity"):
            return "{{Q}} / {total}", (rating(made, "battery-capacity", "Q", "Ah", f"capacity of {made.id}"),)
        if amount(made, "buffer-energy") and source.volts:
            energy = rating(made, "buffer-energy", "W", "Ws", f"energy that {made.id} buffers")
            volts = Given("U", source.volts, "V", f"voltage of {source.pole}", source.span)
            return "{{W}} / ({{U}} * {total}) / 3600", (energy, volts)
        return None
