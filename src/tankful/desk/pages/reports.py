"""The household's report, and the adviser's name and looks on it."""

from __future__ import annotations

import base64
import re
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from tankful.desk.lane import Job
from tankful.desk.pages.cases import look
from tankful.desk.reckoner import Reckoner
from tankful.desk.store import works
from tankful.desk.store.record import note
from tankful.desk.store.settings import Brand, brand_file, get_brand, put_brand
from tankful.desk.visit import Visit
from tankful.errors import CaseError, Fault, MissingError
from tankful.reporting import read_branding

KINDS = {"pdf": "application/pdf", "html": "text/html; charset=utf-8"}
MOST_LOGO = 500_000
POLICY = "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:"
"""A report is one file with its style and pictures inside; it may run and load nothing."""


async def show(visit: Visit) -> Response:
    """The report of a case as it is now, made after a whole search of its own."""
    kind = str(visit.request.path_params["kind"])
    if kind not in KINDS:
        raise MissingError("There is no such report.", [Fault("", "no such kind", kind[:20])])
    reckoner: Reckoner = visit.desk.kept["reckoner"]
    with TemporaryDirectory(prefix="desk-") as folder:
        job, name = await run_in_threadpool(_job, visit, kind, Path(folder))
        done = await reckoner.report(job)
    if done.fault is not None:
        raise done.fault
    how = "inline" if kind == "html" else "attachment"
    headers = {
        "content-disposition": f'{how}; filename="{name}.{kind}"',
        "content-security-policy": POLICY,
    }
    return Response(done.report, media_type=KINDS[kind], headers=headers)


def _job(visit: Visit, kind: str, folder: Path) -> tuple[Job, str]:
    """What is to be made, and what the file is called. CaseError while the case has faults."""
    with visit.db() as db:
        work = works.get_work(db, visit.id())
        seen, _ = look(db, work)
        brand = get_brand(db)
        note(db, visit.who, f"made the report as {kind}", work.id)
    if seen.loaded is None:
        raise CaseError("The report waits until the case is mended.", seen.faults)
    name = re.sub(r"[^A-Za-z0-9]+", "-", seen.loaded.case.name).strip("-").lower() or "report"
    place = seen.loaded.path.parent
    return Job(seen.toml, place, report=kind, branding=brand_file(brand, folder)), name


def settings(visit: Visit) -> Response:
    """What stands on every report."""
    with visit.reads() as db:
        brand = get_brand(db)
    return visit.page("settings.html", brand=brand, kept=False)


def set_brand(visit: Visit) -> Response:
    """Take over a branding that the report can read. FileError with every fault in it."""
    form = visit.form
    names = ("name", "contact", "accent", "foreword", "closing")
    with visit.db() as db:
        brand = get_brand(db)
    brand = replace(brand, **{name: form.get(name, "")[:5000] for name in names})
    if form.get("no_logo"):
        brand = replace(brand, logo="", logo_name="")
    brand = _with_logo(visit, brand)
    with TemporaryDirectory(prefix="desk-") as folder:
        read_branding(brand_file(brand, Path(folder)))
    with visit.db() as db:
        put_brand(db, brand, visit.who)
    return visit.page("settings.html", brand=brand, kept=True)


def _with_logo(visit: Visit, brand: Brand) -> Brand:
    file = visit.files.get("logo")
    if file is None or not file.filename:
        return brand
    content = file.file.read(MOST_LOGO + 1)
    if len(content) > MOST_LOGO:
        fault = Fault("logo", "too large", allowed=f"at most {MOST_LOGO:,} bytes")
        raise CaseError("The logo was not taken.", [fault])
    return replace(brand, logo=base64.b64encode(content).decode(), logo_name=file.filename)
