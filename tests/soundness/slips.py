"""Slips of the pen: for each rule that reading itself reports, edits of the text that have to be reported at that line."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from tests.soundness.bases import Base, Edit

#: what was done, its edits, and the line of the finding in the text after them (0: any)
Slip = tuple[str, tuple[Edit, ...], int]
SLIPS: dict[str, Callable[[Base, str], Iterator[Slip]]] = {}


def line_of(text: str, at: int) -> int:
    return text.count("\n", 0, at) + 1


def each_match(pattern: str, new: str | Callable[[re.Match[str]], str], name: str) -> Callable[[Base, str], Iterator[Slip]]:
    """Every match of a pattern replaced, one at a time; the finding is at its line."""

    def slips(base: Base, text: str) -> Iterator[Slip]:
        for match in re.finditer(pattern, text, re.M):
            put = new(match) if callable(new) else match.expand(new)
            at = match.start("at") if "at" in match.re.groupindex else match.start()
            line = line_of(text, at) + 3 * put.startswith("scheme ") + (put.startswith("\n") and match.start() == len(text))
            yield f"{name}: {match[0].strip()[:50]}", (Edit(base.file, match.start(), match.end(), put),), line

    return slips


SLIPS["core-unknown"] = each_match(r"^( +)(BN|BK|GY|BU) +(?=[-=])", r"\1ZZ ", "a core that is not there")
SLIPS["core-reused"] = each_match(
    r"^(?P<one> +BN [^\n]+\n)(?P<at> +)BK +(?=[-=])", lambda m: f"{m['one']}{m['at']}BN ", "a core twice"
)
SLIPS["count-mismatch"] = each_match(r"^( *wire [^\n]*:)(\w+),(\w+),(\w+)( +to )", r"\1\2,\3\5", "one terminal fewer")
SLIPS["duplicate-name"] = each_match(r"^( *device [^\n{#]+)\n(?P<at>)", lambda m: f"{m[1]}\n{m[1]}\n", "a device twice")
SLIPS["unknown-part"] = each_match(r"^( *device -\S+ )([a-z][\w.-]+)", r"\1\2-x9", "a part that is not there")
SLIPS["unknown-name"] = each_match(r"^( *wire )([-=]\S+?)(?=:)", r"\1-ZZ99", "a device that is not there")
SLIPS["unknown-terminal"] = each_match(r"^( *wire [-=][^:\s]+:)(\w+)(?= to )", r"\1ZZ99", "a terminal that is not there")
SLIPS["unknown-word"] = each_match(r"^( *)(wire|device|cable|strip) (?=[-=])", r"\1\2x ", "a keyword misspelt")
SLIPS["unknown-setting"] = each_match(r"^( *set [-=]\S+ )(?=[a-z])", r"\1zz-setting=on ", "a setting that is not there")
SLIPS["unknown-scheme"] = each_match(r"^( *use )([a-z])", r"\1zz-\2", "a scheme that is not there")
SLIPS["unknown-parameter"] = each_match(r"^( *use [a-z-]+ )(?=[a-z-]+=)", r"\1zz-thing=1 ", "a parameter that is not there")
SLIPS["syntax"] = each_match(r"^( *wire [-=]\S+ +)to( +)", r"\1at\2", "`at` for `to`")
SLIPS["wrong-unit"] = each_match(r"(length=)(\d+(?:\.\d+)?)m\b", r"\1\2V", "volts for metres")
SLIPS["out-of-range"] = each_match(r"^( *:)([1-9]\d*)\.\.(?!\2 )(\d+) ", r"\g<1>\3..\2 ", "a range that counts down")
SLIPS["unclosed-string"] = each_match(r'^( *device [^"\n]*"[^"\n]*)"', r"\1", "no closing quote")
SLIPS["missing-value"] = each_match(r"^( *use [a-z-]+) (?!length|cable)[a-z-]+=\S+", r"\1", "an argument left out")
SLIPS["version-unsupported"] = each_match(r"^netdsl 1$", "netdsl 9", "version 9")
SLIPS["unclosed-block"] = each_match(
    r"^( *cable [^\n]*\{\n(?:[^\n}]*\n)*?[^\n}]*)\n *(?P<at>\}\n\n*)(?= *[a-z])", lambda m: f"{m[1]}\n", "no closing brace"
)
SLIPS["stray-brace"] = each_match(r"^(?P<a>\})\n(?P<at>)", "}\n}\n", "a brace more")
SLIPS["include-missing"] = each_match(r'^include "', 'include "zz/', "a file that is not there")
SLIPS["include-outside"] = each_match(r'^include "', 'include "../', "a file outside")
SLIPS["encoding"] = each_match(r'^project "(?P<at>)', 'project "\udce9', "a byte that is no UTF-8")
SLIPS["scheme-recursive"] = each_match(
    r"^(?P<at>project )", r"scheme zz-lamp(a) {\n  use zz-lamp a=$a\n}\nuse zz-lamp a=1\n\1", "a scheme in itself"
)
SLIPS["allow-unmatched"] = each_match(
    r"\Z(?P<at>)", lambda _: '\nallow earth-loop on -G0 because "nothing"\n', "an exception for nothing"
)
SLIPS["severity-unmatched"] = each_match(r"\Z(?P<at>)", lambda _: "\nseverity zz-rule note\n", "a severity for no rule")
SLIPS["section-looser"] = each_match(r"\Z(?P<at>)", lambda _: "\nleast-section bond=1mm2\n", "a thin bond without a reason")
SLIPS["separation-looser"] = each_match(
    r"\Z(?P<at>)", lambda _: "\nseparation motor analogue inside=1mm outside=1mm\n", "less distance without a reason"
)
