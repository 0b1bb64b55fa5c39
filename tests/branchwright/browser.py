"""A browser without a window, for tests that look at pages as people do: Debian's Chromium.

It is skipped where there is none; in CI, which installs it, a skip fails the run.
"""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

NAMES: Final = ("chromium-headless-shell", "chromium")
FLAGS: Final = ("--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
                "--disable-background-networking", "--disable-component-update",
                "--disable-dev-shm-usage")  # fmt: skip
DESKTOP, PHONE = (1280, 900), (390, 844)


def chromium() -> str:
    """Where the browser is."""
    found = os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)
    if found is None:
        pytest.skip(f"no {' or '.join(NAMES)} here: install one, or name it with CHROMIUM")
    return found


@contextmanager
def browsing() -> Iterator[Browser]:
    """A browser; its sandbox is off, since CI runs as root."""
    path = chromium()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=path, chromium_sandbox=False, args=list(FLAGS)
        )
        yield browser
        browser.close()


@contextmanager
def opened(browser: Browser, file: Path, *, scripts: bool = True) -> Iterator[Page]:
    """A page in a window; it must ask for nothing but itself."""
    asked: list[str] = []
    width, height = DESKTOP
    context = browser.new_context(
        viewport={"width": width, "height": height}, java_script_enabled=scripts
    )
    page = context.new_page()
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    yield page
    context.close()
    assert {url.partition("#")[0] for url in asked} == {file.as_uri()}
