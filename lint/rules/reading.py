"""Rules that other rooms report while reading the text, and those of the check itself: documented here, found elsewhere."""

from __future__ import annotations

from lint.registry import documented
from netdsl.findings import Severity

LANGUAGE = "language reference"

documented(
    "syntax",
    Severity.ERROR,
    """A statement cannot be read.

    Reports:
      A line whose parts stand in no order the language knows.
    Why:
      What cannot be read is not checked.
    Failing:
      place +MCP kind=cabinet
      device -XE1 earth-bar at=+MCP ways=2
      wire -XE1:1 +MCP:PE 6mm2 GNYE
    Remedy:
      Compare the line with the statement's form in the language reference.
    """,
    LANGUAGE,
)
documented(
    "unclosed-block",
    Severity.ERROR,
    """A block is opened and never closed.

    Reports:
      A `{` at the end of a line without its `}` on a line of its own.
    Why:
      Everything behind it would belong to the block.
    Failing:
      function =RP1 {
      place +MCP kind=cabinet
    Remedy:
      Close the block with a `}` on a line of its own.
    """,
    LANGUAGE,
)
documented(
    "unclosed-string",
    Severity.ERROR,
    """A text in quotes has no closing quote.

    Reports:
      A `"` without its partner on the same line.
    Why:
      The rest of the line would belong to the text.
    Failing:
      place +MCP "Panel kind=cabinet
    Remedy:
      Close the text with a `"` on the same line.
    """,
    LANGUAGE,
)
documented(
    "stray-brace",
    Severity.ERROR,
    """A `}` closes nothing.

    Reports:
      A `}` where no block is open, or a brace in the middle of a line.
    Why:
      It shows that a block ends earlier than meant.
    Failing:
      place +MCP kind=cabinet
      }
    Remedy:
      Remove it, or find the block that was closed too early.
    """,
    LANGUAGE,
)
documented(
    "encoding",
    Severity.ERROR,
    """A file holds bytes that are no UTF-8 text.

    Reports:
      The place of the first such byte. A byte-order mark and tabs are accepted.
    Why:
      Names with such bytes could not be found again.
    Remedy:
      Save the file as UTF-8.
    """,
    LANGUAGE,
)
documented(
    "include-missing",
    Severity.ERROR,
    """A file that is included, or the plant's own, cannot be read.

    Reports:
      An `include` of a file that is not there or cannot be opened.
    Why:
      What it declares is missing everywhere else.
    Failing:
      include "parts/none.netdsl"
    Remedy:
      Correct the path; it is relative to the including file.
    """,
    LANGUAGE,
)
documented(
    "include-circular",
    Severity.ERROR,
    """A file includes itself, directly or through others.

    Reports:
      The `include` that closes the circle.
    Why:
      No order of reading would be right.
    Remedy:
      Remove one of the includes.
    """,
    LANGUAGE,
)
documented(
    "include-outside",
    Severity.ERROR,
    """An include leaves the project folder.

    Reports:
      A path that leads out of the folder of the plant.
    Why:
      A project that reaches outside cannot be handed on.
    Failing:
      include "../other.netdsl"
    Remedy:
      Copy the file into the project folder.
    """,
    LANGUAGE,
)
documented(
    "unknown-name",
    Severity.ERROR,
    """A designation names nothing.

    Reports:
      A device, place, cable, route or function that no statement declares, with the nearest known name.
    Why:
      The conductor or statement concerned is left out.
    Failing:
      place +MCP kind=cabinet
      device -XE1 earth-bar at=+MCP ways=2
      wire -XE2:1 to +MCP:PE 6mm2 GNYE
    Remedy:
      Correct the name, or declare it.
    """,
    LANGUAGE,
)
documented(
    "unknown-part",
    Severity.ERROR,
    """A part is not in the library nor in the project.

    Reports:
      The name of a part that is neither shipped nor declared, with the nearest known one.
    Why:
      A device without its part has no terminals.
    Failing:
      device -T1 no-such-part
    Remedy:
      Correct the name, or declare the part.
    """,
    LANGUAGE,
)
documented(
    "unknown-terminal",
    Severity.ERROR,
    """A device has no such terminal.

    Reports:
      A terminal that the part, strip or place does not have, or a role it does not offer.
    Why:
      The conductor concerned is left out.
    Failing:
      place +MCP kind=cabinet
      device -XE1 earth-bar at=+MCP ways=2
      wire -XE1:7 to +MCP:PE 6mm2 GNYE
    Remedy:
      Correct the terminal; the part lists those it has.
    """,
    LANGUAGE,
)
documented(
    "unknown-scheme",
    Severity.ERROR,
    """A scheme is not declared.

    Reports:
      The name behind `use` that no `scheme` has.
    Why:
      Nothing of what it would wire exists.
    Failing:
      use no-such-scheme
    Remedy:
      Correct the name, or include the file that holds it.
    """,
    LANGUAGE,
)
documented(
    "unknown-parameter",
    Severity.ERROR,
    """A scheme has no such parameter.

    Reports:
      An argument of `use`, or a `$name` in a scheme, that the scheme's head does not list.
    Why:
      Its value would go nowhere.
    Failing:
      scheme demo(first) {
      }
      use demo first=1 second=2
    Remedy:
      Correct the name, or add the parameter to the scheme.
    """,
    LANGUAGE,
)
documented(
    "unknown-setting",
    Severity.ERROR,
    """A device has no such setting, or not this value.

    Reports:
      A `set` of a name or value that the part does not permit.
    Why:
      The device would keep its default.
    Remedy:
      Use a setting and a value that the part lists.
    """,
    LANGUAGE,
)
documented(
    "unknown-word",
    Severity.ERROR,
    """A word stands where the language knows only certain others.

    Reports:
      A kind, attribute, colour, role or way of ending a screen that is not known, with the nearest one.
    Why:
      It would be ignored, and what it meant lost.
    Failing:
      place +MCP kind=cupboard
    Remedy:
      Use one of the words named.
    """,
    LANGUAGE,
)
documented(
    "duplicate-name",
    Severity.ERROR,
    """A name is declared twice.

    Reports:
      The second declaration of a device, place, cable, route, part or scheme; two names for one net.
    Why:
      Nobody could tell which is meant.
    Failing:
      place +MCP kind=cabinet
      place +MCP kind=cabinet
    Remedy:
      Give one of them another name.
    """,
    LANGUAGE,
)
documented(
    "hidden-name",
    Severity.NOTE,
    """An inner name hides an outer one.

    Reports:
      A designation in a function that also exists further out and is meant inside that function too, by its whole designation.
    Silent:
      Ordinary numbering: an inner name and an outer one that is not used inside.
    Why:
      A reader may take one for the other.
    Remedy:
      Rename one of them, or refer to the outer one by its whole designation.
    """,
    LANGUAGE,
)
documented(
    "wrong-unit",
    Severity.ERROR,
    """A number has the wrong kind of unit, or none.

    Reports:
      A value whose unit is not of the kind wanted, such as a length for a section.
    Why:
      A figure without its unit is a guess.
    Failing:
      place +MCP kind=cabinet
      route DUCT1 at=+MCP kind=duct length=5kW
    Remedy:
      Write the number with a unit of the kind named.
    """,
    LANGUAGE,
)
documented(
    "out-of-range",
    Severity.ERROR,
    """A number lies outside what is possible.

    Reports:
      A value beyond its limits, or a range that does not count up.
    Why:
      It would draw or compute nonsense.
    Remedy:
      Use a value within the limits named.
    """,
    LANGUAGE,
)
documented(
    "count-mismatch",
    Severity.ERROR,
    """Lists that step together differ in length.

    Reports:
      Both counts, as in `:1,3,5 to :2,4`.
    Why:
      Some conductor would be left without its other end.
    Failing:
      place +MCP kind=cabinet
      device -XE1 earth-bar at=+MCP ways=4
      wire -XE1:1,2 to +MCP:PE 6mm2 GNYE
    Remedy:
      Name as many terminals on one side as on the other.
    """,
    LANGUAGE,
)
documented(
    "core-unknown",
    Severity.ERROR,
    """The cable has no such core or pair.

    Reports:
      A core name that the construction does not have, and those it has.
    Why:
      The shop would look for a core that is not there.
    Remedy:
      Use a core that the construction has, or another construction.
    """,
    LANGUAGE,
)
documented(
    "core-reused",
    Severity.ERROR,
    """A core of a cable is connected twice.

    Reports:
      The second line for one core.
    Why:
      A core has two ends, not four.
    Remedy:
      Use another core.
    """,
    LANGUAGE,
)
documented(
    "scheme-recursive",
    Severity.ERROR,
    """A scheme uses itself, directly or through others.

    Reports:
      The `use` that closes the circle.
    Why:
      It would never end.
    Remedy:
      Take the circle apart.
    """,
    LANGUAGE,
)
documented(
    "missing-value",
    Severity.ERROR,
    """Something that must be given is not.

    Reports:
      A place, part, end or value that the statement needs.
    Why:
      Nothing is guessed.
    Remedy:
      Give it.
    """,
    LANGUAGE,
)
documented(
    "version-unsupported",
    Severity.ERROR,
    """The text asks for a version of the language that is not known.

    Reports:
      A `netdsl` line with another number than 1.
    Why:
      It could be read, and misunderstood.
    Failing:
      netdsl 9
    Remedy:
      Use a program that knows this version, or write `netdsl 1`.
    """,
    LANGUAGE,
)
documented(
    "allow-unmatched",
    Severity.WARNING,
    """An exception matches no finding.

    Reports:
      An `allow` whose rule reports nothing on its subject, or whose rule is none that can be excepted.
    Why:
      An exception that excuses nothing hides the next real fault, and stands on the cover sheet for nothing.
    Remedy:
      Remove it, or name the rule and the subject that the finding names.
    """,
    "common practice",
)
documented(
    "severity-unmatched",
    Severity.WARNING,
    """A severity is chosen for no rule, or lowered without a reason.

    Reports:
      A `severity` that names no rule whose findings can be made more or less bad; an error where it makes them less bad than
      they usually are and gives no reason: they then stay as they are.
    Why:
      What is read as a note is not acted on: whoever decides that signs for it.
    Remedy:
      Name the rule as `netdsl explain` lists it, and say why behind `because`.
    """,
    "common practice",
)
documented(
    "separation-looser",
    Severity.ERROR,
    """A project asks for less distance than the table without a reason.

    Reports:
      A `separation` with a smaller distance than the shipped table, and without `because`; the table then stays.
    Why:
      The distances are what makers of drives ask for: whoever lays closer signs for it.
    Remedy:
      Say why behind `because`, or ask for as much as the table.
    """,
    "common practice",
)
documented(
    "section-looser",
    Severity.ERROR,
    """A project sets a least section below that of the standards without a reason.

    Reports:
      A `least-section` with less than the standards ask of copper, covered or not, and without `because`; these then stay.
    Why:
      A bond or the earth of an arrester that is too thin burns in the first fault: whoever lays it thinner signs for it.
    Remedy:
      Say why behind `because`, or ask for as much as the standards.
    """,
    "common practice",
)
documented(
    "internal-error",
    Severity.ERROR,
    """A rule could not be applied to this plant.

    Reports:
      A rule that failed; what it covers is unchecked. The other rules are not affected.
    Why:
      A check that silently leaves something out is worse than none.
    Remedy:
      Treat what the rule covers as unchecked, and report the plant that makes it fail.
    """,
    "common practice",
)
