"""The tables of answers, second looks, signatures, and what follows from them (see `tables_round`)."""

from typing import Any

from sqlalchemy import (
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from app.archive.columns import Named, Plain, Utc
from app.archive.columns_round import HASH, ID, Day, id_, need, ref
from app.inspection.rounds import model


def answer_kinds(metadata: MetaData) -> dict[type[Any], Table]:
    """Enter the tables into the schema's metadata; return which dataclass stands in which."""
    return {**_answers(metadata), **_ends(metadata), **_handovers(metadata)}


def _answers(metadata: MetaData) -> dict[type[Any], Table]:
    signatures = Table(
        "signatures",
        metadata,
        id_(),
        ref("inspection_id", "inspections", index=True),
        ref("person_id", "persons"),
        need("meaning", Named(model.Meaning)),
        need("certificate", Text),
        need("signed_hash", HASH),
        Column("event_hash", HASH, ForeignKey("events.hash"), nullable=False, unique=True),
        need("at", Utc),
        UniqueConstraint("id", "person_id"),
    )
    answers = Table(
        "answers",
        metadata,
        id_(),
        ref("inspection_id", "inspections", index=True),
        ref("item_id", "items", index=True),
        ref("person_id", "persons"),
        ref("stated_id", "stated"),
        need("finding", Named(model.Finding)),
        need("text", Text),
        Column("reading", Plain()),
        ref("instrument_id", "instruments", null=True),
        ref("supervisor_id", "persons", null=True),
        # An answer is corrected once; what corrects it can be corrected in its turn.
        Column("supersedes", ID, ForeignKey("answers.id"), unique=True),
        Column("reason", Text),
        Column("signature_id", ID),
        Column("supervisor_signature_id", ID),
        need("at", Utc),
        UniqueConstraint("id", "person_id"),
        CheckConstraint("supervisor_id <> person_id", name="supervised"),
        CheckConstraint("(supersedes IS NULL) = (reason IS NULL)", name="reason"),
        CheckConstraint("supervisor_signature_id IS NULL OR supervisor_id IS NOT NULL", name="supervisor"),
        # A signature covers only the signer's own answers.
        ForeignKeyConstraint(["signature_id", "person_id"], ["signatures.id", "signatures.person_id"]),
        ForeignKeyConstraint(
            ["supervisor_signature_id", "supervisor_id"], ["signatures.id", "signatures.person_id"]
        ),
    )
    looks = Table(
        "looks",
        metadata,
        id_(),
        ref("inspection_id", "inspections", index=True),
        need("answer_id", ID),
        need("performer_id", ID),
        ref("person_id", "persons"),
        need("finding", Named(model.Finding)),
        need("text", Text),
        Column("reading", Plain()),
        ref("instrument_id", "instruments", null=True),
        need("seen_from", String(40)),
        Column("outcome", Named(model.LookOutcome)),
        Column("signature_id", ID),
        need("at", Utc),
        UniqueConstraint("answer_id", "person_id"),
        CheckConstraint("person_id <> performer_id", name="another_person"),
        CheckConstraint("(outcome IS NULL) = (signature_id IS NULL)", name="signed"),
        ForeignKeyConstraint(["answer_id", "performer_id"], ["answers.id", "answers.person_id"]),
        ForeignKeyConstraint(["signature_id", "person_id"], ["signatures.id", "signatures.person_id"]),
    )
    signed = text("signature_id IS NOT NULL")
    Index("uq_looks_signed", looks.c.answer_id, unique=True, sqlite_where=signed, postgresql_where=signed)
    return {model.Signature: signatures, model.Answer: answers, model.Look: looks}


def _ends(metadata: MetaData) -> dict[type[Any], Table]:
    actions = Table(
        "actions",
        metadata,
        id_(),
        ref("discrepancy_id", "discrepancies", index=True),
        ref("inspection_id", "inspections"),
        need("kind", Named(model.ActionKind)),
        need("text", Text),
        need("data_reference", Text),
        need("removed", Plain(tuple)),
        need("fitted", Plain(tuple)),
        need("person_id", ID),
        ref("reinspection_id", "items", index=True),
        need("signature_id", ID),
        need("at", Utc),
        ForeignKeyConstraint(["signature_id", "person_id"], ["signatures.id", "signatures.person_id"]),
    )
    deferrals = Table(
        "deferrals",
        metadata,
        id_(),
        ref("discrepancy_id", "discrepancies", index=True),
        ref("inspection_id", "inspections"),
        need("reference", Text),
        need("category", Text),
        Column("due_on", Day),
        Column("due_landings", Integer),
        need("placard", Text),
        ref("asked_by", "persons"),
        need("authoriser_id", ID),
        need("signature_id", ID),
        need("at", Utc),
        CheckConstraint("due_on IS NOT NULL OR due_landings IS NOT NULL", name="due"),
        ForeignKeyConstraint(["signature_id", "authoriser_id"], ["signatures.id", "signatures.person_id"]),
    )
    sequences = Table(
        "sequences",
        metadata,
        id_(),
        need("kind", Named(model.SequenceKind)),
        ref("inspection_id", "inspections"),
        ref("item_id", "items", index=True),
        ref("discrepancy_id", "discrepancies", null=True, index=True),
        ref("by", "persons"),
        need("at", Utc),
        CheckConstraint("(kind = 'servicing') = (discrepancy_id IS NULL)", name="discrepancy"),
    )
    evidence = Table(
        "evidence",
        metadata,
        id_(),
        ref("item_id", "items", index=True),
        ref("person_id", "persons"),
        need("place", Text),
        need("begun_at", Utc),
        Column("photo", HASH, index=True, info={"file": True}),
        need("photo_name", Text),
    )
    steps = Table(
        "steps",
        metadata,
        id_(),
        ref("sequence_id", "sequences"),
        need("number", Integer),
        need("key", String(40)),
        need("told", Plain()),
        ref("evidence_id", "evidence", null=True),
        ref("person_id", "persons"),
        need("at", Utc),
        UniqueConstraint("sequence_id", "key"),
        UniqueConstraint("sequence_id", "number"),
    )
    sign_offs = Table(
        "sign_offs",
        metadata,
        id_(),
        Column("inspection_id", ID, ForeignKey("inspections.id"), nullable=False, unique=True),
        need("person_id", ID),
        need("total_time_h", Double),
        need("cycles", Integer),
        need("landings", Integer),
        need("signature_id", ID),
        need("at", Utc),
        CheckConstraint("total_time_h > 0 AND cycles >= 0 AND landings >= 0", name="times"),
        ForeignKeyConstraint(["signature_id", "person_id"], ["signatures.id", "signatures.person_id"]),
    )
    signed_by = (["signature_id", "person_id"], ["signatures.id", "signatures.person_id"])
    corrected_times = Table(
        "corrected_times",
        metadata,
        id_(),
        ref("inspection_id", "inspections", index=True),
        ref("person_id", "persons"),
        need("total_time_h", Double),
        need("cycles", Integer),
        need("landings", Integer),
        # Corrected once each; the first correction of a visit supersedes its sign-off.
        Column("supersedes", ID, ForeignKey("corrected_times.id"), unique=True),
        need("reason", Text),
        need("signature_id", ID),
        need("at", Utc),
        CheckConstraint("total_time_h > 0 AND cycles >= 0 AND landings >= 0", name="times"),
        CheckConstraint("reason <> ''", name="reason"),
        ForeignKeyConstraint(*signed_by),
    )
    withdrawals = Table(
        "withdrawals",
        metadata,
        id_(),
        ref("item_id", "items", index=True),
        ref("person_id", "persons"),
        need("reason", Text),
        Column("discrepancy_id", ID, ForeignKey("discrepancies.id"), nullable=False, unique=True),
        need("signature_id", ID),
        need("at", Utc),
        CheckConstraint("reason <> ''", name="reason"),
        ForeignKeyConstraint(*signed_by),
    )
    return {
        model.Action: actions,
        model.Deferral: deferrals,
        model.Sequence: sequences,
        model.Evidence: evidence,
        model.Step: steps,
        model.SignOff: sign_offs,
        model.CorrectedTimes: corrected_times,
        model.Withdrawal: withdrawals,
    }


def _handovers(metadata: MetaData) -> dict[type[Any], Table]:
    handovers = Table(
        "handovers",
        metadata,
        id_(),
        ref("inspection_id", "inspections", index=True),
        need("giver_id", ID),
        ref("taker_id", "persons"),
        need("listed_hash", HASH),
        need("given_signature_id", ID),
        need("given_at", Utc),
        Column("taken_signature_id", ID),
        Column("taken_at", Utc),
        CheckConstraint("giver_id <> taker_id", name="two_people"),
        CheckConstraint("(taken_signature_id IS NULL) = (taken_at IS NULL)", name="taken"),
        ForeignKeyConstraint(["given_signature_id", "giver_id"], ["signatures.id", "signatures.person_id"]),
        ForeignKeyConstraint(["taken_signature_id", "taker_id"], ["signatures.id", "signatures.person_id"]),
    )
    return {model.Handover: handovers}
