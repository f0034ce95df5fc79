"""The Tree: what a text says, statement by statement, each with its span; nothing is looked up yet."""

from __future__ import annotations

from msgspec import Struct

from netdsl.findings import Source, Span
from netdsl.syntax.written import Attr, Param, Reference, Text, Value, Word


# --- statements ---------------------------------------------------------------------------------------------------
# `items` are what stands in a line beside the named parts, in order: words, strings, parameters, lists of words.
class Listed(Struct, frozen=True):
    """`BN,BK,GY`: words that step together with the terminals of a wire."""

    values: tuple[Word | Param, ...]
    span: Span


Item = Word | Text | Param | Listed


class Version(Struct, frozen=True):
    """`netdsl 1`."""

    number: Word
    span: Span


class Revision(Struct, frozen=True):
    """`revision B 2026-06-11 "second pump added"` inside a project."""

    index: Word
    date: Word
    text: Text | None
    attrs: tuple[Attr, ...]
    span: Span


class Project(Struct, frozen=True):
    """`project "Title" { ... }`."""

    title: Text
    attrs: tuple[Attr, ...]
    revisions: tuple[Revision, ...]
    span: Span


class Include(Struct, frozen=True):
    """`include "parts/site.netdsl"`."""

    path: Text
    span: Span


class Declaration(Struct, frozen=True):
    """A named thing on one line: place, supply, busbar, comb, distribution-block, device, route.

    `keyword` is that word; `part` the part of a device (None for the others).
    """

    keyword: str
    name: Reference | Word
    part: Word | Param | None
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    span: Span


class StripRow(Struct, frozen=True):
    """`:1..6 2.5mm2 "level"` in a strip."""

    terminals: tuple[Reference, ...]
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    span: Span


class Bridge(Struct, frozen=True):
    """`bridge :1..2` in a strip."""

    terminals: tuple[Reference, ...]
    span: Span


class RailPiece(Struct, frozen=True):
    """`partition "text"` or `end-plate` in a strip, between the rows beside it."""

    keyword: str
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    span: Span


class Strip(Struct, frozen=True):
    """`strip -X1 "text" at=+MCP { rows and bridges }`."""

    name: Reference
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    rows: tuple[StripRow | Bridge | RailPiece, ...]
    span: Span


class Wire(Struct, frozen=True):
    """`wire A to B [to C ...] items attrs`; at least two ends."""

    ends: tuple[Reference, ...]
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    span: Span


class Core(Struct, frozen=True):
    """`BN -T1:U to -M1:U1 attrs` in a cable."""

    core: Word
    ends: tuple[Reference, ...]
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    span: Span


class ScreenEnd(Struct, frozen=True):
    """`-T1:SH clamp`, `-X1:PE pigtail 60x12mm bare 80mm`, `-B1 open`: one end of a screen."""

    end: Reference
    how: Word
    size: Word | None  # of a pigtail: length, or length x width
    bare: Word | None  # length of core left unscreened beyond the end
    span: Span


class Screen(Struct, frozen=True):
    """`screen [pair 1] END to END`, as many ends as are written; `pair`: whose own screen is meant, None for the whole."""

    pair: Word | None
    ends: tuple[ScreenEnd, ...]
    span: Span


class Cable(Struct, frozen=True):
    """`cable -W1 4G10 screened length=35m { cores and screens }`; `more`: the names of others of the same kind, `-W2 -W5..7`."""

    name: Reference
    construction: Word | Param
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    cores: tuple[Core, ...]
    screens: tuple[Screen, ...]
    span: Span
    more: tuple[Reference, ...] = ()


class Setting(Struct, frozen=True):
    """`set -T1 ai2=4..20mA`."""

    device: Reference
    attrs: tuple[Attr, ...]
    span: Span


class Fit(Struct, frozen=True):
    """`fit aux-contacts-2-2 on -K1`."""

    part: Word | Param
    host: Reference
    attrs: tuple[Attr, ...]
    span: Span


class Interlock(Struct, frozen=True):
    """`interlock -K1 -K2 mechanical`."""

    devices: tuple[Reference, ...]
    kind: Word
    span: Span


class Twin(Struct, frozen=True):
    """`twin -K1:A2 -X1:3/out`: terminals at each of which two conductors share a twin ferrule."""

    ends: tuple[Reference, ...]
    span: Span


class Teeth(Struct, frozen=True):
    """`teeth of -WC1 on -Q1:1,3,5 -Q2:1,3,5`: where the teeth of a comb are."""

    comb: Reference
    ends: tuple[Reference, ...]
    span: Span


class Channel(Struct, frozen=True):
    """`channel -A1:3 "tank level low" tag=LSL1 address=I0.3`."""

    terminal: Reference
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    span: Span


class Couple(Struct, frozen=True):
    """`couple -XP1 -XJ1`."""

    halves: tuple[Reference, Reference]
    span: Span


class Connect(Struct, frozen=True):
    """`connect -M1 delta`."""

    device: Reference
    how: Word | Param
    span: Span


class Earthing(Struct, frozen=True):
    """`earthing of -T2:0V at -XE1:9`."""

    of: Reference
    at: Reference
    span: Span


class PotentialName(Struct, frozen=True):
    """`potential P24 of -T2:+ mark=P24`."""

    name: Word
    of: Reference
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    span: Span


class Relation(Struct, frozen=True):
    """`relation TRAY1 TRAY2 spacing=300mm parallel=24m`."""

    routes: tuple[Word, Word]
    attrs: tuple[Attr, ...]
    span: Span


class Layout(Struct, frozen=True):
    """`layout TRAY1,TRAY2 TRAY3 TRAY4 spacing=300mm,500mm parallel=24m`: routes in their order, those of one level in a list."""

    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    span: Span


class Shade(Struct, frozen=True):
    """`shade DBU = BU "dark blue"`."""

    name: Word
    base: Word
    text: Text | None
    span: Span


class Defaults(Struct, frozen=True):
    """`defaults within=+MCP class=control section=0.75mm2`."""

    attrs: tuple[Attr, ...]
    span: Span


class Allow(Struct, frozen=True):
    """`allow RULE on -T1 because "..." until 2027-06-30`."""

    rule: Word
    subject: Reference
    reason: Text
    until: Word | None
    span: Span


class RuleSeverity(Struct, frozen=True):
    """`severity RULE note because "..."`."""

    rule: Word
    level: Word
    reason: Text | None
    span: Span


class ClassSeparation(Struct, frozen=True):
    """`separation CLASS CLASS inside=150mm outside=600mm because "..."`."""

    classes: tuple[Word, Word]
    attrs: tuple[Attr, ...]
    reason: Text | None
    span: Span


class LeastSection(Struct, frozen=True):
    """`least-section bond=6mm2 arrester=16mm2 because "..."`."""

    attrs: tuple[Attr, ...]
    reason: Text | None
    span: Span


class Remark(Struct, frozen=True):
    """`caution on -T1 "..."` or `remark on -T1 "..."`; `kind` is that word."""

    kind: Word
    subject: Reference
    text: Text | Param
    span: Span


class Let(Struct, frozen=True):
    """`let pump-cable=35m hall-way=TRAY2,DUCT1`: values by their names."""

    attrs: tuple[Attr, ...]
    span: Span


class Each(Struct, frozen=True):
    """`for pump in 1..4` or `and first in 1,5,9` of a `use`; `values` as written, ranges not stepped out."""

    name: Word
    values: tuple[Value, ...]
    span: Span


class Use(Struct, frozen=True):
    """`use two-wire-start [for pump in 1..4 ...] drive=-T1 terminals=-X1 first=3`; `each` is empty where it is taken once."""

    scheme: Word
    each: tuple[Each, ...]
    attrs: tuple[Attr, ...]
    span: Span


class Function(Struct, frozen=True):
    """`function =RP1 "Recirculation pump 1" at=+MCP { ... }`."""

    name: Reference
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    body: tuple[Statement, ...]
    span: Span


class SchemeParam(Struct, frozen=True):
    """`first` or `length=10m` in a scheme's head."""

    name: Word
    default: Value | None
    span: Span


class Scheme(Struct, frozen=True):
    """`scheme NAME(parameters) "text" { ... }`."""

    name: Word
    params: tuple[SchemeParam, ...]
    text: Text | None
    body: tuple[Statement, ...]
    span: Span


# --- parts --------------------------------------------------------------------------------------------------------
class PartLine(Struct, frozen=True):
    """One line in a part (or in an `outside`).

    `keyword`: "rating" for a line of `key = value` only, else the word it begins with. `left` and `right`: terminal lists before
    and behind `to`, both empty in a rating, a setting and a line of selectivity, the right one in a terminal and a require.
    `items` and `attrs` follow; in a position, and in a require that has one, the first item stands before the terminals.
    """

    keyword: str
    left: tuple[Reference, ...]
    right: tuple[Reference, ...]
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    span: Span


class Part(Struct, frozen=True):
    """`part NAME "text" { lines }`."""

    name: Word
    items: tuple[Item, ...]
    lines: tuple[PartLine, ...]
    span: Span


class Outside(Struct, frozen=True):
    """`outside -A1 "Bus master" at=+CTRL { lines }`: equipment beyond the scope, with its terminals."""

    name: Reference
    items: tuple[Item, ...]
    attrs: tuple[Attr, ...]
    lines: tuple[PartLine, ...]
    span: Span


class Bad(Struct, frozen=True):
    """A statement that could not be read; a finding says why."""

    span: Span


Statement = (
    Version
    | Project
    | Include
    | Declaration
    | Strip
    | Cable
    | Wire
    | Setting
    | Fit
    | Interlock
    | Twin
    | Teeth
    | Channel
    | Couple
    | Connect
    | Earthing
    | PotentialName
    | Relation
    | Layout
    | Shade
    | Defaults
    | Allow
    | RuleSeverity
    | ClassSeparation
    | LeastSection
    | Remark
    | Let
    | Use
    | Function
    | Scheme
    | Part
    | Outside
    | Bad
)


class Tree(Struct, frozen=True):
    """All statements of one source, in order."""

    source: Source
    statements: tuple[Statement, ...]
