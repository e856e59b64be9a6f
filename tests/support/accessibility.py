"""Accessibility of a page as the browser shows it: axe-core's rules for WCAG 2.2 AA, and targets for wet gloves."""

from collections.abc import Sequence
from pathlib import Path

from playwright.sync_api import Page, expect

VERSION = "4.14.1"
"""Of axe-core, as published; its licence (MPL 2.0) lies beside it."""

_AXE = (Path(__file__).parent.parent / "browser" / "vendor" / "axe-core" / "axe.min.js").read_text("utf-8")
_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
_RUN = """async (tags) => {
    const found = await axe.run({ runOnly: tags, resultTypes: ["violations"] });
    const broken = found.violations.map((one) => [one.id, one.nodes.map((node) => node.html)]);
    return { broken, held: found.passes.map((one) => one.id) };
}"""
_SMALLEST = 44
"""CSS pixels: 12 mm at 96 to the inch is 45; WCAG 2.2 (2.5.8) asks for 24."""

_TARGETS = "button, .button, .link-button, .tap, .choice, nav a, summary, textarea, select, input:not(.choice input)"
_SMALL = """([targets, smallest]) => [...document.querySelectorAll(targets)]
    .filter((one) => one.type !== "hidden" && one.checkVisibility())
    .map((one) => [one.outerHTML.slice(0, 120), one.getBoundingClientRect()])
    .filter(([_, box]) => box.height < smallest || box.width < smallest)
    .map(([html, box]) => [html, box.width, box.height])"""


def check(page: Page) -> None:
    """Assert that the page breaks no rule, in light and in the dark."""
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        broken, _held = run_axe(page)
        assert broken == [], f"{page.url} ({scheme}): {broken}"
    page.emulate_media(color_scheme="light")
    small = page.evaluate(_SMALL, [_TARGETS, _SMALLEST])
    assert small == [], f"{page.url}: {small}"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{page.url} is wider than the screen"


def run_axe(page: Page) -> tuple[list[tuple[str, Sequence[str]]], list[str]]:
    """Give the rules that the settled page breaks, with what breaks them, and the rules that it keeps."""
    settle(page)
    page.evaluate(_AXE)
    found = page.evaluate(_RUN, _TAGS)
    return [(rule, nodes) for rule, nodes in found["broken"]], found["held"]


def settle(page: Page) -> None:
    """Wait until the page is neither left, nor arriving, nor changing.

    A click ends when the next page's first bytes are there, or before that under load: axe would see half a page.
    """
    expect(page.locator("form[data-sent], [aria-busy=true]")).to_have_count(0)
    page.wait_for_load_state("load")
