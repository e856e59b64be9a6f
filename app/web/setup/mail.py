"""Who gets mail from the kitchen: what is overdue, the log of each signed day, each signed head of the ledger."""

from flask import Blueprint, current_app, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import SelectMultipleField, StringField
from wtforms.widgets import CheckboxInput, ListWidget

from app import clock, register
from app.kinds.permissions import Permission
from app.server import alarm_mail, get_database, jobs, mail

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin.identity import requires
from .index import kitchen, refusals_at

blueprint = Blueprint("mail", __name__, url_prefix="/setup/mail")


def _mails() -> dict[str, str]:
    return {
        "alarms": _("what is overdue"),
        "logs": _("the log of each signed day"),
        "heads": _("each signed head, to keep outside this house"),
    }


class AddressForm(PageForm):
    """An address and what it gets."""

    mail_address = StringField(_l("E-mail address"))
    mails = SelectMultipleField(
        _l("What is sent there"),
        choices=_mails,
        validate_choice=False,
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
    )


class PatienceForm(PageForm):
    """After how long overdue a mail is sent."""

    alarm_mail_min = StringField(_l("Minutes overdue before a mail is sent"))


@blueprint.get("")
@requires(Permission.READ_SETUP)
def index() -> ResponseReturnValue:
    """List the addresses, and the form for one more."""
    return _addresses(AddressForm.of_request())


@blueprint.post("")
@requires(Permission.KEEP_MAIL)
def change() -> ResponseReturnValue:
    """Add an address, or change what it gets."""
    form = AddressForm.of_request()
    with refusals_at(form):
        with get_database().writing() as session:
            address = register.set_address(
                session, kitchen(session), form.mail_address.data or "", form.mails.data or []
            )
        flash(_("%(address)s was set.", address=address))
        return redirect(url_for("mail.index"), 303)
    return _addresses(form, 422)


@blueprint.post("/overdue")
@requires(Permission.KEEP_MAIL)
def set_patience() -> ResponseReturnValue:
    """Set after how many minutes overdue a mail is sent, or that none is."""
    form = PatienceForm.of_request()
    with refusals_at(form):
        with get_database().writing() as session:
            site = kitchen(session)
            register.set_alarm_mail(site, form.alarm_mail_min.data or "")
            alarm_mail.watch(session, site, at=clock.utc_now())
            is_on = site.alarm_mail_min is not None
        flash(_("What is overdue is mailed.") if is_on else _("Nothing that is overdue is mailed."))
        return redirect(url_for("mail.index"), 303)
    return _addresses(AddressForm(), 422, patience=form)


@blueprint.post("/remove")
@requires(Permission.KEEP_MAIL)
def remove() -> ResponseReturnValue:
    """Send nothing to an address any more."""
    address = AddressForm.of_request().mail_address.data or ""
    with get_database().writing() as session:
        register.forget_address(session, kitchen(session), address)
    flash(_("%(address)s was removed.", address=address))
    return redirect(url_for("mail.index"), 303)


@blueprint.post("/test")
@requires(Permission.KEEP_MAIL)
def send_test() -> ResponseReturnValue:
    """Send a test message at once, so that what is wrong is seen by who can mend it."""
    form = AddressForm.of_request()
    with refusals_at(form):
        address = register.checked_address(form.mail_address.data or "")
        with get_database().reading() as session:
            name = kitchen(session).name
        try:
            mail.send(current_app.config, _test_message(name), to=[address])
        except mail.MailFailed as failed:
            form.refuse("mail_address", _("The test message was not sent: %(why)s", why=failed))
        else:
            flash(_("A test message was sent to %(address)s.", address=address))
            return redirect(url_for("mail.index"), 303)
    return _addresses(form, 422)


def _test_message(kitchen: str) -> mail.Message:
    lines = [
        _("This is a test message from the temperature log of %(kitchen)s.", kitchen=kitchen),
        _("Mail of the kitchen reaches this address. There is nothing to do."),
    ]
    return mail.Message(kitchen, _("Test message: %(kitchen)s", kitchen=kitchen), "\n\n".join(lines) + "\n")


def _addresses(form: AddressForm, status: int = 200, patience: PatienceForm | None = None) -> ResponseReturnValue:
    with get_database().reading() as session:
        site = kitchen(session)
        listed, failed = register.list_addresses(session, site), jobs.newest_failure(session)
        minutes = "" if site.alarm_mail_min is None else str(site.alarm_mail_min)
    has_server = mail.is_configured(current_app.config)
    view = {"listed": listed, "mails": _mails(), "has_server": has_server, "failed": failed}
    patience = patience or PatienceForm(data={"alarm_mail_min": minutes})
    return page("setup/mail.html", status, form=form, patience=patience, **view)
