"""Make the pictures of docs/pictures anew: ``python docs/renew_screenshots.py``.

They show the page on a terminal and the proof sheet, as a browser shows them.  Needs Chromium and
the packages of the extra ``test``.
"""

from __future__ import annotations

import html
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]
PICTURES = ROOT / "docs" / "pictures"
LOAF = "fixtures/patterns/cottage-loaf.txt"
WAISTCOAT = "fixtures/patterns/early-shift-waistcoat.txt"
MOST_BYTES = 150_000

#: What the codes of a terminal's colours come to on a dark ground.
COLOURS = {"31": "#ff8f80", "32": "#8fcf9f", "35": "#e6a5e6", "36": "#86d3dc"}
CODE = re.compile(r"\x1b\[([\d;]*)m")
TERMINAL = """<!DOCTYPE html><meta charset="utf-8"><title>page</title><style>
body {{ margin: 0; background: #1d1b19 }}
pre {{ margin: 0; padding: 20px 24px; width: max-content; color: #e6dfd3;
  font: 15px/1.4 "DejaVu Sans Mono", monospace }}
</style><pre>{}</pre>"""


class Shot(NamedTuple):
    """A picture: its name, its page, how wide the window is, what is shown, and in which light."""

    name: str
    page: str
    width: int
    begin: str
    height: int
    dark: bool = False


SHOTS = (
    Shot("page", "page.html", 800, "pre", 620),
    Shot("sheet", "loaf.html", 1180, "body", 690),
    Shot("sheet-text", "loaf.html", 1060, "#l34", 520),
    Shot("sheet-shaping", "loaf.html", 1060, "#counts", 640),
    Shot("sheet-sizes-dark", "waistcoat.html", 1180, "section.piece:nth-of-type(3)", 520, True),
    Shot("sheet-phone", "loaf.html", 390, "#l34", 700),
)


def main() -> int:
    """Make every picture; 1 where one cannot be made or is too large."""
    from playwright.sync_api import sync_playwright

    program = shutil.which("chromium") or shutil.which("google-chrome")
    if not program:
        print("Chromium is not installed; no picture was made.", file=sys.stderr)
        return 1
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        _pages(Path(folder))
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        for shot in SHOTS:
            page = browser.new_page(
                viewport={"width": shot.width, "height": shot.height},
                color_scheme="dark" if shot.dark else "light",
            )
            page.goto((Path(folder) / shot.page).as_uri())
            top = page.locator(shot.begin).first.evaluate("e => e.getBoundingClientRect().top")
            page.evaluate("y => scrollTo(0, y)", max(0, top - 24))
            made = page.screenshot()
            if len(made) > MOST_BYTES:
                print(f"{shot.name}: {len(made)} bytes is too large.", file=sys.stderr)
                return 1
            (PICTURES / f"{shot.name}.png").write_bytes(made)
            print(f"{shot.name}.png: {len(made)} bytes")
            page.close()
        browser.close()
    return 0


def _pages(folder: Path) -> None:
    """The pages that the pictures are taken of."""
    for name, pattern in (("loaf", LOAF), ("waistcoat", WAISTCOAT)):
        _proofhook("sheet", pattern, "-o", str(folder / f"{name}.html"))
    # A terminal is made up: the command colours its page on nothing else.
    code = (
        "from proofhook.showing.ink import Paper; from proofhook.showing.page import page; "
        "from proofhook.desk import Desk; import sys\n"
        f"for proof in Desk().proofs([{LOAF!r}]): print('\\n'.join(page(proof, Paper(80, True))))"
    )
    shown = "".join(_coloured(_run("-c", code)))
    (folder / "page.html").write_text(TERMINAL.format(shown), "utf-8")


def _proofhook(*arguments: str) -> str:
    return _run("-m", "proofhook", *arguments)


def _run(*arguments: str) -> str:
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT / "rules")])
    environment = {**os.environ, "PYTHONPATH": paths, "SOURCE_DATE_EPOCH": "1767225600"}
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT, env=environment, capture_output=True, encoding="utf-8", check=True,
    )  # fmt: skip
    return done.stdout


def _coloured(text: str) -> Iterator[str]:
    """The text of a terminal as HTML."""
    parts = CODE.split(text)
    yield html.escape(parts[0])
    for codes, words in zip(parts[1::2], parts[2::2], strict=True):
        yield f'<span style="{_style(codes.split(";"))}">{html.escape(words)}</span>'


def _style(codes: list[str]) -> str:
    style = {"1": "font-weight: bold", "2": "opacity: .7", "4": "text-decoration: underline",
             "9": "text-decoration: line-through"}  # fmt: skip
    wanted = [style[code] for code in codes if code in style]
    wanted += [f"color: {COLOURS[code]}" for code in codes if code in COLOURS]
    return "; ".join(wanted)


if __name__ == "__main__":
    sys.exit(main())
