"""Who may do what: permissions named for the act, and the one table from role to permissions.

Rules, ledger, register, pages, API and commands ask `may`; nothing outside this module compares a role with a name.
docs/access.md is made from these tables by docs/list_access.py.
"""

from collections.abc import Mapping
from enum import Enum, StrEnum, auto
from types import MappingProxyType


class Permission(StrEnum):
    """An act that a role may include; `says` is what docs/access.md calls it."""

    says: str

    def __new__(cls, value: str, says: str = "") -> "Permission":
        """Make a member; looking one up takes its value alone."""
        member = str.__new__(cls, value)
        member._value_, member.says = value, says
        return member

    RECORD_KITCHEN_ENTRY = "record_kitchen_entry", "write down what was read and done"
    MEND_ENTRY = "mend_entry", "mend own and others' entries with a reason"
    ANSWER_FINDING = "answer_finding", "answer a finding with a corrective action"
    TAKE_CHARGE = "take_charge", "take charge"
    REVIEW_ACTION = "review_action", "accept or send back corrective actions"
    RELEASE_FOOD = "release_food", "release food that was set aside"
    SIGN_DAY = "sign_day", "sign a day or a week, with the password again"
    WATCH_WORK = "watch_work", "write down work that was watched, and trainings"
    READ_RECORDS = "read_records", "trace food and see charts; with a token, read a day and its log"
    READ_DAY = "read_day", "read the pages of days, with what is owed, and printed logs"
    READ_LEDGER = "read_ledger", "read the chain and the whole ledger"
    READ_TRENDS = "read_trends", "trends of past days"
    READ_SETUP = "read_setup", "see how the kitchen is set up"
    KEEP_SITE = "keep_site", "set the kitchen's name, address, permit, height and time zone"
    KEEP_PEOPLE = "keep_people", "add and retire people, set their roles, passwords and PINs"
    KEEP_EQUIPMENT = "keep_equipment", "list and retire equipment"
    ADOPT_PLAN = "adopt_plan", "adopt a plan, with the password again"
    SET_BIRD_COST = "set_bird_cost", "set what a bird costs"
    KEEP_PHRASES = "keep_phrases", "set the phrases that corrective actions offer"
    KEEP_MAIL = "keep_mail", "choose who gets mail"
    KEEP_TABLETS_AND_TOKENS = "keep_tablets_and_tokens", "enrol tablets, issue tokens, end either"
    OWN_ACCOUNT = "own_account", "sign in; own password and PIN"


_KITCHEN = {Permission.RECORD_KITCHEN_ENTRY, Permission.MEND_ENTRY, Permission.ANSWER_FINDING}
_SETUP = {
    *(Permission.KEEP_SITE, Permission.KEEP_PEOPLE, Permission.KEEP_EQUIPMENT, Permission.ADOPT_PLAN),
    *(Permission.SET_BIRD_COST, Permission.KEEP_PHRASES, Permission.KEEP_MAIL, Permission.KEEP_TABLETS_AND_TOKENS),
}

ROLES: dict[str, frozenset[Permission]] = {
    "cook": frozenset({Permission.OWN_ACCOUNT, Permission.READ_RECORDS} | _KITCHEN),
    "in_charge": frozenset(Permission),
    "inspector": frozenset(
        {Permission.OWN_ACCOUNT, Permission.READ_RECORDS, Permission.READ_DAY, Permission.READ_LEDGER}
    ),
}
"""What each role may do. A new role is one line here; where its code is no word, app/words/names.py has one for it."""

FIRST_ROLE, USUAL_ROLE = "in_charge", "cook"
"""What a new kitchen's first person is, and what a new person is unless somebody says otherwise."""


class KnownBy(Enum):
    """What shows who somebody is."""

    PASSWORD = auto()
    PIN = auto()
    """Chosen by name on an enrolled tablet."""
    PIN_AGAIN = auto()
    """The same, with the PIN typed once more for this very act: `PIN_EACH_TIME` says which ask for it."""
    TOKEN = auto()
    """A person's token, for programs."""
    TABLET = auto()
    """A tablet's own credential: each entry names its person. The ledger also sees whoever chose a name by PIN so."""
    NOBODY = auto()
    """An enrolled tablet with nobody at it: it shows the work, and asks who it is when something is saved."""


LEFT_OUT: Mapping[KnownBy, frozenset[Permission]] = MappingProxyType(
    {
        KnownBy.PASSWORD: frozenset(),
        # A PIN is short and others stand beside the tablet. Signing asks for the password in any case.
        KnownBy.PIN: frozenset({Permission.REVIEW_ACTION, Permission.RELEASE_FOOD} | _SETUP),
        KnownBy.PIN_AGAIN: frozenset({Permission.REVIEW_ACTION} | _SETUP),
        KnownBy.TOKEN: frozenset({Permission.SIGN_DAY}),
        KnownBy.TABLET: frozenset(Permission) - _KITCHEN - {Permission.TAKE_CHARGE, Permission.WATCH_WORK},
        KnownBy.NOBODY: frozenset({Permission.OWN_ACCOUNT}),
    }
)
"""What somebody may not do although their role includes it, by what shows who they are."""

SHOWN_TO_NOBODY = USUAL_ROLE
"""An enrolled tablet with nobody at it shows what this role sees."""

PIN_EACH_TIME = frozenset({Permission.TAKE_CHARGE, Permission.RELEASE_FOOD})
"""At a tablet these want the PIN typed for the act itself, whoever is at it."""

ASKED_WHEN_SAVED = _KITCHEN | PIN_EACH_TIME
"""What a tablet with nobody at it lets be typed: who it is is asked when it is saved."""

WRITES: Mapping[str, Permission] = MappingProxyType(
    {
        "corrective_action": Permission.ANSWER_FINDING,
        "in_charge_from": Permission.TAKE_CHARGE,
        "action_verified": Permission.REVIEW_ACTION,
        "release": Permission.RELEASE_FOOD,
        "sign_off": Permission.SIGN_DAY,
        "week_sign_off": Permission.SIGN_DAY,
        "work_observed": Permission.WATCH_WORK,
        "training": Permission.WATCH_WORK,
        "plan_reassessed": Permission.ADOPT_PLAN,
    }
)
"""What writing an entry of a kind takes, where that is not `record_kitchen_entry`."""


def may(role: str | None, permission: Permission, known_by: KnownBy = KnownBy.PASSWORD) -> bool:
    """Whether somebody of this role may do this; a role that is not in the table may do nothing."""
    return permission in ROLES.get(role or "", frozenset()) and permission not in LEFT_OUT[known_by]


def works_by_pin(role: str) -> bool:
    """Whether name and PIN at a tablet are enough for all that this role is for: no password is needed then."""
    acts = ROLES.get(role, frozenset())
    of_password = LEFT_OUT[KnownBy.PIN_AGAIN] | {Permission.SIGN_DAY}
    return Permission.RECORD_KITCHEN_ENTRY in acts and not acts & of_password


def writing(kind: str) -> Permission:
    """Give what writing an entry of this kind takes."""
    return WRITES.get(kind, Permission.RECORD_KITCHEN_ENTRY)
