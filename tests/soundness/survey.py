"""`python -m tests.soundness.survey FROM TO`: what is found in plants FROM to TO, and how often; `--text` prints their texts."""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from pathlib import Path

from netdsl.cli.work import judge
from netdsl.findings import Severity
from tests.soundness.plants import sound_plant


def main() -> None:
    first, last = int(sys.argv[1]), int(sys.argv[2])
    if "--text" in sys.argv:
        print("\n".join(sound_plant(seed) for seed in range(first, last)))
        return
    counts: Counter[str] = Counter()
    bad_plants = 0
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, last):
            file = Path(folder) / f"plant-{seed}.netdsl"
            file.write_text(sound_plant(seed), "utf-8")
            findings = judge(file).findings
            bad = [finding for finding in findings if finding.severity is not Severity.NOTE]
            counts.update(f"note {finding.rule}" for finding in findings if finding.severity is Severity.NOTE)
            bad_plants += bool(bad)
            for finding in bad[:4]:
                print(f"{seed}: {finding.span.begin[0]}: {finding.rule}: {finding.message[:220]}")
            counts.update(finding.rule for finding in bad)
    print(bad_plants, "of", last - first, dict(counts))


if __name__ == "__main__":
    main()
