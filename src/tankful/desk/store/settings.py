"""What holds for the whole desk: the adviser's name and looks on reports."""

from __future__ import annotations

import base64
from dataclasses import asdict, dataclass
from pathlib import Path

import sqlalchemy as sa

from tankful.casefile.write import toml_value
from tankful.desk.store.record import note
from tankful.desk.store.tables import setting
from tankful.desk.store.uploads import plain_name

NAME = "branding"


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


def get_brand(db: sa.Connection) -> Brand:
    """The desk's branding; empty until somebody gives one."""
    value = db.scalar(sa.select(setting.c.value).where(setting.c.name == NAME))
    return Brand(**value) if value else Brand()


def put_brand(db: sa.Connection, brand: Brand, who: str) -> None:
    """Keep the branding in the place of what was there."""
    db.execute(setting.delete().where(setting.c.name == NAME))
    db.execute(setting.insert().values(name=NAME, value=asdict(brand)))
    note(db, who, "changed the branding", NAME)


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
