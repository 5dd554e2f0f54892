"""A session belongs to its account and ends with it.

Sessions are made anew: whoever was signed in signs in once more.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the table of sessions anew."""
    op.drop_table("session")
    op.create_table(
        "session",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("account_id", sa.String(length=16), nullable=True),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("ends_at", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.id"], name=op.f("fk_session_account_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_session")),
    )
