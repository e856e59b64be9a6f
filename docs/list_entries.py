"""Writes docs/entries.md anew from the kinds' own declarations, and what the glossary calls them.

Run: python -m docs.list_entries
"""

from pathlib import Path

from app import words
from app.kinds import REGISTER_KINDS
from app.kinds.compound import Items, Keys, Numbers, Object
from app.kinds.every_entry import FORMS, SET_BY_SERVER
from app.kinds.fields import Choice, Code, Count, Day, Flag, Id, Instant, Measured, Name, Text, Who
from app.kinds.form import Field, Form, form_of
from docs import list_rules

PAGE = Path(__file__).parent / "entries.md"

_HEAD = """# Kinds of entries

Made from `app/kinds` by `docs/list_entries.py`. Beside its own fields every entry has `id` (a UUID), `kind`,
`observed_at` (RFC 3339 with offset) and perhaps a `note`; an amendment has `amends` and `amend_reason`, a withdrawal
`withdrawn: true` and none of its own fields. A field marked with ? may be left out. A temperature has its `unit`.
What the server sets is refused from a client (`unknown`): {server}.
`identified` is what showed whose entry it is, where it came from a tablet's page: `pin`, or `recent` for the name alone
of somebody who was at that tablet within the last minutes.

| kind | what it says | fields |
|---|---|---|
"""


_REGISTER = """
# Kinds of the register

The program writes these itself, in the transaction that changes people, equipment, plan, site or credentials; a client
that posts one is refused (`forbidden` at `kind`). `via` is `session` or `command`; `person` is the login that did it,
left out where a command asks for none. No secret is ever in them. Each holds from its `recorded_at` on, or from
`holds_from`; `source` is `upgrade` where an upgrade wrote down what an older database said. They are of no business
day and are not mended. The first `site_set` and `plan_adopted` hold for all time before, and so do somebody's first
`person_set` and the equipment that was listed before the kitchen's first entry. The `values` of a plan are every limit
and setting that holds under it, as typed, with source, kind and date; `code` in one is what the code itself gave.

| kind | what it says | fields |
|---|---|---|
"""


def text() -> str:
    """Give the whole page."""
    kitchen = "".join(_line(kind) for kind in FORMS.values())
    server = ", ".join(f"`{name}`" for name in SET_BY_SERVER)
    register = "".join(_line(form_of(kind)) for kind in REGISTER_KINDS.values())
    return _HEAD.format(server=server) + kitchen + _REGISTER + register


def _line(kind: Form) -> str:
    fields = [_field(field) for field in kind.fields]
    for variants in kind.variants:
        for case, more in variants.cases.items():
            if more:
                fields.append(f"with {variants.by} {case}: " + ", ".join(_field(field) for field in more))
    return f"| `{kind.name}` | {words.kind_word(kind.name)} | {'; '.join(fields) or 'none'} |\n"


def _field(field: Field) -> str:
    return f"`{field.name}`{'' if field.required else '?'} ({_type(field)})"


def _type(field: Field) -> str:
    kind = field.type
    if isinstance(kind, Choice):
        return ", ".join(map(str, kind.values))
    if isinstance(kind, Measured):
        step = ", in quarters" if kind.step == 25 else ""
        return f"{'over ' if kind.over else ''}{kind.low} to {kind.high} {kind.unit}".strip() + step
    if isinstance(kind, Count):
        return f"{kind.low} to {kind.high}" if kind.step == 1 else " or ".join(map(str, kind.taken))
    if isinstance(kind, Code):
        return "code of a listed " + (" or ".join(kind.kinds) or "piece of equipment")
    if isinstance(kind, Object):
        return kind.says
    named = {Name: "name", Flag: "true or false", Id: "UUID", Instant: "instant", Day: "date", Items: "item → answer"}
    named |= {Keys: "findings' keys", Numbers: "list of bird numbers", Text: "text"}
    named |= {Who: "a sign-in name, or a name"}
    return named[type(kind)]


if __name__ == "__main__":
    PAGE.write_text(text(), "utf-8")
    list_rules.write()
