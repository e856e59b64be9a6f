"""What holds the pages to the rules of accessibility: the present axe-core, with the rules of WCAG 2.2 among them."""

import pytest
from playwright.sync_api import Page

from tests.support import accessibility

_PAGE = """<!doctype html><html lang="en"><title>Tray</title>
<main><h1>Tray</h1><form>{buttons}</form></main></html>"""
_NEAR = '<button style="all: revert; width: 12px; height: 12px; padding: 0; margin: 0" aria-label="{name}"></button>'
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
