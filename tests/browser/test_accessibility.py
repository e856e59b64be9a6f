"""What holds the pages to the rules of accessibility: the present axe-core, with the rules of WCAG 2.2 among them."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.support import accessibility

_ROOT = Path(__file__).parents[2]
_STATIC = _ROOT / "app" / "static"
_PAGE = """<!doctype html><html lang="en"><title>Tray</title>
<main><h1>Tray</h1><form>{buttons}</form></main></html>"""
_NEAR = '<button style="all: revert; width: 12px; height: 12px; padding: 0; margin: 0" aria-label="{name}"></button>'
_FOR_GLOVES = '<button style="float: left; width: {size}px; height: {size}px; margin: 0 {gap}px 0 0">{name}</button>'
_LARGE = '<button style="width: 48px; height: 48px">{name}</button>'


def test_axe_is_the_one_that_lies_here(page: Page) -> None:
    accessibility.run_axe(page)
    assert page.evaluate("axe.version") == accessibility.VERSION


def test_the_rules_about_colours_are_all_that_axe_has(page: Page) -> None:
    accessibility.run_axe(page)
    asked = "(tags) => axe.getRules(tags).filter((rule) => rule.tags.includes('cat.color')).map((rule) => rule.ruleId)"
    assert sorted(page.evaluate(asked, accessibility.TAGS)) == accessibility.COLOURS


def test_the_dark_changes_nothing_but_colours() -> None:
    pages = [*_STATIC.glob("*.css"), *_STATIC.glob("*.js"), *(_ROOT / "templates").rglob("*.html")]
    said = "".join(path.read_text("utf-8") for path in pages)
    (dark,) = re.findall(r"@media \(prefers-color-scheme: dark\) \{\s*:root \{([^{}]+)\}\s*\}", said)
    assert re.fullmatch(r"(\s*--[a-z-]+: #[0-9a-f]{6};)+\s*", dark)
    assert said.count("prefers-color-scheme") == 1


def test_what_is_too_faint_in_the_dark_alone_is_reported(page: Page) -> None:
    style = "<style>@media (prefers-color-scheme: dark) { p { color: #333; background: #000 } }</style>"
    page.set_content(_PAGE.format(buttons=f"{style}<p>12:06</p>"))
    (found,) = accessibility.broken_in_both_schemes(page, is_kitchen=False)
    assert found == ("dark", "color-contrast", "<p>12:06</p>")
    with pytest.raises(AssertionError, match="dark"):
        accessibility.check(page)


def test_the_rule_of_wcag_2_2_about_targets_is_asked(page: Page) -> None:
    page.set_content(_PAGE.format(buttons=_LARGE.format(name="Pull") + _LARGE.format(name="Mend")))
    broken, held = accessibility.run_axe(page)
    assert (broken, "target-size" in held) == ([], True)


def test_targets_under_24_px_side_by_side_break_it(page: Page) -> None:
    page.set_content(_PAGE.format(buttons=_NEAR.format(name="Pull") + _NEAR.format(name="Mend")))
    broken, _held = accessibility.run_axe(page)
    assert [rule for rule, _nodes in broken] == ["target-size"]


def test_a_page_without_a_main_landmark_is_reported(page: Page) -> None:
    page.set_content(_PAGE.format(buttons="").replace("main>", "div>"))
    with pytest.raises(AssertionError, match="landmark-one-main"):
        accessibility.check(page)


def test_targets_for_gloves_are_large_and_apart(page: Page) -> None:
    buttons = _FOR_GLOVES.format(size=60, gap=8, name="Pull") + _FOR_GLOVES.format(size=64, gap=4, name="Mend")
    page.set_content(_PAGE.format(buttons=buttons + _FOR_GLOVES.format(size=64, gap=8, name="Probe")))
    assert accessibility.targets_too_small_or_near(page) == [
        "BUTTON. Pull: 60 × 60 px",
        "BUTTON. Mend is too near to BUTTON. Probe",
    ]


@pytest.mark.parametrize(("is_kitchen", "schemes"), [(True, ["light", "dark"]), (False, [])])
def test_in_the_kitchen_grey_on_white_is_too_faint(page: Page, is_kitchen: bool, schemes: list[str]) -> None:
    """#6b6b6b on white is 5.3 to 1: enough for WCAG 2.2, 1.4.3, too little for 1.4.6."""
    page.set_content(_PAGE.format(buttons='<p style="color: #6b6b6b; background: #fff">12:06</p>'))
    found = accessibility.broken_in_both_schemes(page, is_kitchen=is_kitchen)
    assert [scheme for scheme, rule, _html in found if rule == "color-contrast-enhanced"] == schemes
