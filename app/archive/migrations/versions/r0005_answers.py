"""The whole inspection: answers, second looks, signatures, discrepancies to their end.

Revision 0005, released; it never changes.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "signatures",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("meaning", sa.String(length=40), nullable=False),
        sa.Column("certificate", sa.Text(), nullable=False),
        sa.Column("signed_hash", sa.String(length=64), nullable=False),
        sa.Column("event_hash", sa.String(length=64), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["event_hash"], ["events.hash"], name=op.f("fk_signatures_event_hash")),
        sa.ForeignKeyConstraint(
            ["inspection_id"], ["inspections.id"], name=op.f("fk_signatures_inspection_id")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_signatures_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_signatures")),
        sa.UniqueConstraint("event_hash", name=op.f("uq_signatures_event_hash")),
        sa.UniqueConstraint("id", "person_id", name=op.f("uq_signatures_id_person_id")),
    )
    op.create_index(op.f("ix_signatures_inspection_id"), "signatures", ["inspection_id"], unique=False)
    op.create_table(
        "answers",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("item_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("stated_id", sa.String(length=32), nullable=False),
        sa.Column("finding", sa.String(length=40), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("reading", sa.Text(), nullable=True),
        sa.Column("instrument_id", sa.String(length=32), nullable=True),
        sa.Column("supervisor_id", sa.String(length=32), nullable=True),
        sa.Column("supersedes", sa.String(length=32), nullable=True),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("signature_id", sa.String(length=32), nullable=True),
        sa.Column("supervisor_signature_id", sa.String(length=32), nullable=True),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint("(supersedes IS NULL) = (reason IS NULL)", name=op.f("ck_answers_reason")),
        sa.CheckConstraint("supervisor_id <> person_id", name=op.f("ck_answers_supervised")),
        sa.CheckConstraint(
            "supervisor_signature_id IS NULL OR supervisor_id IS NOT NULL", name=op.f("ck_answers_supervisor")
        ),
        sa.ForeignKeyConstraint(["inspection_id"], ["inspections.id"], name=op.f("fk_answers_inspection_id")),
        sa.ForeignKeyConstraint(["instrument_id"], ["instruments.id"], name=op.f("fk_answers_instrument_id")),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_answers_item_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_answers_person_id")),
        sa.ForeignKeyConstraint(
            ["signature_id", "person_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_answers_signature_id_person_id"),
        ),
        sa.ForeignKeyConstraint(["stated_id"], ["stated.id"], name=op.f("fk_answers_stated_id")),
        sa.ForeignKeyConstraint(["supersedes"], ["answers.id"], name=op.f("fk_answers_supersedes")),
        sa.ForeignKeyConstraint(["supervisor_id"], ["persons.id"], name=op.f("fk_answers_supervisor_id")),
        sa.ForeignKeyConstraint(
            ["supervisor_signature_id", "supervisor_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_answers_supervisor_signature_id_supervisor_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_answers")),
        sa.UniqueConstraint("id", "person_id", name=op.f("uq_answers_id_person_id")),
        sa.UniqueConstraint("supersedes", name=op.f("uq_answers_supersedes")),
    )
    op.create_index(op.f("ix_answers_inspection_id"), "answers", ["inspection_id"], unique=False)
    op.create_index(op.f("ix_answers_item_id"), "answers", ["item_id"], unique=False)
    op.create_table(
        "evidence",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("item_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("begun_at", sa.String(length=32), nullable=False),
        sa.Column("photo", sa.String(length=64), nullable=True),
        sa.Column("photo_name", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_evidence_item_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_evidence_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_evidence")),
    )
    op.create_index(op.f("ix_evidence_item_id"), "evidence", ["item_id"], unique=False)
    op.create_index(op.f("ix_evidence_photo"), "evidence", ["photo"], unique=False)
    op.create_table(
        "handovers",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("giver_id", sa.String(length=32), nullable=False),
        sa.Column("taker_id", sa.String(length=32), nullable=False),
        sa.Column("listed_hash", sa.String(length=64), nullable=False),
        sa.Column("given_signature_id", sa.String(length=32), nullable=False),
        sa.Column("given_at", sa.String(length=32), nullable=False),
        sa.Column("taken_signature_id", sa.String(length=32), nullable=True),
        sa.Column("taken_at", sa.String(length=32), nullable=True),
        sa.CheckConstraint(
            "(taken_signature_id IS NULL) = (taken_at IS NULL)", name=op.f("ck_handovers_taken")
        ),
        sa.CheckConstraint("giver_id <> taker_id", name=op.f("ck_handovers_two_people")),
        sa.ForeignKeyConstraint(
            ["given_signature_id", "giver_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_handovers_given_signature_id_giver_id"),
        ),
        sa.ForeignKeyConstraint(
            ["inspection_id"], ["inspections.id"], name=op.f("fk_handovers_inspection_id")
        ),
        sa.ForeignKeyConstraint(
            ["taken_signature_id", "taker_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_handovers_taken_signature_id_taker_id"),
        ),
        sa.ForeignKeyConstraint(["taker_id"], ["persons.id"], name=op.f("fk_handovers_taker_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_handovers")),
    )
    op.create_index(op.f("ix_handovers_inspection_id"), "handovers", ["inspection_id"], unique=False)
    op.create_table(
        "sign_offs",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("total_time_h", sa.Double(), nullable=False),
        sa.Column("cycles", sa.Integer(), nullable=False),
        sa.Column("landings", sa.Integer(), nullable=False),
        sa.Column("signature_id", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint(
            "total_time_h > 0 AND cycles >= 0 AND landings >= 0", name=op.f("ck_sign_offs_times")
        ),
        sa.ForeignKeyConstraint(
            ["inspection_id"], ["inspections.id"], name=op.f("fk_sign_offs_inspection_id")
        ),
        sa.ForeignKeyConstraint(
            ["signature_id", "person_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_sign_offs_signature_id_person_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_offs")),
        sa.UniqueConstraint("inspection_id", name=op.f("uq_sign_offs_inspection_id")),
    )
    op.create_table(
        "looks",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("answer_id", sa.String(length=32), nullable=False),
        sa.Column("performer_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("finding", sa.String(length=40), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("reading", sa.Text(), nullable=True),
        sa.Column("instrument_id", sa.String(length=32), nullable=True),
        sa.Column("seen_from", sa.String(length=40), nullable=False),
        sa.Column("outcome", sa.String(length=40), nullable=True),
        sa.Column("signature_id", sa.String(length=32), nullable=True),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint("(outcome IS NULL) = (signature_id IS NULL)", name=op.f("ck_looks_signed")),
        sa.CheckConstraint("person_id <> performer_id", name=op.f("ck_looks_another_person")),
        sa.ForeignKeyConstraint(
            ["answer_id", "performer_id"],
            ["answers.id", "answers.person_id"],
            name=op.f("fk_looks_answer_id_performer_id"),
        ),
        sa.ForeignKeyConstraint(["inspection_id"], ["inspections.id"], name=op.f("fk_looks_inspection_id")),
        sa.ForeignKeyConstraint(["instrument_id"], ["instruments.id"], name=op.f("fk_looks_instrument_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_looks_person_id")),
        sa.ForeignKeyConstraint(
            ["signature_id", "person_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_looks_signature_id_person_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_looks")),
        sa.UniqueConstraint("answer_id", "person_id", name=op.f("uq_looks_answer_id_person_id")),
    )
    op.create_index(op.f("ix_looks_inspection_id"), "looks", ["inspection_id"], unique=False)
    op.create_index(
        "uq_looks_signed",
        "looks",
        ["answer_id"],
        unique=True,
        sqlite_where=sa.text("signature_id IS NOT NULL"),
        postgresql_where=sa.text("signature_id IS NOT NULL"),
    )
    op.create_table(
        "actions",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("discrepancy_id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("data_reference", sa.Text(), nullable=False),
        sa.Column("removed", sa.Text(), nullable=False),
        sa.Column("fitted", sa.Text(), nullable=False),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("reinspection_id", sa.String(length=32), nullable=False),
        sa.Column("signature_id", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(
            ["discrepancy_id"], ["discrepancies.id"], name=op.f("fk_actions_discrepancy_id")
        ),
        sa.ForeignKeyConstraint(["inspection_id"], ["inspections.id"], name=op.f("fk_actions_inspection_id")),
        sa.ForeignKeyConstraint(["reinspection_id"], ["items.id"], name=op.f("fk_actions_reinspection_id")),
        sa.ForeignKeyConstraint(
            ["signature_id", "person_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_actions_signature_id_person_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_actions")),
    )
    op.create_index(op.f("ix_actions_discrepancy_id"), "actions", ["discrepancy_id"], unique=False)
    op.create_index(op.f("ix_actions_reinspection_id"), "actions", ["reinspection_id"], unique=False)
    op.create_table(
        "deferrals",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("discrepancy_id", sa.String(length=32), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("category", sa.Text(), nullable=False),
        sa.Column("due_on", sa.String(length=10), nullable=True),
        sa.Column("due_landings", sa.Integer(), nullable=True),
        sa.Column("placard", sa.Text(), nullable=False),
        sa.Column("asked_by", sa.String(length=32), nullable=False),
        sa.Column("authoriser_id", sa.String(length=32), nullable=False),
        sa.Column("signature_id", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint("due_on IS NOT NULL OR due_landings IS NOT NULL", name=op.f("ck_deferrals_due")),
        sa.ForeignKeyConstraint(["asked_by"], ["persons.id"], name=op.f("fk_deferrals_asked_by")),
        sa.ForeignKeyConstraint(
            ["discrepancy_id"], ["discrepancies.id"], name=op.f("fk_deferrals_discrepancy_id")
        ),
        sa.ForeignKeyConstraint(
            ["inspection_id"], ["inspections.id"], name=op.f("fk_deferrals_inspection_id")
        ),
        sa.ForeignKeyConstraint(
            ["signature_id", "authoriser_id"],
            ["signatures.id", "signatures.person_id"],
            name=op.f("fk_deferrals_signature_id_authoriser_id"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deferrals")),
    )
    op.create_index(op.f("ix_deferrals_discrepancy_id"), "deferrals", ["discrepancy_id"], unique=False)
    op.create_table(
        "sequences",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("inspection_id", sa.String(length=32), nullable=False),
        sa.Column("item_id", sa.String(length=32), nullable=False),
        sa.Column("discrepancy_id", sa.String(length=32), nullable=True),
        sa.Column("by", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.CheckConstraint(
            "(kind = 'servicing') = (discrepancy_id IS NULL)", name=op.f("ck_sequences_discrepancy")
        ),
        sa.ForeignKeyConstraint(["by"], ["persons.id"], name=op.f("fk_sequences_by")),
        sa.ForeignKeyConstraint(
            ["discrepancy_id"], ["discrepancies.id"], name=op.f("fk_sequences_discrepancy_id")
        ),
        sa.ForeignKeyConstraint(
            ["inspection_id"], ["inspections.id"], name=op.f("fk_sequences_inspection_id")
        ),
        sa.ForeignKeyConstraint(["item_id"], ["items.id"], name=op.f("fk_sequences_item_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sequences")),
    )
    op.create_index(op.f("ix_sequences_discrepancy_id"), "sequences", ["discrepancy_id"], unique=False)
    op.create_index(op.f("ix_sequences_item_id"), "sequences", ["item_id"], unique=False)
    op.create_table(
        "steps",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("sequence_id", sa.String(length=32), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=40), nullable=False),
        sa.Column("told", sa.Text(), nullable=False),
        sa.Column("evidence_id", sa.String(length=32), nullable=True),
        sa.Column("person_id", sa.String(length=32), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["evidence_id"], ["evidence.id"], name=op.f("fk_steps_evidence_id")),
        sa.ForeignKeyConstraint(["person_id"], ["persons.id"], name=op.f("fk_steps_person_id")),
        sa.ForeignKeyConstraint(["sequence_id"], ["sequences.id"], name=op.f("fk_steps_sequence_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_steps")),
        sa.UniqueConstraint("sequence_id", "key", name=op.f("uq_steps_sequence_id_key")),
        sa.UniqueConstraint("sequence_id", "number", name=op.f("uq_steps_sequence_id_number")),
    )
