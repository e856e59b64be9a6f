"""Files that belong to a plan: which are taken, how large, and that verify sees what happened to their bytes."""

import pytest
from sqlalchemy import delete, update

from app import ledger, register
from app.db import Database
from app.models import PlanFile
from app.register import LARGEST_FILE, OwnWords, Refused
from app.rules.plans.adopted_values import Attachment
from tests.support import cast
from tests.support.files import a_pdf, a_picture

AT = cast.moment("12:00")


@pytest.fixture
def kitchen(database: Database) -> Database:
    with database.writing() as session:
        cast.make_site(session)
    return database


def keep(database: Database, content: bytes, name: str = "letter.pdf") -> Attachment:
    with database.writing() as session:
        site = register.get_site(session, "S1")
        return register.keep_file(
            session, site, content, media_type="application/pdf", name=name, part="validation", at=AT
        )


def test_a_file_is_kept_and_given_back(kitchen: Database) -> None:
    kept = keep(kitchen, a_pdf())
    assert kept.size == len(a_pdf())
    with kitchen.reading() as session:
        assert register.find_file(session, register.get_site(session, "S1"), kept.digest) == a_pdf()


@pytest.mark.parametrize(
    ("content", "code"), [(b"", "missing"), (a_pdf(LARGEST_FILE), "large")], ids=["empty", "over 10 MB"]
)
def test_what_is_empty_or_too_large_is_refused_at_the_file(kitchen: Database, content: bytes, code: str) -> None:
    with pytest.raises(Refused) as refused:
        keep(kitchen, content)
    assert (refused.value.field, refused.value.code) == ("file", code)


def test_ten_megabytes_are_not_too_much(kitchen: Database) -> None:
    assert keep(kitchen, a_pdf(LARGEST_FILE - len(a_pdf()))).size == LARGEST_FILE


def test_a_name_keeps_no_folder_and_nothing_unseen(kitchen: Database) -> None:
    assert keep(kitchen, a_pdf(), "C:\\letters\\county\u202e.pdf").name == "county.pdf"


def test_the_same_file_is_kept_once(kitchen: Database) -> None:
    assert keep(kitchen, a_pdf()).digest == keep(kitchen, a_pdf(), "again.pdf").digest
    with kitchen.reading() as session:
        assert session.query(PlanFile).count() == 1


def adopt(database: Database, *files: Attachment) -> None:
    with database.writing() as session:
        site = register.get_site(session, "S1")
        own = OwnWords({"lid": "Lid of the fryer closed"}, {"flow": "Through the back door."}, files)
        pat = register.get_person(session, site, "pat")
        register.adopt_plan(session, site, None, {"start_checks": "water,lid"}, by=pat, at=AT, own=own)


def differences(database: Database) -> list[tuple[str, str]]:
    with database.reading() as session:
        return [(one.table, one.what) for one in ledger.compare_register(session, "S1")]


def test_an_adoption_holds_texts_items_and_the_digest_of_its_files(kitchen: Database) -> None:
    file = keep(kitchen, a_pdf())
    adopt(kitchen, file)
    with kitchen.reading() as session:
        newest, site = ledger.read_plans(session, "S1")[-1], ledger.read_site(session, "S1")
    assert (newest.texts, newest.attachments) == ((("flow", "Through the back door."),), (file,))
    assert site is not None
    assert site.own_checks == {"lid": "Lid of the fryer closed"}


def test_the_next_adoption_keeps_what_the_kitchen_wrote(kitchen: Database) -> None:
    adopt(kitchen)
    with kitchen.writing() as session:
        site = register.get_site(session, "S1")
        pat = register.get_person(session, site, "pat")
        register.adopt_plan(session, site, None, {"grace_min": "10"}, by=pat, at=AT)
    with kitchen.reading() as session:
        assert ledger.read_plans(session, "S1")[-1].texts == (("flow", "Through the back door."),)


def test_verify_compares_the_bytes_with_the_digest_of_the_adoption(kitchen: Database) -> None:
    adopt(kitchen, keep(kitchen, a_pdf()))
    assert differences(kitchen) == []
    with kitchen.writing() as session:
        session.execute(update(PlanFile).values(content=a_picture("PNG")))
    assert differences(kitchen) == [("plan_files", "content")]
    with kitchen.writing() as session:
        session.execute(delete(PlanFile))
    assert differences(kitchen) == [("plan_files", "missing")]


def test_files_that_nothing_names_are_forgotten(kitchen: Database) -> None:
    kept, gone = keep(kitchen, a_pdf()), keep(kitchen, a_picture("PNG"))
    with kitchen.writing() as session:
        site = register.get_site(session, "S1")
        register.forget_files(session, site, keep=[kept.digest])
        assert register.find_file(session, site, gone.digest) is None
        assert register.find_file(session, site, kept.digest) is not None
