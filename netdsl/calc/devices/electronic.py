"""Electronic circuit-breakers for direct current."""

from __future__ import annotations

from netdsl.calc.basis import Given, one_table
from netdsl.calc.devices.tripping import Characteristic, Point, Sought

#: what an electronic breaker for direct current states as its curve
ELECTRONIC = "electronic"


def electronic(sought: Sought) -> Characteristic:
    """An electronic circuit-breaker for direct current: it switches off at a current of its own, as fast for a short circuit."""
    row = one_table("devices", "electronic_breaker")
    stated = sought.stating("instantaneous", "I_i", "A", "current that switches off")
    if stated is None:
        words = f"electronic breakers that state no `instantaneous` switch off at {row['off_x_In']:g} times their rated current"
        sought.settings.assume("electronic-breaker", words, row["source"], row["confidence"])
        amps, said = row["off_x_In"] * sought.rated, f"current that switches off {sought.device.id}"
        stated = Given("I_i", amps, "A", said, None, row["source"], row["confidence"])
    sought.givens.append(stated)
    amps, name = stated.value, sought.device.id
    delay = sought.stating("delay", "t_v", "s", "delay")
    seconds = delay.value if delay is not None else row["off_within_s"]
    point = Point(amps, seconds, f"switching off of {name}", stated.source or row["source"], row["confidence"], span=stated.span)
    return Characteristic(
        name, "breaker", ELECTRONIC, sought.rated, sought.rated, amps, (amps, amps), True, True, points=(point,)
    )
