"""Words of the calculation sheet: titles of the questions, symbols of their answers, cautions."""

from __future__ import annotations

#: question -> (title, symbol of the value); besides `distortion.hN`, one for each order of harmonic
TITLES: dict[str, tuple[str, str]] = {
    "load-current": ("Load current", "I_b"),
    "neutral-current": ("Neutral current", "I_N"),
    "current-carrying-capacity": ("Current-carrying capacity", "I_z"),
    "required-capacity": ("Capacity required of the table", "I_t"),
    "overload.rated": ("Overload: load against rated current", "I_b"),
    "overload.capacity": ("Overload: rated current against conductor", "I_n"),
    "overload.tripping": ("Overload: tripping current against conductor", "I_2"),
    "fault-current.largest": ("Largest fault current", "I_k"),
    "fault-current.smallest": ("Smallest fault current between conductors", "I_k2"),
    "fault-current.earth": ("Smallest line-to-earth fault current", "I_k1"),
    "fault-current.peak": ("Peak fault current", "i_p"),
    "loop-impedance": ("Earth-fault loop impedance", "Z_s"),
    "breaking-capacity": ("Breaking capacity", "I_k"),
    "disconnection": ("Automatic disconnection", "Z_s"),
    "fault-withstand": ("Section that bears the fault", "S"),
    "protective-conductor.table": ("Protective conductor by table", "S"),
    "protective-conductor.adiabatic": ("Protective conductor by the adiabatic equation", "S"),
    "protective-conductor.touch": ("Protective conductor by touch current", "S"),
    "protective-conductor.separate": ("Protective conductor laid apart", "S"),
    "protective-conductor.pen": ("PEN conductor", "S"),
    "voltage-drop.running": ("Voltage drop in service", "dU"),
    "voltage-drop.starting": ("Voltage drop while starting", "dU"),
    "motor-cable.length": ("Motor cable length", "L"),
    "motor-cable.peak": ("Peak voltage at the motor", "U_pk"),
    "touch-current": ("Touch current", "I_t"),
    "standing-leakage": ("Standing leakage current", "I_l"),
    "source-load": ("Load of the source", "I"),
    "supply-trip": ("Tripping by the source", "I"),
    "control-drop": ("Voltage drop of a control circuit", "dU"),
    "contact-load": ("Load of a contact", "I"),
    "loop-burden": ("Burden of a current loop", "R"),
    "serial-line.length": ("Length of a serial line", "L"),
    "serial-line.stations": ("Stations on a serial line", "N"),
    "enclosure.losses": ("Losses inside the enclosure", "P"),
    "enclosure.surface": ("Effective cooling surface", "A"),
    "enclosure.temperature": ("Temperature inside the enclosure", "T_i"),
    "enclosure.temperature-closed": ("Temperature inside without fans", "T_i"),
    "enclosure.shed": ("Heat shed by the surface at the limit", "Q_s"),
    "enclosure.cooling": ("Heat left to be carried away", "Q_e"),
    "enclosure.airflow": ("Airflow needed", "V"),
    "drive-derating": ("Current of the drive as installed", "I"),
    "distortion.harmonic-current": ("Harmonic current of the drives", "I_h"),
    "distortion.fundamental": ("Fundamental of the supply current", "I_1"),
    "distortion.thd": ("Supply current distortion", "THD_i"),
    "distortion.drives": ("Distortion of the drives' current alone", "THD_i"),
    "distortion.voltage": ("Distortion of the supply voltage", "THD_u"),
    "overload.control": ("Overload: control circuit", "I_n"),
    "overload.return": ("Overload: return of a control circuit", "I_n"),
    "overload.branch": ("Overload: load of a control circuit against rated current", "I_b"),
    "source-impedance": ("Source impedance", "Z"),
    "transformer-impedance": ("Transformer impedance", "Z_T"),
    "network-impedance": ("Network impedance", "Z_Q"),
    "serial-line.terminations": ("Terminations of a serial line", "n"),
    "loop-limit": ("Burden a current loop bears", "R"),
}

SUPPORT = (
    "This sheet supports the responsible engineer and does not replace one: a licensed person checks and signs.",
    "A figure within its limit is no proof that the plant is safe; it is as good as the data it was computed from.",
    "Verify against local codes and the manufacturers' instructions, which prevail, and by measurement at commissioning.",
)
CAUTIONS = (
    *SUPPORT,
    "Before any work: isolate, lock off, wait for the DC link to discharge, prove dead. Skilled persons only.",
)
#: how sure a figure is -> what it is called in print
CONFIDENCES = {"memory": "from memory, look it up", "verified": "verified", "common practice": "common practice"}


def title(question: str) -> str:
    """The title of a question; one that has none is named by its own words."""
    if order := _order(question):
        return f"Harmonic of order {order}"
    return TITLES[question][0] if question in TITLES else question.replace(".", ", ").replace("-", " ").capitalize()


def symbol(question: str) -> str:
    """The symbol of a question's answer."""
    if order := _order(question):
        return f"h{order}"
    return TITLES[question][1] if question in TITLES else "x"


def _order(question: str) -> str:
    """The order of a harmonic that a question is about (`distortion.h5`), "" for all else."""
    before, _, order = question.partition("distortion.h")
    return order if not before and order.isdigit() else ""


def origin_words(source: str, confidence: str) -> str:
    """A source with its confidence: `IEC 60228:2004 (verified)`; from memory said as what it asks for."""
    sure = CONFIDENCES.get(confidence, confidence)
    if not source:
        return sure
    return source if not sure or sure in source else f"{source} ({sure})"
