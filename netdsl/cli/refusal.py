"""What a command says when it cannot do its work at all: a sentence and exit code 2."""

from __future__ import annotations


class Refusal(Exception):
    """A command cannot go on; its text is the sentence that the user reads."""


def reason_of(error: OSError) -> str:
    """The system's words for `error`, lower-case, without number and path: `permission denied`."""
    words = error.strerror or type(error).__name__
    return words[:1].lower() + words[1:]
