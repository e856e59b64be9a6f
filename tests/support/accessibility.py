"""Accessibility of a page as the browser shows it: axe-core's rules for WCAG 2.2 AA, and targets for wet gloves."""

from importlib.resources import files

from playwright.sync_api import Page

_AXE = (files("axe_core_python") / "axe.min.js").read_text("utf-8")
_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
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
    page.evaluate(_AXE)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = page.evaluate("(tags) => axe.run({ runOnly: tags })", _TAGS)
        broken = [(one["id"], [node["html"] for node in one["nodes"]]) for one in found["violations"]]
        assert broken == [], f"{page.url} ({scheme}): {broken}"
    page.emulate_media(color_scheme="light")
    small = page.evaluate(_SMALL, [_TARGETS, _SMALLEST])
    assert small == [], f"{page.url}: {small}"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{page.url} is wider than the screen"
