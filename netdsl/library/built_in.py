"""What a panel holds that is no part of its own: terminals, which are rows of a `strip`, and enclosures, which are places."""

from __future__ import annotations

#: kind of a row -> title, and what is to be known about it
TERMINALS: dict[str, tuple[str, str]] = {
    "feed-through": (
        "Feed-through terminal",
        "The row of a `strip` that names no other kind: `:1..6 2.5mm2`. One conductor on each side, `clamps=2` for two.",
    ),
    "earth": ("Earth terminal", "`:7 earth 4mm2`. Joined to its rail, and earthed by it where the `strip` says `rail=bonded`."),
    "neutral": ("Neutral terminal", "`:N neutral 4mm2`. For the neutral conductor, blue."),
    "fused": ("Fused terminal", "`:8 fused 2.5mm2 fuse=2A`. A fuse-link between its two sides."),
    "disconnect": ("Knife disconnect terminal", "`:9 disconnect 2.5mm2`. A blade that opens between its two sides, for tests."),
    "two-level": (
        "Two-level terminal",
        "`:10 two-level 2.5mm2`. Two circuits above each other, addressed as `:10.1` and `:10.2`.",
    ),
    "screened": ("Screened terminal", "`:12 screened 1.5mm2`. With a clamp for the screen beside the conductors."),
}

#: kind of a place -> title, and what is to be known about it
ENCLOSURES: dict[str, tuple[str, str]] = {
    "cabinet": (
        "Cabinet of sheet steel",
        '`place +MCP "Control panel" kind=cabinet size=800x2000x400mm`; `material=stainless` or `plastic`. Terminal: PE, where'
        " it is of metal.",
    ),
    "box": ("Box", '`place +BOX "Signal box" kind=box size=300x400x200mm material=plastic`. Terminal: PE, where it is of metal.'),
    "door": ("Door of an enclosure", "`place +MCP.D kind=door`. Terminal: PE; it is earthed by a conductor of its own."),
    "plate": ("Mounting plate", "`place +MCP.P kind=plate`. Terminal: PE; earthed by its mounting unless `bonded=no`."),
    "panel": ("Panel of an enclosure", "`place +MCP.S kind=panel`. A wall that carries devices."),
}
