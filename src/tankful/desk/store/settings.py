"""What holds for the whole desk: the adviser's name and looks on reports."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import sqlalchemy as sa

from tankful.casefile.write import toml_value
from tankful.desk.store.engine import alone
from tankful.desk.store.record import last, note
from tankful.desk.store.tables import setting
from tankful.desk.store.uploads import plain_name

NAME, LINE = "branding", "changed the branding"
PARTS = ("name", "contact", "accent", "foreword", "closing", "logo")


@dataclass(frozen=True)
class Brand:
    """As typed; ``logo`` is the picture in base64, ``logo_name`` its file's name."""

    name: str = ""
    contact: str = ""
    accent: str = ""
    foreword: str = ""
    closing: str = ""
    logo_name: str = ""
    logo: str = ""


@dataclass(frozen=True)
class Merged:
    """``brand`` is what would be kept, ``kept`` what is, ``conflicts`` the parts in which neither
    may give way unasked; ``who`` changed it last, ``at`` what time, empty where not known."""

    brand: Brand
    kept: Brand
    conflicts: tuple[str, ...] = ()
    who: str = ""
    at: str = ""


def get_brand(db: sa.Connection) -> Brand:
    """The desk's branding; empty until somebody gives one."""
    value = db.scalar(sa.select(setting.c.value).where(setting.c.name == NAME))
    return Brand(**value) if value else Brand()


def put_brand(db: sa.Connection, brand: Brand, who: str) -> None:
    """Keep the branding in the place of what was there."""
    alone(db, setting)
    if brand == get_brand(db):
        return
    db.execute(setting.delete().where(setting.c.name == NAME))
    db.execute(setting.insert().values(name=NAME, value=asdict(brand)))
    note(db, who, LINE, NAME)


def digests(brand: Brand) -> dict[str, str]:
    """A short digest of each part of a branding, for a page to carry what it saw."""
    return {
        part: _digest("\0".join(getattr(brand, name) for name in _fields(part))) for part in PARTS
    }


def merged(db: sa.Connection, typed: Mapping[str, str], seen: Mapping[str, str]) -> Merged:
    """Fields as typed into a page that saw parts of those digests, beside what is kept now,
    which nobody changes until the transaction ends.

    What was left as it was seen is as it is kept now; what another has changed as well, to
    something else, is a conflict and is as typed.
    """
    alone(db, setting)
    kept = get_brand(db)
    wanted = replace(kept, **typed)
    mine, theirs = digests(wanted), digests(kept)
    left = [part for part in PARTS if mine[part] == seen.get(part)]
    differ = [part for part in PARTS if part not in left and mine[part] != theirs[part]]
    conflicts = tuple(part for part in differ if theirs[part] != seen.get(part))
    brand = replace(wanted, **{name: getattr(kept, name) for p in left for name in _fields(p)})
    return Merged(brand, kept, conflicts, *last(db, NAME, LINE))


def _fields(part: str) -> tuple[str, ...]:
    return ("logo_name", "logo") if part == "logo" else (part,)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def brand_file(brand: Brand, folder: Path) -> Path:
    """The branding as the report reads it: a small TOML file with the logo beside it."""
    values: dict[str, str | tuple[str, ...]] = {
        name: text
        for name in ("name", "accent", "foreword", "closing")
        if (text := getattr(brand, name).strip())
    }
    values["contact"] = tuple(line.strip() for line in brand.contact.splitlines() if line.strip())
    if brand.logo:
        values["logo"] = plain_name(brand.logo_name)
        (folder / plain_name(brand.logo_name)).write_bytes(base64.b64decode(brand.logo))
    file = folder / "branding.toml"
    lines = (f"{name} = {toml_value(value)}\n" for name, value in values.items())
    file.write_text("".join(lines), encoding="utf-8")
    return file
