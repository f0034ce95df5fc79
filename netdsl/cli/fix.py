"""What `check --fix` does: the edits that findings bring along, shown as a difference, then written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from difflib import unified_diff
from pathlib import Path

import click

from netdsl.cli.excerpt import cells
from netdsl.cli.refusal import Refusal, reason_of
from netdsl.findings import Edit, Finding, Severity, Source
from netdsl.replacing import replace_files


def mended(findings: Iterable[Finding]) -> dict[Source, str]:
    """New texts by source. Of edits that overlap the first is taken; a text in canonical form stays so, and of another no line is
    touched but those edited."""
    by_source: dict[Source, list[Edit]] = {}
    for finding in findings:
        if finding.allowed is None:
            for edit in finding.fix:
                taken = by_source.setdefault(edit.span.source, [])
                if edit not in taken and not any(_meet(edit, other) for other in taken):
                    taken.append(edit)
    return {source: _edited(source, edits) for source, edits in by_source.items()}


def harmless(
    findings: Sequence[Finding], judged: Callable[[dict[Source, str]], Sequence[Finding]]
) -> tuple[list[Finding], list[Finding]]:
    """Of the findings that bring edits those whose edits bring no other error or warning, and those whose do. `judged`: the
    findings of the plant with these texts."""
    before = _counted(findings)
    mending = [finding for finding in findings if finding.fix and finding.allowed is None]

    def bring(tried: list[Finding]) -> bool:
        return any(count > before[rule] for rule, count in _counted(judged(mended(tried))).items())

    if not mending or not bring(mending):
        return mending, []
    kept: list[Finding] = []
    for finding in mending:
        if not bring([*kept, finding]):
            kept.append(finding)
    return kept, [finding for finding in mending if finding not in kept]


def _counted(findings: Iterable[Finding]) -> Counter[str]:
    return Counter(finding.rule for finding in findings if finding.severity is not Severity.NOTE)


def _meet(one: Edit, other: Edit) -> bool:
    if one.span.start == one.span.end == other.span.start == other.span.end:
        return True
    return one.span.start < other.span.end and other.span.start < one.span.end


def _edited(source: Source, edits: list[Edit]) -> str:
    from netdsl.syntax import format_text

    text = source.text
    for edit in sorted(edits, key=lambda edit: -edit.span.start):
        text = text[: edit.span.start] + edit.text + text[edit.span.end :]
    if format_text(source) != source.text:
        return text
    return format_text(Source(source.path, text)) or text


def difference(texts: dict[Source, str], done: str = "mended") -> Iterator[str]:
    """The lines that change, with those around them; `done`: what the new text is, in a word."""
    for source, text in texts.items():
        before, after = source.text.splitlines(), text.splitlines()
        for line in unified_diff(before, after, source.path, f"{source.path}, {done}", lineterm="", n=1):
            yield cells(line)[0]


def write(folder: Path, texts: dict[Source, str]) -> None:
    """Write the texts, all or none. Raises Refusal where one cannot be written, or was changed since it was read."""
    files: dict[Path, bytes] = {}
    for source, text in texts.items():
        target = folder / source.path
        try:
            data = target.read_bytes()
        except OSError as error:
            raise Refusal(f"`{target}` cannot be read: {reason_of(error)}") from error
        mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
        if data.removeprefix(mark) != source.text.encode():
            raise Refusal(f"`{target}` changed meanwhile: nothing was written")
        files[target.resolve()] = mark + text.encode()
    try:
        replace_files(files, folder.resolve())
    except OSError as error:
        raise Refusal(f"{_names(texts)} cannot be written: {reason_of(error)}") from error
    for source in texts:
        click.echo(f"{folder / source.path} changed", err=True)


def _names(texts: dict[Source, str]) -> str:
    return ", ".join(f"`{source.path}`" for source in texts)
