"""One Chromium for all browser tests; without it they say so and are skipped."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

FLAGS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --disable-dev-shm-usage"
)
Opened = Callable[..., Page]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if found is None:
        pytest.skip("no Chromium on this computer; install the package chromium to run the browser tests")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=FLAGS.split())
        yield browser
        browser.close()


@pytest.fixture
def opened(chromium: Browser, tmp_path: Path) -> Iterator[Opened]:
    """Opens a page's text from disk; at the end no console error, page error or request may have come up."""
    trouble: list[str] = []
    contexts: list[BrowserContext] = []

    def open_page(
        text: str, *, wide: int = 390, high: int = 844, scheme: str = "light", motion: str = "no-preference"
    ) -> Page:
        path = tmp_path / f"page-{len(contexts)}.html"
        path.write_text(text, encoding="utf-8")
        context = chromium.new_context(
            viewport={"width": wide, "height": high},
            color_scheme="dark" if scheme == "dark" else "light",
            reduced_motion="reduce" if motion == "reduce" else "no-preference",
        )
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: trouble.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: trouble.append(f"error: {error}"))
        page.on("dialog", lambda dialog: trouble.append(f"dialog: {dialog.message}"))
        page.on("request", lambda request: note(request.url, path.as_uri()))
        page.goto(path.as_uri())
        return page

    def note(address: str, own: str) -> None:
        if address != own and not address.startswith("data:"):
            trouble.append(f"request: {address}")

    yield open_page
    for context in contexts:
        context.close()
    assert trouble == []
