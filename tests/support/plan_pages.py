"""Changing a plan on its pages: a limit at a time, as `plan --set` types it, then adopting the next version."""

from tests.support import cast
from tests.support.browsing import Browser, Page

Typed = dict[str, str | list[str]]
AUTHORITY = "Cook County"


def change(browser: Browser, name: str, text: str, **more: str) -> Page:
    """Put one setting into the next version; `more` are further fields of its form, as far as it has them.

    A variance comes with an authority that gave it, where nobody says otherwise.
    """
    if more.get("variance"):
        more = {"variance_by": AUTHORITY} | more
    page = browser.get(f"/setup/plan/change/{name}")
    names = page.form(f"/change/{name}").names
    typed = _typed(names, name, text) | {field: said for field, said in more.items() if field in names}
    return page.send(f"/change/{name}", **typed)


def adopt(browser: Browser, *, password: str = cast.PASSWORD, **typed: str) -> Page:
    """Change settings and adopt the next version; gives the first page that refuses something."""
    fields = {name: typed[name] for name in ("variance", "authority") if name in typed}
    settings = {name: text for name, text in typed.items() if name not in fields}
    if "cook_table" in settings:
        pair, humidity = settings.pop("cook_table"), settings.pop("cook_humidity", "")
        page = _table(browser, pair, humidity, variance=fields.get("variance", ""))
        if page.status == 422:
            return page
    for name, text in settings.items():
        page = change(browser, name, text, variance=fields.get("variance", ""))
        if page.status == 422:
            return page
    return browser.get("/setup/plan/new").send("/setup/plan", password=password, **fields)


def _table(browser: Browser, pair: str, humidity: str, *, variance: str) -> Page:
    species, row, fat = [*pair.split(), "", "", ""][:3]
    typed = {"species": species, "row": row.rstrip("F"), "fat": fat.rstrip("%"), "variance": variance}
    typed |= {"variance_by": AUTHORITY} if variance else {}
    typed |= {"humidity": humidity} if humidity else {}
    return browser.get("/setup/plan/change/cook_table").send("/change/cook_table", **typed)


def _typed(names: set[str], name: str, text: str) -> Typed:
    if "number" in names:
        if name.endswith(("_min", "_s")):
            return {"number": text, "unit": name.rpartition("_")[2]}
        number = text.partition("/")[0]
        return {"number": number.rstrip("FC"), "unit": number[-1:] if number[-1:] in "FC" else "F"}
    if "line" in names:
        return {"line": text}
    items = [item for item in text.split(",") if item]
    if name.endswith("_checks"):
        return {
            "ticked": [item for item in items if item != "lid"],
            "own": "Lid of the fryer closed" * ("lid" in items),
        }
    return {"ticked": items}
