"""What holds the pages to the rules of accessibility: the present axe-core, with the rules of WCAG 2.2 among them."""

import pytest
from playwright.sync_api import Page

from tests.support import accessibility

_PAGE = """<!doctype html><html lang="en"><title>Tray</title>
<main><h1>Tray</h1><form>{buttons}</form></main></html>"""
_NEAR = '<button style="all: revert; width: 12px; height: 12px; padding: 0; margin: 0" aria-label="{name}"></button>'
_FOR_GLOVES = '<button style="float: left; width: {size}px; height: {size}px; margin: 0 {gap}px 0 0">{name}</button>'
_LARGE = '<button style="width: 48px; height: 48px">{name}</button>'


def test_axe_is_the_one_that_lies_here(page: Page) -> None:
    accessibility.run_axe(page)
    assert page.evaluate("axe.version") == accessibility.VERSION


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
