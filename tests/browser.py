"""A real browser for the tests of pages: headless Chromium, where the machine has one."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PROGRAMS = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
PHONE, DESKTOP = {"width": 390, "height": 844}, {"width": 1280, "height": 900}

#: The tests of pages are left out where there is nothing to open them with.
needs_browser = pytest.mark.skipif(
    not any(map(shutil.which, PROGRAMS)),
    reason="Chromium is not installed (Debian: apt-get install chromium)",
)


@contextmanager
def launched() -> Iterator[Browser]:
    """The browser, for as long as it is needed."""
    from playwright.sync_api import sync_playwright

    program = next(path for path in map(shutil.which, PROGRAMS) if path)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def opened(
    browser: Browser,
    path: Path,
    *,
    phone: bool = False,
    dark: bool = False,
    printed: bool = False,
) -> Iterator[Page]:
    """A page in a browser of that kind; asking for anything but the page itself fails."""
    context = browser.new_context(
        viewport=PHONE if phone else DESKTOP,  # type: ignore[arg-type]
        color_scheme="dark" if dark else "light",
    )
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    if printed:
        page.emulate_media(media="print")
    page.goto(path.as_uri())
    try:
        yield page
        assert asked == [path.as_uri()]
    finally:
        context.close()
