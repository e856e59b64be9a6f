"""Words of what people answer for: checklists, charge, corrective actions, their review, signatures, notes."""

from zoneinfo import ZoneInfo

from app.kinds import ActionVerified, Checklist, CorrectiveAction, InChargeFrom, Note, Release, SignOff

from .. import measures, names, ways
from ..checks import answers_in_short, answers_words
from ..marking import N_
from ..marking import gettext as _
from .saying import parts, says


def _list(entry: Checklist, zone: ZoneInfo) -> str:
    return parts(names.list_word(entry.list), answers_in_short(entry.items))


@says(Checklist, N_("Checklist"), brief=_list)
def _checklist(entry: Checklist, zone: ZoneInfo) -> str:
    return parts(names.list_word(entry.list), answers_words(entry.items))


@says(InChargeFrom, N_("In charge from now"))
def _in_charge_from(entry: InChargeFrom, zone: ZoneInfo) -> str:
    return _("takes charge")


@says(CorrectiveAction, N_("Corrective action"))
def _corrective_action(entry: CorrectiveAction, zone: ZoneInfo) -> str:
    return _(
        "Cause: %(cause)s. Done: %(action)s. Food: %(disposition)s. To prevent it: %(prevention)s",
        cause=entry.cause.rstrip("."),
        action=entry.action.rstrip("."),
        disposition=ways.disposition_word(entry.disposition),
        prevention=entry.prevention,
    ) + (_(" Told: %(told)s", told=entry.told) if entry.told else "")


@says(ActionVerified, N_("Corrective action reviewed"))
def _action_verified(entry: ActionVerified, zone: ZoneInfo) -> str:
    return parts(names.outcome_word(entry.outcome), entry.remark or "")


@says(Release, N_("Food released"))
def _release(entry: Release, zone: ZoneInfo) -> str:
    return _("released. Basis: %(basis)s", basis=entry.basis)


@says(SignOff, N_("Sign-off"))
def _sign_off(entry: SignOff, zone: ZoneInfo) -> str:
    return parts(_("signed by %(name)s", name=entry.signer_name), measures.day_words(entry.day))


@says(Note, N_("Note"))
def _note(entry: Note, zone: ZoneInfo) -> str:
    return entry.text
