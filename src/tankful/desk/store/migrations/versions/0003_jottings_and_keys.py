"""A client has a contact and notes; names are found whatever their accents."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from tankful.desk.store.fold import name_key

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the table of what is written down about clients, and the names' keys anew."""
    op.create_table(
        "jotting",
        sa.Column("client_id", sa.String(length=16), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("text_key", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("window", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(
            ["client_id"], ["client.id"], name=op.f("fk_jotting_client_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("client_id", "kind", name=op.f("pk_jotting")),
    )
    client = sa.table("client", sa.column("id"), sa.column("name"), sa.column("name_key"))
    db = op.get_bind()
    for row in list(db.execute(sa.select(client.c.id, client.c.name))):
        key = name_key(row.name)
        db.execute(client.update().where(client.c.id == row.id).values(name_key=key))
