"""Starting a load: the start checks, the oven, and the spits as they were loaded last time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import BooleanField, FieldList, Form, FormField, HiddenField, RadioField, StringField

from app import ledger, words
from app.kinds import SpitLoaded
from app.kinds.permissions import Permission
from app.ledger import LastLoad
from app.rules.day.shown import Assessment
from app.rules.facts import Verdict
from app.server import get_database

from ..parts.forms import Draft, EntryForm, count, measured, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from .cooking import find_load
from .naming import propose_name
from .ovens import loads_in_ovens
from .readings import listed
from .running_day import assess_today, is_open
from .typed_names import is_new, whole_lot

blueprint = Blueprint("starting", __name__)

_ANSWERS: Mapping[str, bool | None] = {"yes": True, "no": False, "none": None}
_EMPTY_SPITS = 4
_MOST_SPITS = 40


def _answers() -> dict[str, str]:
    return {answer: words.check_answer(value) for answer, value in _ANSWERS.items()}


class SpitForm(Form):
    """One spit as it is loaded; without birds it is not used."""

    birds = StringField(_l("Birds"))
    lot = StringField(_l("Lot"))
    ties = StringField(_l("Ties"))
    skewers = StringField(_l("Skewers"))


class CheckForm(Form):
    """The answer to one start check; it is never preset."""

    item = HiddenField()
    answer = RadioField(_l("Answer"), choices=_answers, validate_choice=False)


class ChecksForm(EntryForm):
    """A form with a list of checks; one tap below the list says yes to all that have no answer of their own."""

    checks = FieldList(FormField(CheckForm))
    all_right = BooleanField(_l("All of these are right"))

    def answers(self) -> dict[str, bool | None]:
        """Give what was answered, item by item; an item without an answer is left out."""
        said = {row.form.item.data or "": row.form.answer.data for row in self.checks}
        if self.all_right.data:
            said = {item: answer or "yes" for item, answer in said.items()}
        return {item: _ANSWERS[answer] for item, answer in said.items() if answer in _ANSWERS}


class LoadStartedForm(ChecksForm):
    """A load with its start checks and all its spits: one form, entries that belong together."""

    load = StringField(_l("Name of the load"))
    oven = RadioField(_l("Oven"), validate_choice=False)
    spits = FieldList(FormField(SpitForm), max_entries=_MOST_SPITS)
    mean_weight = StringField(_l("Mean weight of a bird"))
    weight_unit = RadioField(_l("lb or kg"), choices={"lb": "lb", "kg": "kg"}, validate_choice=False)

    def entries(self) -> list[Draft]:
        """Give the start of the load and its spits as entries."""
        started = self.draft("load_started", load=self.load.data, oven=self.oven.data, checks=self.answers())
        weight = {"mean_weight": measured(self.mean_weight.data)}
        weight["weight_unit"] = self.weight_unit.data if weight["mean_weight"] else None
        return [started] + [
            self.draft("spit_loaded", index, load=started.get("load"), spit=number, **_loading(row.form), **weight)
            for index, (number, row) in enumerate(self._used(), start=1)
        ]

    def field_of(self, index: int, name: str) -> str:
        """Give the field of an error: of a spit's own row where it is the spit's."""
        if index == 0 or name in ("load", "mean_weight", "weight_unit", "observed_at"):
            return name
        number, _row = self._used()[index - 1]
        return f"spits-{number - 1}-{name}"

    def _used(self) -> list[tuple[int, "FormField[SpitForm]"]]:
        rows = enumerate(self.spits, start=1)
        return [(number, row) for number, row in rows if (row.form.birds.data or "").strip()]


class SpitLoadedForm(EntryForm):
    """One spit more, or another lot on a spit."""

    spit = StringField(_l("Spit"))
    birds = StringField(_l("Birds"))
    lot = StringField(_l("Lot"))
    ties = StringField(_l("Ties"))
    skewers = StringField(_l("Skewers"))


@dataclass(frozen=True, slots=True, kw_only=True)
class StartPage:
    """What the start of a load shows beside its form."""

    checks: Mapping[str, words.CheckWords]
    lots: tuple[str, ...]
    last: LastLoad | None
    """The load that the form is filled in by; None where it holds what was typed."""
    others: Sequence[str]
    """Free ovens whose own last load may be filled in instead."""
    can_grow: bool
    """Whether a line for one spit more can be added."""


@blueprint.route("/loads/new", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def load_started() -> ResponseReturnValue:
    """Start a load: its checks and spits, preset as the oven was loaded last time. A busy oven is not offered."""
    assessment = assess_today()
    busy = {load.oven for load in loads_in_ovens(assessment)}
    free = [oven.code for oven in listed(identity.current().site, "oven") if oven.code not in busy]
    loads = _last_loads(assessment)
    oven = _oven(free, loads)
    last = loads.get(oven or "") or next(iter(loads.values()), None)
    items = assessment.plan.items("start_checks")
    form = LoadStartedForm.of_request(load=propose_name("load"), oven=oven, **_presets(last, items))
    form.oven.choices = {code: code for code in free}
    wants_more = bool(request.form.get("more"))
    is_sent = request.method == "POST" and not wants_more
    if is_sent and _can_start(form, assessment) and recorded(form, form.entries()):
        flash(_("Load %(load)s is started.", load=words.short_name(form.load.data or "")))
        return redirect(_after_start(form.load.data or ""), 303)
    if wants_more and len(form.spits) < _MOST_SPITS:
        form.spits.append_entry()
    view = StartPage(
        checks={item: words.check_words(item) for item in items},
        lots=_lots(assessment),
        last=last if request.method == "GET" else None,
        others=[code for code in free if code in loads and code != oven],
        can_grow=len(form.spits) < _MOST_SPITS,
    )
    return page("cooking/load_started.html", 422 if form.errors_at() else 200, view=view, form=form)


def _can_start(form: LoadStartedForm, assessment: Assessment) -> bool:
    """Whether the name is a new one, and the oven free; a page may be older than a load that another tablet started."""
    there = next((one for one in loads_in_ovens(assessment) if one.oven == form.oven.data), None)
    if there is not None and there.load != form.load.data:
        named = {"oven": there.oven, "load": words.short_name(there.load)}
        form.refuse("oven", _("Load %(load)s is in the %(oven)s oven by now. Choose another oven.", **named))
        return False
    return is_new(form, "load", "load", form.load.data)


def _after_start(load: str) -> str:
    """Give where to go on: a check that was answered no asks at once what was done about it."""
    found = [one for one in assess_today().findings if one.rule == "start.checks" and one.subject.name == load]
    is_no = [one.key for one in found if one.verdict == Verdict.NOT_MET and is_open(one)]
    return url_for("findings.act", finding=is_no) if is_no else url_for("home.now")


@blueprint.route("/loads/<load>/spits/new", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def spit_loaded(load: str) -> ResponseReturnValue:
    """Load one spit more, or add birds of another lot to a spit."""
    assessment = assess_today()
    view = find_load(assessment, load)
    newest = view.spits[-1] if view.spits else None
    presets = {"birds": str(newest.birds), "lot": "".join(newest.lots[:1])} if newest else {}
    form = SpitLoadedForm.of_request(spit=str(newest.spit + 1 if newest else 1), **presets)
    draft = form.draft("spit_loaded", load=load, spit=count(form.spit.data), **_loading(form))
    if request.method == "POST" and recorded(form, [draft]):
        flash(_("Spit %(spit)s is loaded.", spit=draft["spit"]))
        return redirect(url_for("cooking.load_page", load=load), 303)
    status = 422 if form.errors_at() else 200
    return page("cooking/spit_loaded.html", status, view=view, form=form, lots=_lots(assessment))


def _loading(row: SpitForm | SpitLoadedForm) -> Draft:
    return {
        "birds": count(row.birds.data),
        "lot": whole_lot(row.lot.data),
        "ties": count(row.ties.data),
        "skewers": count(row.skewers.data),
    }


def _lots(assessment: Assessment) -> tuple[str, ...]:
    loaded = (lot for load in assessment.loads for spit in load.spits for lot in spit.lots)
    return tuple(dict.fromkeys([*(delivery.lot for delivery in assessment.receiving), *loaded]))


def _last_loads(assessment: Assessment) -> Mapping[str, LastLoad]:
    with get_database().reading() as session:
        return ledger.last_loads(session, identity.current().site.code, as_of=assessment.as_of)


def _oven(free: Sequence[str], last: Mapping[str, LastLoad]) -> str | None:
    """Give the free oven that is asked for, else the one used last, else the first; None where none is free."""
    wanted = [request.args.get("oven"), *last, *free]
    return next((oven for oven in wanted if oven in free), None)


def _presets(last: LastLoad | None, items: Sequence[str]) -> dict[str, object]:
    spits = last.spits if last else {}
    rows = range(1, ((last.last_spit if last else 0) or _EMPTY_SPITS) + 1)
    checks = [{"item": item} for item in items]
    return {"checks": checks, "spits": [_spit_presets(spits[row]) if row in spits else {} for row in rows]}


def _spit_presets(loadings: Sequence[SpitLoaded]) -> dict[str, str]:
    """Give all that was loaded on a spit; where two lots were on it, somebody says which it is now."""
    lots = {loading.lot for loading in loadings}
    counts = {name: [getattr(one, name) for one in loadings] for name in ("birds", "ties", "skewers")}
    given = {name: str(sum(filter(None, found))) for name, found in counts.items() if any(found)}
    lot = lots.pop() if len(lots) == 1 else None
    return given | ({"lot": lot} if lot else {})
