"""What every form of a page is: what was typed on a POST, else the presets; and its errors, each at its field."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TypeVar

from flask import request
from wtforms import Field, FieldList, Form, FormField

_SomeForm = TypeVar("_SomeForm", bound="PageForm")


@dataclass(frozen=True, slots=True)
class ErrorLine:
    """One error of a form: the id of its field (none: it is about the whole form) and its sentence."""

    id: str | None
    text: str


class PageForm(Form):
    """A form of a page: on a POST it holds what was typed, else the presets."""

    @classmethod
    def of_request(cls: type[_SomeForm], **presets: object) -> _SomeForm:
        """Give the form as it was sent, or with its presets: what a form leaves out is empty, not what stood there."""
        return cls(request.form) if request.method == "POST" else cls(data=presets)

    def refuse(self, name: str | None, text: str) -> None:
        """Put an error at a field; where the form does not have it, at the form as a whole."""
        field = next((field for field in _leaves(self) if field.name == name), None)
        if field is None or field.type == "HiddenField":
            self.form_errors.append(text)
        else:
            field.errors = [*field.errors, text]

    def errors_at(self) -> list[ErrorLine]:
        """Give all errors, in the order of the page."""
        whole = [ErrorLine(None, text) for text in self.form_errors]
        return whole + [ErrorLine(field.id, text) for field in _leaves(self) for text in field.errors]


def _leaves(fields: Iterable[Field]) -> Iterator[Field]:
    """Give every field that is typed into, those of rows too."""
    for field in fields:
        if isinstance(field, FieldList):
            yield from _leaves(field.entries)
        elif isinstance(field, FormField):
            yield from _leaves(field.form)
        else:
            yield field
