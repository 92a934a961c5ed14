"""Write the golden files and the sample outputs of all pages anew: ``python tests/renew.py``.

Run it after a change of what the commands print, and read the difference before it is kept:
every changed line is a change that people will see.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import rows_told
from golden import (
    GOLDEN,
    ROOT,
    WALKS,
    golden_file,
    golden_outputs,
    pattern_names,
    renewed,
    walked,
)


def write(path: Path, text: str) -> int:
    """Write a file where its text has changed; 1 if it has."""
    if path.exists() and path.read_text("utf-8") == text:
        return 0
    path.write_text(text, "utf-8")
    print(f"changed: {path.relative_to(ROOT)}")
    return 1


def main() -> int:
    GOLDEN.mkdir(exist_ok=True)
    wanted: set[Path] = set()
    changed = 0
    with tempfile.TemporaryDirectory() as folder:
        for pattern in pattern_names():
            for kind, text in golden_outputs(pattern, Path(folder)).items():
                wanted.add(golden_file(pattern, kind))
                changed += write(golden_file(pattern, kind), text)
        for page in (ROOT / "README.md", ROOT / "docs" / "translate.md"):
            changed += write(page, renewed(page.read_text("utf-8"), Path(folder)))
        for name in WALKS:
            page, place = ROOT / name, Path(folder) / "walks" / name
            changed += write(page, walked(page.read_text("utf-8"), Path(folder), place))
    rows_told.TOLD.mkdir(exist_ok=True)
    for path, text in rows_told.files().items():
        wanted.add(path)
        changed += write(path, text)
    for left_over in sorted({*GOLDEN.iterdir(), *rows_told.TOLD.iterdir()} - wanted):
        left_over.unlink()
        print(f"taken away: {left_over.relative_to(ROOT)}")
        changed += 1
    print(f"{changed} changed.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
