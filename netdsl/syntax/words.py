"""What the parser says in plain words: how each statement is written, what a token is called."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.syntax.lexer import Token

#: how a statement is written, shown as the remedy
USAGE: dict[str, str] = {
    "netdsl": "netdsl 1",
    "include": 'include "parts/site.netdsl"',
    "project": 'project "Title" {',
    "place": 'place +MCP "Motor control panel" kind=cabinet',
    "supply": "supply -G0 system=TN-S voltage=400V",
    "busbar": "busbar -WB1 at=+MCP poles=3",
    "comb": "comb -WB2 at=+MCP poles=3",
    "distribution-block": "distribution-block -WB3 at=+MCP poles=4",
    "route": "route TRAY1 kind=perforated-tray length=28m",
    "device": "device -T1 vsd-15kw at=+MCP",
    "strip": 'strip -X1 "Field terminals" at=+MCP {',
    "cable": "cable -W1 4G10 length=35m {",
    "wire": "wire -A1:1 to -B1:2 1.5mm2 BK",
    "set": "set -T1 ai2=4..20mA",
    "fit": "fit aux-contacts-2-2 on -K1",
    "interlock": "interlock -K1 -K2 mechanical",
    "teeth": "teeth of -WC1 on -Q1:1,3,5 -Q2:1,3,5",
    "twin": "twin -K1:A2 -X1:3/out",
    "couple": "couple -XP1 -XJ1",
    "channel": 'channel -A1:3 "tank level low" tag=LSL1 address=I0.3',
    "connect": "connect -M1 delta",
    "earthing": "earthing of -T2:0V at -XE1:9",
    "potential": "potential P24 of -T2:+ mark=P24",
    "relation": "relation TRAY1 TRAY2 spacing=300mm parallel=24m",
    "layout": "layout TRAY1 TRAY2 TRAY3 spacing=300mm parallel=24m",
    "shade": 'shade DBU = BU "dark blue"',
    "defaults": "defaults within=+MCP class=control section=0.75mm2",
    "allow": 'allow earth-loop on -T1 because "reason" until 2027-06-30',
    "separation": "separation motor analogue inside=300mm",
    "severity": "severity reactor-missing error",
    "least-section": "least-section bond=6mm2",
    "caution": 'caution on -T1 "wait for the DC link to discharge"',
    "remark": 'remark on -T1 "preset 1: 20 Hz"',
    "let": "let pump-cable=35m",
    "use": "use two-wire-start drive=-T1 first=3",
    "function": 'function =RP1 "Recirculation pump 1" at=+MCP {',
    "scheme": 'scheme two-wire-start(drive, first=1) "what it is" {',
    "part": 'part vsd-15kw "Frequency converter" {',
    "outside": 'outside -A1 "Bus master" at=+CTRL {',
    "revision": 'revision A 2026-05-04 "first issue"',
    "bridge": "bridge :1..2",
    "partition": 'partition "400 V and 24 V"',
    "end-plate": "end-plate",
    "screen": "screen -T1:SH clamp to -M1:SH gland",
    "terminal": "terminal :L1 :L2 :L3 line-in 0.75..16mm2",
    "pole": "pole :1,3,5 to :2,4,6 by=handle",
    "link": "link :PE1 to :PE2",
    "contact": "contact :13 to :14 make by=coil",
    "changeover": "changeover :11 to :12 :14 by=coil",
    "coil": "coil :A1 to :A2 voltage=24V dc",
    "load": "load :1 to :2 voltage=24V dc power=2W",
    "source": "source :24V to :COM voltage=24V dc current=200mA",
    "position": "position hand :13 to :14",
    "setting": "setting ai1 voltage 4..20mA",
    "selective": "selective behind=mcb-3p-c current=25A up-to=3kA",
    "require": "require :THP :THN when thermistor=on",
}

#: how a scheme is taken several times
EACH = "use two-wire-start for pump in 1..4 drive=-T$pump first=($pump*3)"

#: statements that open a block, and what a line in it may look like
BLOCKS: dict[str, str] = {
    "project": 'number = "RH-E-010"',
    "strip": ":1..6 2.5mm2",
    "cable": "BN -T1:U to -M1:U1",
    "function": USAGE["device"],
    "scheme": USAGE["wire"],
    "part": USAGE["terminal"],
    "outside": USAGE["terminal"],
    "use": "drive = -T1   first = 3",
}
LINES_OF = {
    "revision": "project",
    "bridge": "strip",
    "partition": "strip",
    "end-plate": "strip",
    "screen": "cable",
    **dict.fromkeys(
        (
            "terminal",
            "pole",
            "link",
            "contact",
            "changeover",
            "coil",
            "load",
            "source",
            "position",
            "setting",
            "selective",
            "require",
        ),
        "part",
    ),
}
#: tokens that a block's head needs, in order
HEADS: dict[str, tuple[str, ...]] = {
    "project": ("STRING",),
    "strip": ("REF",),
    "cable": ("REF", "WORD"),
    "function": ("REF",),
    "scheme": ("WORD",),
    "part": ("WORD",),
    "outside": ("REF",),
    "use": ("WORD",),
}
#: in words, where a line that the block of this keyword takes would stand
CONTEXTS = {
    "function": "this place",
    "project": "a project",
    "strip": "a strip",
    "cable": "a cable",
    "part": "a part",
    "use": "a `use`",
}
STATEMENTS = frozenset(USAGE) - frozenset(LINES_OF)

#: token kinds in plain words, in the order in which they are named
_EXPECTED: tuple[tuple[str, str], ...] = (
    ("REF", "a designation such as `-T1`"),
    ("TERMS", "a terminal such as `:1`"),
    ("STRING", "a text in quotes"),
    ("WORD", "a word"),
    ("KEY", "`key=value`"),
    ("LBRACE", "`{`"),
    ("RBRACE", "`}`"),
    ("RPAR", "`)`"),
    ("COMMA", "`,`"),
)

#: what a statement's own parts are called
_NEEDS = {
    ("device", "WORD"): "the name of a part",
    ("cable", "WORD"): "the construction, such as `4G10`,",
    ("part", "WORD"): "the name of the part",
    ("scheme", "WORD"): "the name of the scheme",
    ("use", "WORD"): "the name of a scheme",
    ("for", "WORD"): "a name such as `pump`",
    ("allow", "WORD"): "the name of a rule",
    ("separation", "WORD"): "two classes such as `motor` and `analogue`",
    ("severity", "WORD"): "the name of a rule and `error`, `warning` or `note`",
    ("function", "REF"): "a function such as `=RP1`",
    ("place", "REF"): "a place such as `+MCP`",
}


def found(token: Token) -> str:
    """The token as a reader would call it."""
    kind, text = token.type, short(token.value)
    if kind in ("NEWLINE", "$END"):
        return "the line ends"
    if kind == "STRING":
        return f"the text `{text}` stands"
    if kind == "JUNK":
        shown = text if token.value.isprintable() else f"U+{ord(token.value):04X}"
        return f"the character `{shown}` stands"
    return f"`{text}` stands"


def short(text: str) -> str:
    """`text` cut to what fits a message."""
    text = text.strip().replace("`", "'")
    text = "".join(character if character.isprintable() else "�" for character in text)
    return text if len(text) <= 40 else text[:37] + "..."


def expected(kinds: Iterable[str], keyword: str = "") -> str:
    """Token kinds that could stand here in the statement `keyword`, in plain words; the rarer ones left out."""
    known = set(kinds)
    if not known & {"KEY", "STRING"}:
        for kind in ("REF", "WORD"):
            if kind in known and (keyword, kind) in _NEEDS:
                return _NEEDS[keyword, kind]
    if {"COMMA", "STRING"} <= known:
        known.discard("COMMA")  # behind a word that a list could begin with: the next is meant more often
    words = [f"`{keyword}`" for keyword in sorted(known) if keyword.islower()]
    shown = words[:4] + [word for kind, word in _EXPECTED if kind in known and not (kind == "LBRACE" and len(known) > 6)]
    if not shown:
        return "the end of the line" if "NEWLINE" in known else "nothing more"
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} or {shown[-1]}"
