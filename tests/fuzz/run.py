"""Try a law on inputs that a coverage-guided fuzzer makes up (Linux, ``pip install -e '.[fuzz]'``).

    python tests/fuzz/run.py reading                  ten minutes
    python tests/fuzz/run.py tidying --minutes 60 --work /tmp/fuzz

The inputs begin with the shipped patterns and style sheets, and with whatever lies in the
folders that ``PROOFHOOK_FUZZ_CORPUS`` names, set apart as in PATH.  They grow by words of the
trade.  What is new is kept in the work folder, so that a later run goes on from there.

Ends with 1 where a law was broken: the input is then in ``WORK/broken-…``.  Put it into
``tests/fuzz/found/LAW/`` with a name that says what it is about; ``test_fuzz.py`` tries it from
then on.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterator
from pathlib import Path

import atheris

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src"), str(ROOT / "rules")]

with atheris.instrument_imports(include=["proofhook", "proofhook_rules"]):
    from fuzz.laws import LAWS, held
    from fuzz.seeds import seeds
    from fuzz.words import dictionary

    # What is imported late is imported now, while it can be followed.
    for _name, _law in LAWS.items():
        _law(next(iter(seeds(_name))))

#: Inputs longer than this find little that shorter ones do not, and take much longer.
LONGEST = 2_000
#: Following every branch makes the program up to twenty times slower: seconds that a law may
#: compute, and after which by the clock an input counts as one that would never end.
MOST_SECONDS, ENDLESS = 60.0, 300
#: Megabytes of memory.
MOST_MEMORY = 1_500


def main() -> None:
    """Run the fuzzer; it ends the process."""
    parser = argparse.ArgumentParser(description="Try a law on made-up inputs.")
    parser.add_argument("law", choices=LAWS)
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--work", type=Path, default=Path("fuzz"), help="where inputs are kept")
    parser.add_argument("--runs", type=int, default=-1, help="end after so many inputs")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    corpus = asked.work / "inputs"
    corpus.mkdir(parents=True, exist_ok=True)
    words = asked.work / "words.txt"
    words.write_text("".join(entries(dictionary(asked.law))), "utf-8")
    for number, seed in enumerate(seeds(asked.law)):
        (corpus / f"seed-{number:04}").write_bytes(seed[:LONGEST])
    options = [
        str(corpus),
        f"-dict={words}",
        f"-artifact_prefix={asked.work}{os.sep}broken-",
        f"-max_total_time={round(asked.minutes * 60)}",
        f"-max_len={LONGEST}",
        f"-timeout={ENDLESS}",
        f"-rss_limit_mb={MOST_MEMORY}",
        f"-runs={asked.runs}",
        f"-seed={asked.seed}",
        "-print_final_stats=1",
    ]
    atheris.Setup([sys.argv[0], *options], lambda data: held(asked.law, data, MOST_SECONDS))
    atheris.Fuzz()


def entries(words: Iterator[str]) -> Iterator[str]:
    """Words in the form in which the fuzzer reads them."""
    for word in words:
        quoted = "".join(
            chr(byte) if 32 <= byte < 127 and chr(byte) not in '"\\' else f"\\x{byte:02x}"
            for byte in word.encode()
        )
        yield f'"{quoted}"\n'


if __name__ == "__main__":
    main()
