"""Accessibility of a page as the browser shows it: axe-core's rules for WCAG 2.2 AA, and targets for wet gloves."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

from playwright.sync_api import Page, expect

VERSION = "4.14.1"
"""Of axe-core, as published; its licence (MPL 2.0) lies beside it."""

_AXE = (Path(__file__).parent.parent / "browser" / "vendor" / "axe-core" / "axe.min.js").read_text("utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
_RUN = """async ([tags, rules]) => {
    const found = await axe.run({ runOnly: { type: "tag", values: tags }, rules, resultTypes: ["violations"] });
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


COLOURS = ["color-contrast", "link-in-text-block"]
"""The rules about colours: all that the dark can break, since it changes nothing but colours."""
_FOR_STEAM = MappingProxyType({"color-contrast": "color-contrast-enhanced"})
"""On a screen of the kitchen 7 to 1 is asked for (WCAG 2.2, 1.4.6), in the place of 4.5 to 1 (1.4.3)."""
_BROKEN = """async (rules) => {
    const found = await axe.run({ runOnly: { type: "rule", values: rules }, resultTypes: ["violations"] });
    return found.violations.flatMap((one) => one.nodes.map((node) => [one.id, node.html]));
}"""


def check(page: Page) -> None:
    """Assert that the page breaks no rule, in light and in the dark."""
    page.emulate_media(color_scheme="light")
    assert (broken := broken_in_both_schemes(page, is_kitchen=False)) == [], f"{page.url}: {broken}"
    small = page.evaluate(_SMALL, [_TARGETS, _SMALLEST])
    assert small == [], f"{page.url}: {small}"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{page.url} is wider than the screen"


_GLOVES, _BETWEEN = 64, 8
"""CSS pixels of a target on a screen of the kitchen, and between two: for wet gloves: common practice, no source
(WCAG 2.2, 2.5.5 at level AAA, asks for 44)."""

# A link within a sentence is no target of its own (WCAG 2.2, 2.5.8, inline); what is fixed lies over what scrolls.
_TOO_SMALL_OR_NEAR = """([gloves, between]) => {
    const sought = "a[href], button, input:not([type=hidden]), select, textarea, summary, label.choice, label.bird";
    const isInside = (one) => one.matches(".choice input, .bird input, .skip") || one.closest(".unseen");
    const isInSentence = (one) => one.tagName === "A" && getComputedStyle(one).display === "inline";
    const found = [...document.querySelectorAll(sought)]
        .filter((one) => one.checkVisibility() && !isInside(one) && !isInSentence(one))
        .map((one) => [one, one.getBoundingClientRect(), Boolean(one.closest(".bar"))]);
    const name = (one) => `${one.tagName}.${one.className} ${one.textContent.trim().slice(0, 30)}`;
    const small = found.filter(([_, box]) => Math.min(box.width, box.height) < gloves - 0.5)
        .map(([one, box]) => `${name(one)}: ${Math.round(box.width)} × ${Math.round(box.height)} px`);
    const near = found.flatMap(([one, box, isFixed], number) => found.slice(number + 1)
        .filter(([other, _, isOtherFixed]) => isFixed === isOtherFixed && !one.contains(other))
        .filter(([_, its]) => Math.hypot(
            Math.max(its.left - box.right, box.left - its.right, 0),
            Math.max(its.top - box.bottom, box.top - its.bottom, 0),
        ) < between - 0.5)
        .map(([other]) => `${name(one)} is too near to ${name(other)}`));
    return [...small, ...near];
}"""


def broken_in_both_schemes(page: Page, *, is_kitchen: bool) -> list[object]:
    """Give what the page breaks in the light, and with its colours in the dark; on a screen of the kitchen 7 to 1."""
    broken, _held = run_axe(page, stricter=_FOR_STEAM if is_kitchen else {})
    found: list[object] = [("light", rule, html) for rule, nodes in broken for html in nodes]
    page.emulate_media(color_scheme="dark")
    in_the_dark = page.evaluate(_BROKEN, [_FOR_STEAM.get(rule, rule) for rule in COLOURS] if is_kitchen else COLOURS)
    page.emulate_media(color_scheme="light")
    found += [("dark", rule, html) for rule, html in in_the_dark]
    return found


def targets_too_small_or_near(page: Page) -> list[str]:
    """Give what a wet glove would miss on a screen of the kitchen."""
    found: list[str] = page.evaluate(_TOO_SMALL_OR_NEAR, [_GLOVES, _BETWEEN])
    return found


def run_axe(
    page: Page, *, stricter: Mapping[str, str] = MappingProxyType({})
) -> tuple[list[tuple[str, Sequence[str]]], list[str]]:
    """Give the rules that the settled page breaks, with what breaks them, and the rules that it keeps.

    In the place of a rule that is a key of `stricter` its value is asked: it reports whatever the other would.
    """
    settle(page)
    page.evaluate(_AXE)
    asked = {rule: {"enabled": rule in stricter.values()} for rule in [*stricter, *stricter.values()]}
    found = page.evaluate(_RUN, [TAGS, asked])
    return [(rule, nodes) for rule, nodes in found["broken"]], found["held"]


def settle(page: Page) -> None:
    """Wait until the page is neither left, nor arriving, nor changing.

    A click ends when the next page's first bytes are there, or before that under load: axe would see half a page.
    """
    expect(page.locator("form[data-sent], [aria-busy=true]")).to_have_count(0)
    page.wait_for_load_state("load")
