"""What can be recorded: one frozen class a kind, by subject. Nothing else knows the fields of an entry.

Adding a kind: its class here, its words in `app/words/kinds/`, its page, its test.
"""

from collections.abc import Iterator, Mapping
from types import MappingProxyType, ModuleType

from . import (
    alarms,
    answers,
    cooking,
    cooling,
    equipment,
    holding,
    keeping,
    reassessment,
    register,
    reheating,
    storage,
    verification,
)
from .alarms import AlarmSilenced, SoundTest
from .answers import ActionVerified, Checklist, CorrectiveAction, InChargeFrom, Note, Release, SignOff
from .cooking import CookReading, LoadStarted, OnSpit, OvenSetting, SpitLoaded, SpitPulled
from .cooling import BatchMoved, BatchOut, CoolingReading
from .entry import Entry, Flow, Subject, Temperature, Weight, Withdrawal, of_kind, probe_of, temperature_of, value_of
from .equipment import EquipmentBack, EquipmentOut, ProbeCheck
from .holding import HoldReading, TimeControlStarted, TrayMoved, TrayOut
from .keeping import CertificateSet, LogKept
from .reassessment import PlanReassessed
from .register import ClockSet, CredentialSet, EquipmentSet, PersonSet, PlanAdopted, RegisterEntry, SiteSet
from .reheating import ReheatDone, ReheatReading, ReheatStarted
from .storage import RawOut, Receiving, Thawing, UnitCheck
from .verification import Training, WeekSignOff, WorkObserved


def _kinds(*modules: ModuleType) -> Iterator[tuple[str, type[Entry]]]:
    for module in modules:
        for value in vars(module).values():
            if (
                isinstance(value, type)
                and issubclass(value, Entry)
                and value.KIND
                and value.__module__ == module.__name__
            ):
                yield value.KIND, value


KINDS: Mapping[str, type[Entry]] = MappingProxyType(
    dict(_kinds(storage, cooking, holding, cooling, reheating, equipment, answers, alarms, verification, reassessment))
)
"""The kinds of the kitchen by name, in the order of a day."""

REGISTER_KINDS: Mapping[str, type[Entry]] = MappingProxyType(dict(_kinds(register, keeping)))
"""The kinds of the register: the program alone writes them."""

ALL_KINDS: Mapping[str, type[Entry]] = MappingProxyType({**KINDS, **REGISTER_KINDS})
"""Every kind that a ledger may hold."""

__all__ = [
    "ALL_KINDS",
    "KINDS",
    "REGISTER_KINDS",
    "ActionVerified",
    "AlarmSilenced",
    "BatchMoved",
    "BatchOut",
    "CertificateSet",
    "Checklist",
    "ClockSet",
    "CookReading",
    "CoolingReading",
    "CorrectiveAction",
    "CredentialSet",
    "Entry",
    "EquipmentBack",
    "EquipmentOut",
    "EquipmentSet",
    "Flow",
    "HoldReading",
    "InChargeFrom",
    "LoadStarted",
    "LogKept",
    "Note",
    "OnSpit",
    "OvenSetting",
    "PersonSet",
    "PlanAdopted",
    "PlanReassessed",
    "ProbeCheck",
    "RawOut",
    "Receiving",
    "RegisterEntry",
    "ReheatDone",
    "ReheatReading",
    "ReheatStarted",
    "Release",
    "SignOff",
    "SiteSet",
    "SoundTest",
    "SpitLoaded",
    "SpitPulled",
    "Subject",
    "Temperature",
    "Thawing",
    "TimeControlStarted",
    "Training",
    "TrayMoved",
    "TrayOut",
    "UnitCheck",
    "WeekSignOff",
    "Weight",
    "Withdrawal",
    "WorkObserved",
    "of_kind",
    "probe_of",
    "temperature_of",
    "value_of",
]
