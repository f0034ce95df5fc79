"""Lines that both sides changed, merged by statement and attribute, or left to a person."""

from __future__ import annotations

from netdsl.syntax.merge import merged
from tests.cases import each_of


def lines(text: str) -> list[str]:
    return text.splitlines(keepends=True)


@each_of(
    ("base", "ours", "theirs", "wanted"),
    [
        # other attributes of one line, with the remark behind it
        (
            "cable -W1 4G10 length=35m\n",
            "cable -W1 4G10 length=40m # new\n",
            "cable -W1 4G16 length=35m\n",
            "cable -W1 4G16 length=40m # new\n",
        ),
        ("  set -T1 a=1 b=2\n", "  set -T1 a=3 b=2\n", "  set -T1  b=2 c=4\n", None),
        ("  set -T1 a=1 b=2\n", "  set -T1 a=1 b=3\n", "  set -T1 b=2 c=4\n", "  set -T1 b=3 c=4\n"),
        ("use x a=1,2 b=3 {\n", "use x a=1,2 b=4 {\n", "use x a=1,5 b=3 c=6 {\n", "use x a=1,5 b=4 c=6 {\n"),
        # one attribute
        ("set -T1 a=1\n", "set -T1 a=2\n", "set -T1 a=3\n", None),
        ("set -T1\n", "set -T1 a=2\n", "set -T1 a=3\n", None),
        ("set -T1\n", "set -T1 a=2\n", "set -T1 a=2 b=1\n", "set -T1 a=2 b=1\n"),
        # each its own statement at one place
        ("", "wire -A:1 to -B:1\n", "wire -A:2 to -B:2\n", "wire -A:2 to -B:2\nwire -A:1 to -B:1\n"),
        ("", "device -K1 a\n", "device -K1 b\n", None),
        ("a -K1\nb -K2\n", "a -K1 x=1\nb -K2\n", "a -K1\n", "a -K1 x=1\n"),
        ("a -K1\nb -K2\n", "a -K1\nb -K2 x=1\n", "a -K1\n", None),
        # a wire is its ends
        ("wire -A:1 to -B:1 RD\n", "wire -A:1 to -B:2 RD\n", "wire -A:1 to -B:1 BU\n", None),
        (
            "wire -A:1 to -B:1 RD 1mm2\n",
            "wire -A:1 to -B:1 RD 2mm2\n",
            "wire -A:1 to -B:1 BU 1mm2\n",
            "wire -A:1 to -B:1 BU 2mm2\n",
        ),
        # cores of two cables are not mixed up; alike lines are not guessed at
        (
            "cable -W1 2x1 {\n BN -A:1 to -B:1\n}\ncable -W2 2x1 {\n BN -A:2 to -B:2\n}\n",
            "cable -W1 2x1 {\n BN -A:3 to -B:1\n}\ncable -W2 2x1 {\n BN -A:2 to -B:2\n}\n",
            "cable -W1 2x1 {\n BN -A:1 to -B:1\n}\ncable -W2 2x1 {\n BN -A:2 to -B:4\n}\n",
            "cable -W1 2x1 {\n BN -A:3 to -B:1\n}\ncable -W2 2x1 {\n BN -A:2 to -B:4\n}\n",
        ),
        ("use x a=1\n", "use x a=0\nuse x a=1\n", "use x a=1 b=2\n", None),
        # remarks above stay with their line
        ("a -K1\n", "# why\na -K1\n", "a -K1 x=1\n", "# why\na -K1 x=1\n"),
        ("a -K1\n", "# why\na -K1\n", "# other\na -K1\n", None),
        ("a -K1 # one\n", "a -K1 # two\n", "a -K1 # three\n", None),
        ('device -T1 p "a" x=1\r\n', 'device -T1 p "b" x=1\r\n', 'device -T1 p "a" x=2\r\n', 'device -T1 p "b" x=2\r\n'),
    ],
)
def test_what_each_side_did_alone_is_taken(base: str, ours: str, theirs: str, wanted: str | None) -> None:
    found = merged(lines(base), lines(ours), lines(theirs))
    assert (found if found is None else "".join(found)) == wanted
    # the other way round the same is a conflict, and the same words are taken
    back = merged(lines(base), lines(theirs), lines(ours))
    assert (back is None) == (wanted is None)
    if back is not None and wanted is not None:
        assert sorted("".join(back).split()) == sorted(wanted.split())
