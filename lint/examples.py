"""The two examples of a rule: the passing one may be written as what differs from the failing one."""

from __future__ import annotations


def passing_example(failing: str, passing: str) -> str:
    """The passing example in full: as written, or where all lines begin with `-` or `+`, the failing one with lines exchanged.

    A `-` line stands once in the failing example and is taken out; the `+` lines below it take its place. Those before any `-`
    follow the end. Raises ValueError for a `-` line that does not stand there once.
    """
    changes = passing.splitlines()
    if not all(line.startswith(("- ", "+ ")) for line in changes):
        return passing
    lines = failing.splitlines()
    place = len(lines)
    for change in changes:
        mark, line = change[0], change[2:]
        if mark == "+":
            lines.insert(place, line)
            place += 1
        elif lines.count(line) == 1:
            place = lines.index(line)
            del lines[place]
        else:
            raise ValueError(f"`{line}` stands {lines.count(line)} times in the failing example")
    return "\n".join(lines)
