"""The blank paper form, and typing in what was written on it: with the real times, and a remark that says so."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from types import MappingProxyType
from typing import Any, cast
from uuid import UUID, uuid4, uuid5

from flask import Blueprint, Response, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import FieldList, Form, FormField, HiddenField, RadioField, SelectField, StringField

from app import clock, ledger, logs, words
from app.kinds.permissions import Permission
from app.ledger import FieldError
from app.logs.blank_form import SECTIONS, column_word, missing_equipment, section_word
from app.rules.facts import Site
from app.rules.plans.plan import Plan
from app.server import get_database
from app.server.site_lock import writing_to

from ..parts.forms import Draft, clock_told, count, instant_text, kept, local_instant, local_text, measured, quarters
from ..parts.page_form import ErrorLine, PageForm
from ..parts.pages import page
from ..signin import identity, saver
from ..signin.identity import requires
from . import paper_rows, running_day, unlikely_on_paper
from .readings import listed, usual_unit

blueprint = Blueprint("from_paper", __name__)

_ROWS = {"loads": 2, "spits": 4, "readings": 8, "pulls": 4, "trays": 8, "out": 4, "cooling": 4, "units": 4, "probes": 2}
"""Empty rows of each table; what is more is typed after saving."""
_MOST_ROWS = 60
_CHOSEN = ("oven", "checks", "place", "probe", "hot_unit", "to", "unit_code", "of")
"""Columns in which one of a few is chosen."""
_WAYS = ("served", "discarded", "chilled", "prepared")
_READ: Mapping[str, Callable[[str | None], Any]] = {"spit": count, "bird": count, "birds": quarters}
_ONE_DAY, _OLDEST = timedelta(days=1), timedelta(days=366)
_TAKES = frozenset({Permission.RECORD_KITCHEN_ENTRY})
_ANSWER = "answer"
"""What was answered about an unlikely reading of a row."""


def _row_form(columns: Sequence[str]) -> type[Form]:
    fields = {
        name: SelectField(validate_choice=False, default="") if name in _CHOSEN else StringField() for name in columns
    }
    if "temperature" in columns:
        fields[_ANSWER] = StringField()
    return type("RowForm", (Form,), fields)


class FromPaperForm(PageForm):
    """The paper form as it is typed in: a table each, as many rows as were sent."""

    entry_id = HiddenField(default=lambda: str(uuid4()))
    """The one-use key: however often the form is sent, it makes one record of each row."""
    day = StringField(_l("Day"))
    writer = SelectField(_l("Written by"), validate_choice=False)
    unit = RadioField(_l("Probes with both scales were read in"), choices={"F": "°F", "C": "°C"}, validate_choice=False)

    asked: Mapping[str, unlikely_on_paper.Question] = MappingProxyType({})
    """What is asked about readings, by the row that they stand in."""

    def errors_at(self) -> list[ErrorLine]:
        """Give all errors, each with its table and row."""
        return [paper_rows.placed(line) for line in super().errors_at()]


for _name, _section in SECTIONS.items():
    _rows = FieldList(FormField(_row_form(_section.columns)), min_entries=_ROWS[_name], max_entries=_MOST_ROWS)
    setattr(FromPaperForm, _name, _rows)


@dataclass(frozen=True, slots=True)
class Row:
    """A row in which something was typed: where it stands, and when it was seen."""

    section: str
    number: int
    form: Form
    seen: datetime

    @property
    def place(self) -> str:
        """By what its fields are called."""
        return f"{self.section}-{self.number}"


@dataclass(frozen=True, slots=True)
class Table:
    """A table as the page shows it."""

    title: str
    columns: Sequence[str]
    rows: "FieldList[FormField[Form]]"


@blueprint.get("/paper-form.pdf")
@requires(Permission.READ_RECORDS)
def blank() -> ResponseReturnValue:
    """Give the blank form, made from the plan in force."""
    site, plan, now = *_here(), clock.utc_now()
    headers = {"Content-Disposition": f'inline; filename="{site.code}-paper-form.pdf"'}
    return Response(logs.write_blank_form(site, plan, at=now), mimetype="application/pdf", headers=headers)


@blueprint.route("/from-paper", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def type_in() -> ResponseReturnValue:
    """Type in what was written on paper: all that was typed is kept, or nothing of it."""
    site, plan = _here()
    form = FromPaperForm.of_request(day=running_day.today().isoformat(), unit=usual_unit())
    _offer(form, site)
    if request.method == "POST" and (saved := _saved(form, site, plan)):
        flash(paper_rows.saved_words(saved))
        return redirect(url_for("from_paper.type_in"), 303)
    tables = [Table(section_word(name), SECTIONS[name].columns, _table_of(form, name)) for name in SECTIONS]
    status = 422 if form.errors_at() else 200
    shown = {"column_word": column_word, "missing": missing_equipment(site)}
    return page("mending/from_paper.html", status, form=form, tables=tables, **shown)


def _here() -> tuple[Site, Plan]:
    """Give the kitchen and the plan in force now."""
    with get_database().reading() as session:
        calendar = ledger.calendar_of(session, identity.current().site.code)
        return identity.current().site, calendar.plan_at(running_day.now_here(session))


def _offer(form: FromPaperForm, site: Site) -> None:
    """Give every row what can be chosen in it."""
    choices = {
        **{kind: [item.code for item in listed(site, kind)] for kind in ("oven", "probe", "hot_unit")},
        "unit_code": [item.code for kind in ("cold_unit", "hot_unit") for item in listed(site, kind)],
    }
    offered: dict[str, dict[str, str]] = {name: {code: code for code in codes} for name, codes in choices.items()}
    offered["checks"] = {"yes": _("yes")}
    offered["place"] = {one: words.place_word(one) for one in ("breast", "thigh")}
    offered["of"] = {one: words.measured_of_word(one) for one in ("air", "food")}
    offered["to"] = {one: words.to_word(one) for one in _WAYS}
    for _section, _number, row in _all_rows(form):
        for name in _CHOSEN:
            if name in row:
                cast(SelectField, row[name]).choices = {"": "", **offered[name]}
    people = (person for person in site.people.values() if person.retired_at is None)
    form.writer.choices = {"": _("whoever types it in"), **{person.name: person.name for person in people}}


def _table_of(form: FromPaperForm, name: str) -> "FieldList[FormField[Form]]":
    return cast("FieldList[FormField[Form]]", form[name])


def _all_rows(form: FromPaperForm) -> Iterator[tuple[str, int, Form]]:
    for name in SECTIONS:
        for number, row in enumerate(_table_of(form, name)):
            yield name, number, row.form


def _saved(form: FromPaperForm, site: Site, plan: Plan) -> int:
    """Keep every row in which something was typed; give how many. 0 with the errors at their places."""
    rows = _rows_of(form, site, plan)
    if not rows and not form.errors_at():
        form.refuse(None, _("Nothing is typed yet. Type at least one row."))
    if form.errors_at():
        return 0
    drafts = [_answered(row, _draft(form, row, site, plan)) for row in rows]
    by = saver.who_saves(_TAKES)
    with clock_told(form):
        if not _are_likely(form, rows, drafts):
            return 0
        if isinstance(by, saver.WhoForm):
            _ask_who(form, rows, drafts, by)
        else:
            with writing_to(site.code) as (session, now):
                results = ledger.append(session, site.code, drafts, by=by, at=now, together=True)
            for row, result in zip(rows, results, strict=True):
                _show_errors(form, row, result.errors)
    return 0 if form.errors_at() else len(rows)


def _ask_who(form: FromPaperForm, rows: Sequence[Row], drafts: Sequence[Draft], who: saver.WhoForm) -> None:
    """At a tablet where nobody said yet who they are: ask, once all of it can be kept."""
    looked_at = unlikely_on_paper.rehearsed(drafts)
    for row, (_entry, errors) in zip(rows, looked_at, strict=True):
        _show_errors(form, row, errors)
    if not form.errors_at():
        saver.ask(who, [entry for entry, _errors in looked_at if entry is not None], _TAKES)


def _answered(row: Row, draft: Draft) -> Draft:
    return unlikely_on_paper.answered(draft, row.form[_ANSWER].data or "") if _ANSWER in row.form else draft


def _are_likely(form: FromPaperForm, rows: Sequence[Row], drafts: Sequence[Draft]) -> bool:
    """Whether nothing is asked about the readings, or all of it was answered; each question stands at its row."""
    of_rows = {row.place: draft for row, draft in zip(rows, drafts, strict=True)}
    form.asked = unlikely_on_paper.asked_of(of_rows, day=date.fromisoformat(form.day.data or ""))
    for place, question in form.asked.items():
        for sentence in question.sentences:
            form.refuse(f"{place}-temperature", sentence)
    return not form.asked


def _rows_of(form: FromPaperForm, site: Site, plan: Plan) -> list[Row]:
    """Give the rows in which something was typed in order of time; a time left out is that of the row above."""
    day, found, above = _day_of(form), [], ""
    for section, number, row in _all_rows(form):
        above = "" if number == 0 else above
        if not any(str(field.data or "").strip() for name, field in row._fields.items() if name != _ANSWER):
            continue
        above = (row["time"].data or "").strip() or above
        seen = _seen(above, day, site, plan) if day else None
        if seen is None and day:
            form.refuse(f"{section}-{number}-time", _("Write the time like this: 15:39."))
        elif seen is not None:
            found.append(Row(section, number, row, seen))
    return sorted(found, key=lambda row: row.seen)  # of one moment in the order of the paper


def _day_of(form: FromPaperForm) -> date | None:
    today = running_day.today()
    try:
        day = date.fromisoformat(form.day.data or "")
    except ValueError:
        wrong = _("This is not a day. Write it like this: 2026-04-14.")
    else:
        if today - _OLDEST <= day <= today:
            return day
        old = _("This day is more than a year ago. Check the year.")
        wrong = _("This day has not come yet.") if day > today else old
    form.refuse("day", wrong)
    return None


def _seen(text: str, day: date, site: Site, plan: Plan) -> datetime | None:
    """Give the instant of a time of a business day: what comes before the day's start is of the night after."""
    try:
        at = time.fromisoformat(text)
    except ValueError:
        return None
    on = day + _ONE_DAY if at < plan.limits.day_starts else day
    seen = local_instant(f"{on.isoformat()}T{at:%H:%M}", site.timezone)
    # A time that the clocks skipped that night did not come.
    return seen if seen and local_text(seen, site.timezone).endswith(f"{at:%H:%M}") else None


def _draft(form: FromPaperForm, row: Row, site: Site, plan: Plan) -> Draft:
    """Give a row as the ledger takes it."""
    texts = {name: row.form[name].data for name in _typed_columns(row)}
    typed = {name: kept(_READ[name](text) if name in _READ else text) for name, text in texts.items()}
    draft: Draft = {"id": _id(form, row), "kind": SECTIONS[row.section].kind, "observed_at": instant_text(row.seen)}
    draft |= {name: value for name, value in typed.items() if value is not None}
    if "checks" in row.form:
        draft["checks"] = dict.fromkeys(plan.items("start_checks"), True) if row.form["checks"].data else {}
    if "temperature" in row.form:
        draft |= _reading(form, row, site)
    if row.section == "probes":
        draft |= {"method": "ice_point", "adjusted": False}
    return {**draft, "note": _remark(form)}


def _typed_columns(row: Row) -> list[str]:
    return [name for name in SECTIONS[row.section].columns if name not in ("time", "checks", "temperature")]


def _reading(form: FromPaperForm, row: Row, site: Site) -> Draft:
    """Give the reading of a row in the scale of its probe, or that in which the others were read."""
    probe = site.equipment.get(row.form["probe"].data or "") if "probe" in row.form else None
    unit = probe.scale if probe and probe.scale in ("F", "C") else form.unit.data
    number = measured(row.form["temperature"].data)
    return {"temperature": number, "unit": unit} if number else {}


def _remark(form: FromPaperForm) -> str:
    """Say in the entry that it was written on paper first, and by whom."""
    name = (form.writer.data or "").strip()
    return str(_("From the paper form, written by %(name)s.", name=name) if name else _("From the paper form."))


def _id(form: FromPaperForm, row: Row) -> str:
    try:
        return str(uuid5(UUID(form.entry_id.data or ""), row.place))
    except ValueError:
        return ""  # not a key of ours: the ledger says so


def _show_errors(form: FromPaperForm, row: Row, errors: Sequence[FieldError]) -> None:
    named = {error.field for error in errors}
    for error in errors:
        # Another row has the error that is to be mended; a reading that lacks explains why its scale does.
        if error.code == "together" or (error.field == "unit" and "temperature" in named):
            continue
        name = "time" if error.values.get("why") == "before_opener" else error.field
        place: str = row.form[name if name in row.form else "time"].name
        form.refuse(place, words.error_words(error.field, error.code, error.values))
