"""A plant of four files that every command which rewrites texts has something to do in."""

from __future__ import annotations

from pathlib import Path

from lint.frame import FRAME

#: what a command rewrites, with how it is called in the folder of the plant
REWRITES = {
    "size": "size --write plant.netdsl",
    "format": "format plant.netdsl part1.netdsl part2.netdsl part3.netdsl",
    "fix": "check --fix --yes plant.netdsl",
    "rename": "rename plant.netdsl +HALL +SHED",
    "renumber": "renumber plant.netdsl -X9 4..9 14",
}


def texts(what: str) -> dict[str, str]:
    """The files of the plant, with open values for `size`, in odd layout for `format`, with earth of a wrong colour for `fix`."""
    section = "auto" if what == "size" else "2.5mm2"
    colour = "BK" if what == "fix" else "GNYE"
    odd = "    " if what == "format" else ""
    main = FRAME.replace("netdsl 1\n", 'netdsl 1\n\ninclude "part1.netdsl"\ninclude "part2.netdsl"\ninclude "part3.netdsl"\n')
    result = {
        "plant.netdsl": f"{odd}{main}strip -X9 at=+MCP {{\n{odd}  :1..12 2.5mm2\n}}\nbusbar -WB2 at=+MCP poles=3 current=63A\n"
    }
    for n in (1, 2, 3):
        result[f"part{n}.netdsl"] = f"""\
netdsl 1

device -T{n} drive{odd} at=+MCP
device -F{n} mcb-3p at=+MCP current=10A
device -M{n} motor at=+HALL power=1.5kW current=3.5A
wire -WB1:L1,L2,L3 to -F{n}:1,3,5 {section} BK
wire -F{n}:2,4,6 to -T{n}:L1,L2,L3 {section} BK
wire -T{n}:PE to -XE1:{3 * n} 6mm2 {colour}
wire -X9:{n} to -X9:{n + 3} 1mm2 BU
cable -W{n} 4G2.5 screened length=5m method=C {{
{odd}  BN   -T{n}:U   to -M{n}:U1
  BK   -T{n}:V   to -M{n}:V1
  GY   -T{n}:W   to -M{n}:W1
  GNYE -T{n}:PE2 to -M{n}:PE
  screen -T{n}:SH clamp to -M{n}:SH gland
}}
"""
    return result


def put(folder: Path, files: dict[str, str]) -> None:
    """Write the plant."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        (folder / name).write_text(text, "utf-8")
