"""Why a rule reports less than all of its damage, or why nothing here is damaged for it; printed beside the table of recall."""

#: rules for which no plant here has anything to damage, or no text can be written that provokes them
NOTHING_TO_DAMAGE = {
    "distortion-exceeded": "speaks only where the project names a limit, and no example does; its own tests hold it",
    "include-circular": "takes a second file; its example under examples/faults holds it",
    "internal-error": "speaks of a rule that fails, which no text provokes",
    "selectivity-missing": "speaks only where the project wants selectivity, and no example does; its own tests hold it",
    "start-trips": "speaks of motors that state a time or inertia, and none here does; its own tests hold it",
    "capacitor-charged": "no plant of these has a capacitor bank; its own tests hold it",
    "pins-live": "no plant of these has a plug connection; its own tests hold it",
    "hidden-name": "a note on names that read alike: nothing is wired wrongly by it",
}
#: rule -> share of its damage that may go unreported, and why
LESS_THAN_ALL = {
    "contact-without-effect": (0.35, "a clamp that takes no third conductor is named first, as `clamp-overfilled`"),
    "neutral-undersized": (0.05, "a section that the clamp does not take is named first, as `clamp-range`"),
    "wire-doubled": (0.01, "at a twin ferrule the third conductor is named, as `count-mismatch`"),
    "earth-undersized": (0.1, "behind a small breaker the adiabatic equation allows it; where none trips, `fault-loop` names it"),
    "interlock-claimed": (0.25, "a timer or another relay keeps the coils apart without the bridged contact too"),
    "interlock-missing": (0.35, "a timer or another relay keeps the coils apart without the bridged contact too"),
    "never-fed": (0.1, "poles without a feeding conductor are named themselves where other ways lead on, as `pole-open`"),
    "output-switched": (
        0.25,
        "a contactor that pulls on the command that starts the drive moves as it starts, not while it runs",
    ),
    "pole-open": (
        0.15,
        "a motor that gets two phases and a star point that is none are named themselves: `phase-missing`, `load-open`",
    ),
    "restart-unexpected": (0.5, "a start contact with a wire across it is named itself, as `contact-bridged`"),
    "return-missing": (
        0.15,
        "what is joined to the zero of another source, or to earth, counts as led back; `control-earthing` and `stop-circuit` "
        "name what that breaks",
    ),
    "strip-end-open": (0.2, "a consumer or a contact left with one end is named itself, as `load-open` or `contact-half-wired`"),
}
