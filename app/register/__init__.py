"""The register of a site: its people, equipment, plan versions, credentials, and how often somebody guessed.

Everything here takes the session and the time from its caller. Passwords and PINs are hashed before a writing
transaction is opened (`hash_password`, `hash_pin`), because hashing is slow and writers wait for each other.
"""

from app.rules.plans.adopted_values import setting_text

from .access_changes import AccessChange, access_changes, changes_to_tell
from .credentials import Bearer, find_credential, issue_tablet, issue_token, list_credentials, revoke_credential
from .equipment import add_equipment, find_equipment, list_equipment, retire_equipment
from .first_day import skip_step, skipped_steps, take_up_step
from .inspection_links import MOST_DAYS as MOST_LINK_DAYS
from .inspection_links import (
    OpenLink,
    issue_inspection_link,
    list_inspection_links,
    open_inspection_link,
    record_use,
    revoke_inspection_link,
)
from .inspection_links import list_uses as list_link_uses
from .mail_addresses import (
    MAILS,
    addresses_for,
    checked_address,
    forget_address,
    list_addresses,
    set_address,
    set_alarm_mail,
)
from .passwords import NO_PASSWORD, Hashed, hash_password, hash_pin
from .people import (
    add_person,
    check_password,
    check_pin,
    find_person,
    free_login,
    get_person,
    list_people,
    login_of,
    retire_person,
    set_certificate,
    set_password,
    set_pin,
    set_role,
    sites_of_login,
)
from .phrases import PARTS, find_phrases, forget_phrases, set_phrases
from .plan_drafts import Draft, drafted_words, find_draft, forget_draft, keep_draft, with_setting, without
from .plan_files import LARGEST_FILE, find_file, forget_files, keep_file
from .plans import OwnWords, adopt_plan, newest_plan, next_version, plan_in_force, settings_of
from .recording import COMMAND, Author
from .refused import Refused
from .relied_on import check_procedure
from .set_up_links import LinkState, issue_set_up_link, set_up_link_state, use_set_up_link
from .sign_ins import begin_sign_in, end_sign_in, has_shown_password, is_signed_in, show_password
from .sites import (
    BirdCost,
    accept_clock,
    add_site,
    change_site,
    find_bird_cost,
    find_site,
    free_site_code,
    get_site,
    hold_site,
    list_sites,
    set_bird_cost,
)
from .throttle import (
    NEVER_S,
    Guess,
    guess_wait_s,
    is_blocked,
    record_failure,
    record_guess,
    record_right_guess,
    record_success,
    spend,
    throttle_key,
    wait_s,
)
from .upgrading import write_down

__all__ = [
    "COMMAND",
    "LARGEST_FILE",
    "MAILS",
    "MOST_LINK_DAYS",
    "NEVER_S",
    "NO_PASSWORD",
    "PARTS",
    "AccessChange",
    "Author",
    "Bearer",
    "BirdCost",
    "Draft",
    "Guess",
    "Hashed",
    "LinkState",
    "OpenLink",
    "OwnWords",
    "Refused",
    "accept_clock",
    "access_changes",
    "add_equipment",
    "add_person",
    "add_site",
    "addresses_for",
    "adopt_plan",
    "begin_sign_in",
    "change_site",
    "changes_to_tell",
    "check_password",
    "check_pin",
    "check_procedure",
    "checked_address",
    "drafted_words",
    "end_sign_in",
    "find_bird_cost",
    "find_credential",
    "find_draft",
    "find_equipment",
    "find_file",
    "find_person",
    "find_phrases",
    "find_site",
    "forget_address",
    "forget_draft",
    "forget_files",
    "forget_phrases",
    "free_login",
    "free_site_code",
    "get_person",
    "get_site",
    "guess_wait_s",
    "has_shown_password",
    "hash_password",
    "hash_pin",
    "hold_site",
    "is_blocked",
    "is_signed_in",
    "issue_inspection_link",
    "issue_set_up_link",
    "issue_tablet",
    "issue_token",
    "keep_draft",
    "keep_file",
    "list_addresses",
    "list_credentials",
    "list_equipment",
    "list_inspection_links",
    "list_link_uses",
    "list_people",
    "list_sites",
    "login_of",
    "newest_plan",
    "next_version",
    "open_inspection_link",
    "plan_in_force",
    "record_failure",
    "record_guess",
    "record_right_guess",
    "record_success",
    "record_use",
    "retire_equipment",
    "retire_person",
    "revoke_credential",
    "revoke_inspection_link",
    "set_address",
    "set_alarm_mail",
    "set_bird_cost",
    "set_certificate",
    "set_password",
    "set_phrases",
    "set_pin",
    "set_role",
    "set_up_link_state",
    "setting_text",
    "settings_of",
    "show_password",
    "sites_of_login",
    "skip_step",
    "skipped_steps",
    "spend",
    "take_up_step",
    "throttle_key",
    "use_set_up_link",
    "wait_s",
    "with_setting",
    "without",
    "write_down",
]
