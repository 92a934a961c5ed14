"""What a pattern costs in each stage, in one process: read, counted, rules, shown.

    python tests/benchmark/stages.py FOLDER

Prints the seconds of the processor for each, as JSON.  Run by ``run.py``.
"""

from __future__ import annotations

import json
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeVar

from proofhook.counting.tally import tally
from proofhook.garbage import look_seldom
from proofhook.proofing.house import House
from proofhook.proofing.plugins import load
from proofhook.proofing.proof import Proof, proof
from proofhook.reading import read
from proofhook.remembered import recall
from proofhook.showing.lines import proof_lines
from proofhook.text import decode

Made = TypeVar("Made")


def stages(folder: Path) -> dict[str, float]:
    """The seconds that all patterns of a folder take in each stage."""
    took: defaultdict[str, float] = defaultdict(float)
    house, rules = House(), load().rules

    def timed(stage: str, work: Callable[[], Made]) -> Made:
        began = time.process_time()
        made = work()
        took[stage] += time.process_time() - began
        return made

    def shown(done: Proof) -> str:
        return "".join(proof_lines(done))

    for path in sorted(folder.glob("*.txt")):
        source = timed("load", lambda path=path: decode(path.read_bytes(), str(path)))  # type: ignore[misc]
        pattern = timed("read", partial(read, source))
        counted = timed("count", partial(tally, pattern))
        done = timed("rules", partial(proof, pattern, counted, house, rules))
        timed("show", partial(shown, done))
    return dict(took)


if __name__ == "__main__":
    look_seldom()
    recall()
    print(json.dumps(stages(Path(sys.argv[1]))))
