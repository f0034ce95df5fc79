"""Why a rule reports less than all of its damage, or why nothing here is damaged for it; printed beside the table of recall."""

#: rules for which no plant here has anything to damage, or no text can be written that provokes them
NOTHING_TO_DAMAGE = {
    "brake-unprotected": "no drive of the library has brake terminals; the rule's own examples hold it",
    "include-circular": "takes a second file; its example under examples/faults holds it",
    "internal-error": "speaks of a rule that fails, which no text provokes",
    "hidden-name": "a note that says what a name hides, no fault",
}
#: rule -> share of its damage that may go unreported, and why
LESS_THAN_ALL = {
    "earth-undersized": (0.6, "bonds without a circuit and a supply's own conductor beside large phases are held to no section"),
    "return-missing": (0.1, "what is joined to the zero of another source, or to earth, counts as led back"),
    "motor-cable-long": (0.1, "behind a filter that limits the slope and states no length nothing is held to the drive's"),
}
