"""Every sentence that people read about the records, in the reader's language, for screens, API, commands and paper.

`words.verdict_word(…)`, `words.finding_words(…)`, `words.error_words(…)`: a code and values in, words out. Without a
request or an app these give plain English. Records are never called more than what they show.
"""

from .access_changes import access_change_words
from .alarms import alarm_words, asks_word, heard_answers, silenced_words, silencing_phrases
from .chain import broken_words, clock_behind_words, clock_set_words, clock_to_set_words
from .checks import (
    CheckWords,
    cautions,
    check_answer,
    check_words,
    gas_caution,
    own_checks,
    show_own_checks,
    usual_checks,
)
from .clock import by_clock, clock_hours, show_clock, show_usual_clock, time_of_day
from .codes import code_word
from .entries import EntryWords, entry_words, line_words
from .errors import error_words
from .fields import field_word, result_word
from .findings import FindingWords, finding_words, rule_word
from .forecasts import forecast_basis, forecast_words
from .kinds import kind_cautions, kind_word
from .limit_sentences import limit_sentence
from .meanings import band_words, reading_words
from .measures import (
    bird_count,
    birds,
    day_words,
    degrees,
    duration,
    hour_words,
    is_currency,
    joined,
    joined_or,
    language,
    limit,
    local_date_time,
    local_time,
    measured,
    minutes,
    money,
    number,
    short_day,
    tick_time,
)
from .missed import missed_word
from .names import (
    band_word,
    concern_word,
    decision_word,
    disposition_word,
    do_word,
    equipment_word,
    group_word,
    list_word,
    meaning_words,
    measured_of_word,
    method_word,
    outcome_word,
    place_word,
    provenance_word,
    reason_word,
    role_word,
    scale_word,
    setting_word,
    state_word,
    status_word,
    thawed_how_word,
    to_word,
    verdict_word,
    via_word,
    watched_word,
)
from .outages import outage_page_words, outage_to_do_words, outage_words
from .patterns import pattern_words
from .phrases import PhraseParts, checklist_phrases, usual_phrases
from .plan_texts import plan_text_asks, plan_text_title
from .questions import asked_words, question_words
from .settings import setting_value, value_words
from .short import short_name, show_short, show_whole
from .spits import beside_words, condition_words, places_words, target_words
from .subjects import sentence_start, subject_words
from .time_starts import start_bar_words

__all__ = [
    "CheckWords",
    "EntryWords",
    "FindingWords",
    "PhraseParts",
    "access_change_words",
    "alarm_words",
    "asked_words",
    "asks_word",
    "band_word",
    "band_words",
    "beside_words",
    "bird_count",
    "birds",
    "broken_words",
    "by_clock",
    "cautions",
    "check_answer",
    "check_words",
    "checklist_phrases",
    "clock_behind_words",
    "clock_hours",
    "clock_set_words",
    "clock_to_set_words",
    "code_word",
    "concern_word",
    "condition_words",
    "day_words",
    "decision_word",
    "degrees",
    "disposition_word",
    "do_word",
    "duration",
    "entry_words",
    "equipment_word",
    "error_words",
    "field_word",
    "finding_words",
    "forecast_basis",
    "forecast_words",
    "gas_caution",
    "group_word",
    "heard_answers",
    "hour_words",
    "is_currency",
    "joined",
    "joined_or",
    "kind_cautions",
    "kind_word",
    "language",
    "limit",
    "limit_sentence",
    "line_words",
    "list_word",
    "local_date_time",
    "local_time",
    "meaning_words",
    "measured",
    "measured_of_word",
    "method_word",
    "minutes",
    "missed_word",
    "money",
    "number",
    "outage_page_words",
    "outage_to_do_words",
    "outage_words",
    "outcome_word",
    "own_checks",
    "pattern_words",
    "place_word",
    "places_words",
    "plan_text_asks",
    "plan_text_title",
    "provenance_word",
    "question_words",
    "reading_words",
    "reason_word",
    "result_word",
    "role_word",
    "rule_word",
    "scale_word",
    "sentence_start",
    "setting_value",
    "setting_word",
    "short_day",
    "short_name",
    "show_clock",
    "show_own_checks",
    "show_short",
    "show_usual_clock",
    "show_whole",
    "silenced_words",
    "silencing_phrases",
    "start_bar_words",
    "state_word",
    "status_word",
    "subject_words",
    "target_words",
    "thawed_how_word",
    "tick_time",
    "time_of_day",
    "to_word",
    "usual_checks",
    "usual_phrases",
    "value_words",
    "verdict_word",
    "via_word",
    "watched_word",
]
