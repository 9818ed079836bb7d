"""The tables of the whole inspection, with what the schema itself refuses.

As in `tables`: a column for each field of each dataclass, in their order.  The
constraints that matter most: nobody looks a second time at his own answer, a look
belongs to the answer's true performer, an answer is corrected once and with a
reason, one signed look stands, a sequence's step is done once, a deferral ends
somewhere, no more comes back than went out, giver and taker are two people,
nobody vouches for himself or for what he reset, nobody judges a flag of a photo that he has
not marked himself (`tables_judged`).
"""

from typing import Any

from sqlalchemy import (
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

from app.archive.columns import Named, Plain, Utc
from app.archive.columns_round import HASH, ID, Day, id_, need, ref
from app.archive.tables_answers import answer_kinds
from app.archive.tables_judged import judged_kinds
from app.inspection.model import Basis
from app.inspection.rounds import model


def round_kinds(metadata: MetaData) -> dict[type[Any], Table]:
    """Enter the tables into the schema's metadata; return which dataclass stands in which."""
    return {
        **_programmes(metadata),
        **_tools(metadata),
        **answer_kinds(metadata),
        **judged_kinds(metadata),
        **_open(metadata),
        **_people(metadata),
    }


def _programmes(metadata: MetaData) -> dict[type[Any], Table]:
    programmes = Table(
        "programmes",
        metadata,
        id_(),
        Column("version", HASH, nullable=False, unique=True),
        need("name", Text),
        need("revision", Text),
        need("toml", Text),
        ref("entered_by", "persons", null=True),
        need("entered_at", Utc),
    )
    followings = Table(
        "followings",
        metadata,
        id_(),
        ref("aircraft_id", "aircraft", index=True),
        ref("programme_id", "programmes"),
        ref("by", "persons", null=True),
        need("at", Utc),
    )
    features = Table(
        "leg_features",
        metadata,
        id_(),
        ref("leg_id", "legs", index=True),
        need("answers", Plain()),
        ref("by", "persons", null=True),
        need("at", Utc),
    )
    changes = Table(
        "leg_changes",
        metadata,
        id_(),
        ref("leg_id", "legs", index=True),
        need("toml_before", Text),
        need("toml_after", Text),
        need("basis_before", Named(Basis)),
        need("basis_after", Named(Basis)),
        need("study", Text),
        need("reason", Text),
        ref("proposed_by", "persons"),
        need("proposed_at", Utc),
        ref("approved_by", "persons", null=True),
        Column("approved_at", Utc),
        CheckConstraint("approved_by <> proposed_by", name="two_people"),
        CheckConstraint("(approved_by IS NULL) = (approved_at IS NULL)", name="approved"),
        CheckConstraint("basis_after <> 'primary' OR basis_before = 'primary' OR study <> ''", name="study"),
    )
    rounds = Table(
        "rounds",
        metadata,
        Column("id", ID, ForeignKey("inspections.id"), primary_key=True),
        ref("programme_id", "programmes"),
        need("features", Plain()),
    )
    stated = Table(
        "stated",
        metadata,
        id_(),
        ref("inspection_id", "inspections", index=True),
        need("what", String(40)),
        need("statements", Plain(tuple)),
        ref("by", "persons"),
        need("at", Utc),
    )
    return {
        model.ProgrammeEntry: programmes,
        model.Following: followings,
        model.LegFeatures: features,
        model.LegChange: changes,
        model.Round: rounds,
        model.Stated: stated,
    }


def _tools(metadata: MetaData) -> dict[type[Any], Table]:
    instruments = Table(
        "instruments",
        metadata,
        id_(),
        need("kind", Text),
        Column("number", Text, nullable=False, unique=True),
        need("quantity", String(40)),
        need("expanded_u", Double),
        need("due", Day),
        ref("by", "persons"),
        need("at", Utc),
        need("withdrawn", Text),
        CheckConstraint("expanded_u > 0", name="doubt"),
    )
    charts = Table(
        "charts",
        metadata,
        id_(),
        ref("aircraft_id", "aircraft", null=True),
        ref("instrument_id", "instruments", null=True),
        need("name", Text),
        need("rows", Plain(tuple)),
        need("document", Text),
        ref("by", "persons"),
        need("at", Utc),
        CheckConstraint("(aircraft_id IS NULL) <> (instrument_id IS NULL)", name="owner"),
    )
    cards = Table(
        "card_copies",
        metadata,
        id_(),
        need("name", Text),
        Column("number", Text, nullable=False, unique=True),
        need("bars_mm", Plain(tuple)),
        need("rule", Text),
        need("due", Day),
        ref("by", "persons"),
        need("at", Utc),
        need("damage", Text),
    )
    return {model.Instrument: instruments, model.Chart: charts, model.CardCopy: cards}


def _open(metadata: MetaData) -> dict[type[Any], Table]:
    opened = Table(
        "opened",
        metadata,
        id_(),
        ref("inspection_id", "inspections", index=True),
        ref("leg_id", "legs"),
        need("kind", Named(model.OpenedKind)),
        need("place", Text),
        ref("by", "persons"),
        need("at", Utc),
        ref("closed_by", "persons", null=True),
        Column("closed_at", Utc),
        CheckConstraint("(closed_by IS NULL) = (closed_at IS NULL)", name="closed"),
    )
    outs = Table(
        "outs",
        metadata,
        id_(),
        ref("inspection_id", "inspections", index=True),
        need("kind", Named(model.OutKind)),
        need("name", Text),
        need("quantity", Integer),
        ref("by", "persons"),
        need("at", Utc),
        need("back", Integer),
        ref("back_by", "persons", null=True),
        Column("back_at", Utc),
        CheckConstraint("quantity > 0 AND back >= 0 AND back <= quantity", name="counts"),
        CheckConstraint("(back_by IS NULL) = (back_at IS NULL)", name="back"),
    )
    return {model.Opened: opened, model.Out: outs}


def _people(metadata: MetaData) -> dict[type[Any], Table]:
    certificates = Table(
        "certificates",
        metadata,
        id_(),
        ref("person_id", "persons", index=True),
        need("kind", Text),
        need("number", Text),
        ref("by", "persons"),
        need("at", Utc),
    )
    authorisations = Table(
        "authorisations",
        metadata,
        id_(),
        ref("person_id", "persons", index=True),
        need("role", String(40)),
        need("item_class", String(48)),
        need("begins", Day),
        need("ends", Day),
        ref("by", "persons"),
        need("at", Utc),
        Column("withdrawn_at", Utc),
        CheckConstraint('"by" <> person_id', name="by_another"),
        CheckConstraint("begins <= ends", name="days"),
    )
    resets = Table(
        "password_resets",
        metadata,
        id_(),
        ref("person_id", "persons", index=True),
        ref("by", "persons"),
        need("at", Utc),
        Column("changed_at", Utc),
        ref("vouched_by", "persons", null=True),
        Column("vouched_at", Utc),
        CheckConstraint('"by" <> person_id', name="by_another"),
        CheckConstraint('vouched_by <> "by" AND vouched_by <> person_id', name="vouched_by_another"),
        CheckConstraint("(vouched_by IS NULL) = (vouched_at IS NULL)", name="vouched"),
    )
    return {
        model.Certificate: certificates,
        model.Authorisation: authorisations,
        model.PasswordReset: resets,
    }
