"""A hand at a tablet: it taps what is in sight, types on the pad, and counts what that costs it."""

from playwright.sync_api import Page, expect


class Hand:
    """A hand at tablet A: it counts what it taps beside the digits, and what the page makes it wait for."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps, self.loads = page, 0, 0
        page.on("load", lambda _page: self._loaded())

    def _loaded(self) -> None:
        self.loads += 1

    def tap(self, selector: str) -> None:
        """Tap what must be in sight."""
        target = self.page.locator(selector).first
        expect(target).to_be_in_viewport(ratio=1)
        target.click()
        self.taps += 1

    def type(self, number: str) -> None:
        for digit in number:
            key = self.page.locator(f"[data-pad] [data-key='{digit}']")
            expect(key).to_be_in_viewport(ratio=1)
            key.click()

    @property
    def scrolled(self) -> float:
        return float(self.page.evaluate("scrollY"))
