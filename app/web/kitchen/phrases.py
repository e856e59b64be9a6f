"""A corrective action without typing: phrases to tap for its cause, action and prevention, free text beside."""

from collections.abc import Mapping, Sequence

from flask_babel import lazy_gettext as _l
from wtforms import RadioField, TextAreaField

from app import register, words
from app.rules.day.registry import RULES
from app.server import get_database

from ..parts.forms import Draft, EntryForm
from ..setup.index import kitchen


class PhrasedForm(EntryForm):
    """Cause, action and prevention: what is typed, else the phrase that is chosen. None is chosen beforehand."""

    cause = TextAreaField(_l("What caused it"))
    action = TextAreaField(_l("What was done"))
    prevention = TextAreaField(_l("How to stop it happening again"))
    cause_phrase = RadioField(validate_choice=False)
    action_phrase = RadioField(validate_choice=False)
    prevention_phrase = RadioField(validate_choice=False)

    def offer_phrases(self, rules: Sequence[str]) -> None:
        """Offer the phrases of the rules that are answered, each once."""
        with get_database().reading() as session:
            own = register.find_phrases(session, kitchen(session))
        offered = [phrases_of(rule, own) for rule in dict.fromkeys(rules)]
        for part, field in zip(register.PARTS, self._phrases(), strict=True):
            phrases = dict.fromkeys(phrase for one in offered for phrase in one[part])
            field.choices = {phrase: phrase for phrase in phrases}

    def said(self) -> Draft:
        """Give cause, action and prevention as fields of the entry."""
        fields = zip((self.cause, self.action, self.prevention), self._phrases(), strict=True)
        return {typed.name: (typed.data or "").strip() or phrase.data for typed, phrase in fields}

    def _phrases(self) -> tuple[RadioField, RadioField, RadioField]:
        return self.cause_phrase, self.action_phrase, self.prevention_phrase


def phrases_of(rule: str, own: Mapping[str, words.PhraseParts]) -> words.PhraseParts:
    """Give the phrases of a rule: the kitchen's own, else the usual ones."""
    return own.get(rule) or words.usual_phrases(rule, RULES[rule].group)
