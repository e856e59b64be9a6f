"""The tables: sites, people, equipment, plans, credentials, and the ledger's entries."""

from .access import Credential, InspectionLink, InspectionUse, SetUpLink, SignIn, Throttle
from .derived import EntrySubject, FiguresMark, KeptFigures, SubjectSpan
from .entries import IN_REGISTER, Entry
from .kept_logs import Certificate, HeadStamp, KeptLog, SigningKey
from .plans import KeptPlan, PlanDraft, PlanFile, PlanVersion
from .register import Equipment, Person
from .serving import Drawing, Job, PlanEffect, WriteCheck
from .site import MailAddress, Phrases, Site

__all__ = [
    "IN_REGISTER",
    "Certificate",
    "Credential",
    "Drawing",
    "Entry",
    "EntrySubject",
    "Equipment",
    "FiguresMark",
    "HeadStamp",
    "InspectionLink",
    "InspectionUse",
    "Job",
    "KeptFigures",
    "KeptLog",
    "KeptPlan",
    "MailAddress",
    "Person",
    "Phrases",
    "PlanDraft",
    "PlanEffect",
    "PlanFile",
    "PlanVersion",
    "SetUpLink",
    "SignIn",
    "SigningKey",
    "Site",
    "SubjectSpan",
    "Throttle",
    "WriteCheck",
]
