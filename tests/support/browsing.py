"""A browser without scripts: it reads pages, follows links, and sends forms as they stand with what is typed over."""

import re
from dataclasses import dataclass, field
from functools import cached_property
from html.parser import HTMLParser
from urllib.parse import urljoin

from flask import session
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from app import register
from app.server import get_database
from app.web.signin import sign_ins
from tests.support import cast

_SILENT = {"head", "script", "style", "svg", "option"}


@dataclass
class FoundForm:
    """A form of a page: where it goes, and its fields as they stand."""

    action: str
    method: str
    fields: list[tuple[str, str]] = field(default_factory=list)
    names: set[str] = field(default_factory=set)

    def with_typed(self, typed: dict[str, str | list[str]]) -> dict[str, list[str]]:
        """Give what is sent when this is typed, chosen or ticked; a name that the form does not have is a mistake."""
        sent: dict[str, list[str]] = {}
        for name, standing in self.fields:
            sent.setdefault(name, []).append(standing)
        for name, value in typed.items():
            assert name in self.names, f"{name} is not in the form: {sorted(self.names)}"
            sent[name] = value if isinstance(value, list) else [value]
        return sent


@dataclass
class Page:
    """What a request gave: its status, its words, its forms and links, and where it is. It is read when asked for."""

    browser: "Browser"
    path: str
    status: int
    html: str

    @cached_property
    def words(self) -> str:
        """What a reader sees, with a blank for every gap."""
        return re.sub(r"\s+", " ", "".join(self._read.said)).strip()

    @property
    def forms(self) -> list[FoundForm]:
        """Its forms, in order."""
        return self._read.forms

    @property
    def links(self) -> list[tuple[str, str]]:
        """Where each of its links leads, and what it says."""
        return self._read.links

    @cached_property
    def _read(self) -> "_Reader":
        reader = _Reader(self.path)
        reader.feed(self.html)
        return reader

    def form(self, action: str = "") -> FoundForm:
        """Give the form that goes to a path that ends so; without one, the page's only form besides the header's."""
        found = [form for form in self.forms if form.action.endswith(action) and not form.action.endswith("/signout")]
        assert len(found) >= 1, f"no form at {self.path}"
        return found[0]

    def send(self, action: str = "", /, **typed: str | list[str]) -> "Page":
        """Send a form of this page as it stands, with what is typed over; redirects are followed."""
        form = self.form(action)
        return self.browser.send(form.action, form.with_typed(typed), method=form.method)

    def asks_about(self, rule: str) -> bool:
        """Whether this page asks for the corrective action about a finding of a rule."""
        return any(form.action.startswith(f"/findings/act?finding={rule}:") for form in self.forms)

    def follow(self, words: str) -> "Page":
        """Follow the first link that says so."""
        href = next(href for href, said in self.links if words in said)
        return self.browser.get(href)


class Browser:
    """One browser with its cookies."""

    def __init__(self, client: FlaskClient) -> None:
        self.client = client

    def get(self, path: str, **headers: str) -> Page:
        """Get a page; redirects are followed."""
        return self._page(self.client.get(path, headers=headers, follow_redirects=True))

    def send(self, path: str, fields: dict[str, list[str]], *, method: str = "post") -> Page:
        """Send a form; redirects are followed."""
        if method == "get":
            return self._page(self.client.get(path, query_string=fields, follow_redirects=True))
        return self._page(self.client.post(path, data=fields, follow_redirects=True))

    def sign_in(self, login: str) -> "Browser":
        """Begin a sign-in of one of the cast as the page does it; what the page asks, its own tests hold."""
        return self._begin(login, tablet=None)

    def be_at_tablet(self, login: str, tablet: str = "A") -> "Browser":
        """Make this browser an enrolled tablet with one of the cast at it, known by the PIN."""
        return self.enrol(tablet)._begin(login, tablet=tablet)

    def _begin(self, login: str, *, tablet: str | None) -> "Browser":
        code = "S2" if login in cast.STRANGERS else "S1"
        with self.client.session_transaction() as kept, self.client.application.test_request_context():
            session.update(kept)
            with get_database().reading() as database:
                person = register.get_person(database, register.get_site(database, code), login)
            sign_ins.sign_in(person, code, tablet=tablet)
            kept.clear()
            kept.update(session)
        return self

    def enrol(self, tablet: str = "A") -> "Browser":
        """Make this browser an enrolled tablet."""
        self.client.set_cookie("tablet", cast.token(tablet))
        return self

    def choose(self, login: str, pin: str = cast.PIN) -> Page:
        """On a tablet: choose a person and type the PIN."""
        form = next(form for form in self.get("/person").forms if "pin" in form.names)
        return self.send("/person", form.with_typed({"saver": login, "pin": pin}))

    def _page(self, answer: TestResponse) -> Page:
        path = answer.request.full_path.removesuffix("?")
        return Page(self, path, answer.status_code, answer.get_data(as_text=True))


class _Reader(HTMLParser):
    """Collects the words, links and forms of a page."""

    def __init__(self, path: str) -> None:
        super().__init__()
        self.path = path
        self.said: list[str] = []
        self.forms: list[FoundForm] = []
        self.links: list[tuple[str, str]] = []
        self._silent = 0
        self._form: FoundForm | None = None
        self._area: tuple[str, list[str]] | None = None
        self._select = ""
        self._link: tuple[str, int] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag in _SILENT:
            self._silent += 1
        if tag == "form":
            self._form = FoundForm(urljoin(self.path, given.get("action") or self.path), given.get("method") or "get")
            self.forms.append(self._form)
        elif tag == "a":
            self._link = (given.get("href") or "", len(self.said))
        elif self._form is not None:
            self._field(tag, given)

    def handle_endtag(self, tag: str) -> None:
        if tag in _SILENT:
            self._silent -= 1
        if tag == "form":
            self._form = None
        elif tag == "textarea" and self._form is not None and self._area is not None:
            self._form.fields.append((self._area[0], "".join(self._area[1]).removeprefix("\r\n")))
            self._area = None
        elif tag == "a" and self._link is not None:
            self.links.append((self._link[0], "".join(self.said[self._link[1] :])))
            self._link = None
        elif tag in ("p", "li", "div", "td", "th", "dt", "dd", "h1", "h2", "label", "span", "legend", "button"):
            self.said.append(" ")

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            self._area[1].append(data)
        if not self._silent:
            self.said.append(data)

    def _field(self, tag: str, given: dict[str, str | None]) -> None:
        assert self._form is not None
        name = given.get("name") or ""
        if tag in ("input", "select", "textarea", "button") and name:
            self._form.names.add(name)
        if tag == "textarea":
            self._area = (name, [])
        elif tag == "select":
            self._select = name
        elif tag == "option" and "selected" in given:
            self._form.fields.append((self._select, given.get("value") or ""))
        elif tag == "input" and name and self._is_sent(given):
            self._form.fields.append((name, given.get("value") or ""))

    @staticmethod
    def _is_sent(given: dict[str, str | None]) -> bool:
        return given.get("type") not in ("radio", "checkbox", "submit") or "checked" in given
