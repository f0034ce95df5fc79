"""Milliseconds from an edit of one line to its findings, through the protocol: `python -m tests.bench.typing [FEEDERS]`."""

from __future__ import annotations

import asyncio
import statistics
import sys
import tempfile
import time
from pathlib import Path

from tests.bench.generator import plant_text
from tests.serving.talking import editor, started

EDITS = 31
SERVER = (sys.executable, "-m", "netdsl.cli", "serve")
HATCHERY = Path(__file__).parents[2] / "examples" / "hatchery" / "plant.netdsl"


async def measure(file: Path, words: str, wrong: str) -> tuple[float, float]:
    """Median and longest time, ms, until what is shown changed after one line was made wrong, and put right again."""
    times = []
    async with started(SERVER) as client, editor(client, file) as it:
        await it.shows(seconds=300)
        await asyncio.sleep(2)
        for number in range(EDITS):
            old, new = (words, wrong) if number % 2 == 0 else (wrong, words)
            it.put(old, new)  # finds its place before the clock is read
            begin = time.perf_counter()
            await it.client.wait_for_notification("textDocument/publishDiagnostics")
            times.append((time.perf_counter() - begin) * 1000)
    return statistics.median(times[1:]), max(times[1:])


def main() -> None:
    """Measure and print."""
    feeders = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    with tempfile.TemporaryDirectory() as folder:
        large = Path(folder) / "plant.netdsl"
        large.write_text(plant_text(feeders), "utf-8")
        for name, file in (("hatchery", HATCHERY), (f"{feeders} feeders", large)):
            median, longest = asyncio.run(measure(file, "-T1:U   to -M1:U1", "-T1:U   to -M1:U9"))
            print(f"{name}: median {median:.0f} ms, longest {longest:.0f} ms")


if __name__ == "__main__":
    main()
