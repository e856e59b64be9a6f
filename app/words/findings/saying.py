"""The words of a rule: its name and the sentence on a finding of it, declared beside the function."""

from collections.abc import Callable
from dataclasses import dataclass

from .context import FindingContext

Sentence = Callable[[FindingContext], str]


@dataclass(frozen=True, slots=True)
class RuleWords:
    """The words of a rule: its name as a message to translate, and what a finding of it says."""

    name: str
    sentence: Sentence


WORDS: dict[str, RuleWords] = {}
"""The words of every rule, declared by the modules of this package."""


def says(rule: str, name: str) -> Callable[[Sentence], Sentence]:
    """Declare the words of a rule on the function that puts its findings into a sentence."""

    def declare(sentence: Sentence) -> Sentence:
        if rule in WORDS:
            raise ValueError(f"the words of {rule} are declared twice")
        WORDS[rule] = RuleWords(name, sentence)
        return sentence

    return declare
