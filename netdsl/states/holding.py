"""Coils that a contact of their own holds or opens, and coils that hold each other's break contact."""

from __future__ import annotations

from typing import NamedTuple

from netdsl.model.kinds import Kind
from netdsl.states.formulas import FALSE
from netdsl.states.loops import influences, signs_in
from netdsl.states.movers import coil_of
from netdsl.states.prover import Prover
from netdsl.states.types import Cause, Mover


class Pressed(NamedTuple):
    """A coil that its own contact holds only while a button is pressed."""

    coil: Mover
    button: str


class Free(NamedTuple):
    """Of two interlocked coils one that can be energised while the other is pulled. `led_through`: a break contact of the other
    is in its circuit, and something passes it by."""

    coil: Mover
    other: Mover
    led_through: bool


def pressed(prover: Prover) -> tuple[Pressed, ...]:
    """Coils with a holding contact that lies behind the make contact of a button: released, it stops what a stop button, pressed,
    is to stop, and behind a broken wire nothing does."""
    circuit, variables = prover.circuit, prover.variables
    found = []
    for coil in circuit.coils:
        wanted = prover.wants.of(coil)
        signs = signs_in(variables, wanted)
        if False not in signs.get(coil, ()) or True in signs.get(coil, ()):
            continue
        buttons = [m for m in signs if _is_button(prover, m)]
        held = {variables.number(coil): True}
        idle = {**held, **{variables.number(button): False for button in buttons}}
        if variables.formulas.assuming(wanted, idle) != FALSE:
            continue
        for button in buttons:
            if variables.formulas.assuming(wanted, {**idle, variables.number(button): True}) != FALSE:
                found.append(Pressed(coil, button.device))
    return tuple(found)


def unsteady(prover: Prover) -> tuple[Mover, ...]:
    """Coils whose own break contact opens their circuit whenever they pull, contacts that wait left out."""
    found = []
    for coil in prover.circuit.coils:
        formulas, number = prover.variables.formulas, prover.variables.number(coil)
        wanted = prover.wants.of(coil)
        if wanted != FALSE and formulas.assuming(wanted, {number: True}) == FALSE and not _is_limited(prover, coil):
            found.append(coil)
    return tuple(found)


def _is_limited(prover: Prover, coil: Mover) -> bool:
    """Whether a resistor at the coil may hold it when its contact has opened."""
    circuit, devices = prover.circuit, prover.circuit.network.plant.devices
    nets = [circuit.network.nets[circuit.network.net_of[node]] for load in circuit.coils[coil] for node in load.nodes]
    near = {node.partition(":")[0] for net in nets for node in net.nodes}
    return any(devices[name].kind == Kind.RESISTOR for name in near if name in devices)


def free(prover: Prover, names: tuple[str, ...]) -> tuple[Free, ...]:
    """Of the coils of interlocked devices those that can be energised while another is pulled. One that is kept from it by way of
    another relay, or by contacts of a timer that leave a pause, is not among them."""
    coils = [coil for name in names if (coil := _main(prover, name)) is not None]
    return tuple(
        Free(coil, other, True in signs_in(prover.variables, prover.wants.of(coil)).get(other, ()))
        for coil in coils
        for other in coils
        if other != coil and _is_free(prover, coil, other)
    )


def _is_free(prover: Prover, coil: Mover, other: Mover) -> bool:
    formulas, variables = prover.variables.formulas, prover.variables
    wanted = prover.wants.of(coil)
    if wanted == FALSE or formulas.assuming(wanted, {variables.number(other): True}) == FALSE:
        return False
    read = [set(prover.builder.read_by((prover.wants.of(each),))) for each in (coil, other)]
    if any(set(group) & read[0] and set(group) & read[1] for group in prover.circuit.exclusive):
        return False
    direct = signs_in(variables, wanted)
    by_others = influences(prover.wants, prover.circuit, variables, wanted)
    return True in direct.get(other, ()) or True not in by_others.get(other, ())


def _main(prover: Prover, name: str) -> Mover | None:
    device = prover.circuit.network.plant.devices.get(name)
    coil = coil_of(device, "coil") if device is not None else None
    mover = Mover(name, coil) if coil is not None else None
    return mover if mover in prover.circuit.coils else None


def _is_button(prover: Prover, mover: Mover) -> bool:
    device = prover.circuit.network.plant.devices.get(mover.device)
    return device is not None and device.kind == Kind.PUSH_BUTTON and prover.circuit.movements[mover].cause is Cause.FREE
