"""What the page of a route and the page of a shift have in common, for a reader in a browser."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

AXE = (Path(__file__).with_name("vendor") / "axe.min.js").read_text(encoding="utf-8")
SEEK = """time => {
  const slider = document.getElementById('time');
  slider.value = time;
  slider.dispatchEvent(new Event('input'));
}"""
# The tint below a floor point [m], as the canvas holds it: red, green, blue, alpha.
TINT = """([x, y]) => {
  const [svg, canvas] = [document.querySelector('.plan'), document.getElementById('tint')];
  const at = new DOMPoint(x + 1.5, 26 + 1.5 - y).matrixTransform(svg.getScreenCTM());
  const box = canvas.getBoundingClientRect();
  const dots = canvas.width / box.width;
  return [...canvas.getContext('2d').getImageData((at.x - box.left) * dots, (at.y - box.top) * dots, 1, 1).data];
}"""
SMALL = """[...document.querySelectorAll('button, summary, input, select')].filter(each => {
  const box = each.getBoundingClientRect();
  return box.width > 0 && (box.width < 48 || box.height < 48);
}).map(each => each.outerHTML.slice(0, 80))"""
FAULTS = """async () => (await axe.run(document, { rules: {
  'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true },
} })).violations.map(({ id, nodes }) => ({ id, nodes: nodes.map(node => node.html.slice(0, 120)) }))"""
GROUND = "getComputedStyle(document.body).backgroundColor"
DARK = "rgb(18, 22, 21)"


def seek(page: Page, time_s: float) -> None:
    """Move the slider to a time of the night."""
    page.evaluate(SEEK, time_s)


def shown_time(page: Page) -> float:
    """The time of the night that is shown [s]."""
    return float(page.evaluate("Number(document.getElementById('time').value)"))


def until_time(page: Page, time_s: float) -> None:
    """Wait while the page plays up to a time of the night."""
    # The page's own policy forbids the evaluated strings of wait_for_function.
    for _ in range(300):
        if shown_time(page) >= time_s:
            return
        page.wait_for_timeout(50)
    pytest.fail(f"the time never came to {time_s} s")


def unfold(page: Page) -> None:
    """Open all that is folded."""
    for each in page.locator("summary").all():
        each.click()


def sticks_out(page: Page, wide: int) -> list[Any]:
    """In either light, whether the page is wider than the screen, and what is too small for a glove."""
    found = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        assert (page.evaluate(GROUND) == DARK) == (scheme == "dark")
        if page.evaluate("document.documentElement.scrollWidth") > wide:
            found.append(f"wider than {wide} px, {scheme}")
        found += page.evaluate(SMALL)
    return found


def faults(page: Page) -> list[dict[str, Any]]:
    """What keeps somebody from reading the unfolded page, with a block touched."""
    unfold(page)
    page.locator("button.step").nth(1).click()
    page.evaluate(AXE)
    found: list[dict[str, Any]] = page.evaluate(FAULTS)
    return found
