"""One case: its form, saved as one types, and what is done with the case as a whole."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import sqlalchemy as sa
from starlette.responses import Response

from tankful.casefile.naming import slot_of
from tankful.casefile.typed import field_at, typed_toml
from tankful.casefile.write import case_text
from tankful.desk.check import Checked, checked
from tankful.desk.form import FormField, Group, Source, by_slot, form_of, item_at
from tankful.desk.lane import Job
from tankful.desk.leftovers import files_root
from tankful.desk.reckoner import Reckoner
from tankful.desk.store import clients, saves, steps, works
from tankful.desk.store.fold import file_name
from tankful.desk.store.record import last, recent
from tankful.desk.store.saves import Saved, list_row
from tankful.desk.store.tables import STATES
from tankful.desk.store.uploads import lay_out, list_uploads
from tankful.desk.store.works import Work
from tankful.desk.visit import Visit
from tankful.errors import CaseError, Fault, MissingError

ROW = re.compile(r"([a-z_.]+(?:\[[1-9][0-9]{0,3}\][a-z_.]*)*)\[[1-9][0-9]{0,3}\]")


def look(db: sa.Connection, work: Work) -> tuple[Checked, frozenset[str]]:
    """A case checked beside its files, and the files' names."""
    folder, files = lay_out(db, work.id, files_root())
    return checked(work.typed, files, folder), files


def look_again(visit: Visit, db: sa.Connection, work: Work) -> tuple[Checked, frozenset[str]]:
    """As ``look``, with what stood in the way of an answer to the case as it is now, where that is
    at a field: a place without weather, a meter file that is too short."""
    seen, files = look(db, work)
    return replace(seen, faults=seen.faults + found_by_answer(visit, work, seen)), files


def found_by_answer(visit: Visit, work: Work, seen: Checked) -> tuple[Fault, ...]:
    """What an answer to the case as it is now was refused for, so far as it is at fields."""
    if seen.loaded is None:
        return ()
    reckoner: Reckoner = visit.desk.kept["reckoner"]
    faults = reckoner.faults(work.id, Job(seen.toml, seen.loaded.path.parent))
    return tuple(fault for fault in faults if slot_of(fault.field))


def show(visit: Visit) -> Response:
    """The case form beside the answer."""
    with visit.reads() as db:
        work = works.get_work(db, visit.id())
        client = clients.get_client(db, work.client_id)
        seen, files = look_again(visit, db, work)
        digests = list_uploads(db, work.id)
    return visit.page(
        "case.html",
        digests=digests,
        files_said="",
        client=client,
        states=STATES,
        window=secrets.token_hex(8),
        understood={},
        **_form(work, seen, files),
    )


def _form(work: Work, seen: Checked, files: Iterable[str]) -> dict[str, Any]:
    return {
        "sections": form_of(work.typed, seen.faults),
        "faults": seen.faults,
        "loose": by_slot(seen.faults).get("", ()),
        "files": sorted(files),
        "work": work,
    }


def save(visit: Visit) -> Response:
    """Keep what was typed; the answer tells the page what to show anew."""
    texts = {name: text for name, text in visit.form.items() if name not in ("seen", "window")}
    with visit.reads() as db:
        before, _ = look_again(visit, db, works.get_work(db, visit.id()))
    with visit.db() as db:
        saved = saves.save(db, visit.id(), texts, _seen(visit), visit.who, window_of(visit))
    with visit.reads() as db:
        after, files = look_again(visit, db, saved.work)
    return _saved(visit, saved, before.faults, after, files, texts)


def news(visit: Visit) -> Response:
    """What others changed since the page was last told; nothing when they changed nothing."""
    seen, window = number_of(visit.asked("seen")), plain_window(visit.asked("window"))
    with visit.reads() as db:
        found = saves.news(db, visit.id(), seen, window)
        if not found.elsewhere:
            return _state_news(visit, db, found.work)
        after, files = look_again(visit, db, found.work)
    return _saved(visit, found, (), after, files, {})


def _state_news(visit: Visit, db: sa.Connection, work: Work) -> Response:
    """The state of the work, if it is not the one that the page shows."""
    if visit.asked("state") in ("", work.state):
        return Response(status_code=204)
    who, _ = last(db, work.id, works.STATE_LINE)
    return visit.page("state_news.html", work=work, states=STATES, who=who)


def _saved(
    visit: Visit,
    saved: Saved,
    before: Iterable[Fault],
    after: Checked,
    files: Iterable[str],
    texts: Mapping[str, str],
) -> Response:
    """Slots whose faults came, stayed or went, fields that another window changed, conflicts."""
    now_at = by_slot(after.faults)
    _begin_answer(visit, saved.work, after)
    slots = {slot: now_at.get(slot, ()) for slot in {*by_slot(before), *now_at, *texts} if slot}
    source = Source(saved.work.typed, now_at)
    others = [path for path in saved.elsewhere if path not in texts and field_at(path)]
    lists = {list_row(path)[0].removesuffix("[") for path in others} - {""}
    conflicts = {path: texts.get(path, "") for path in saved.conflicts}
    response = visit.page(
        "saved.html",
        status=409 if conflicts else 200,
        work=saved.work,
        faults=after.faults,
        loose=now_at.get("", ()),
        slots={slot: faults for slot, faults in slots.items() if slot not in conflicts},
        texts=texts,
        conflicts=conflicts,
        moved=saved.moved,
        elsewhere=saved.elsewhere,
        fields=[item_at(path, source) for path in others if not list_row(path)[0]],
        lists=[item_at(path, source) for path in sorted(lists)],
        who_in={name: saved.elsewhere[p] for p in others if (name := list_row(p)[0][:-1])},
        read=[item_at(path, source) for path in texts if path not in conflicts],
        files=sorted(files),
    )
    response.headers["HX-Trigger"] = "case-changed"
    return response


def _begin_answer(visit: Visit, work: Work, seen: Checked) -> None:
    """Have the answer begun at once, before the page asks for it."""
    reckoner: Reckoner = visit.desk.kept["reckoner"]
    if seen.loaded is not None:
        reckoner.want(work.id, seen.toml, seen.loaded.path.parent)


def undo(visit: Visit) -> Response:
    return _step(visit, steps.undo, "undone")


def redo(visit: Visit) -> Response:
    return _step(visit, steps.redo, "brought back")


def _step(visit: Visit, step: Any, done: str) -> Response:
    """Take a change of one's own back, or bring it back, and show the form anew."""
    instead = number_of(visit.form.get("instead", ""))
    with visit.db() as db:
        stepped = step(db, visit.id(), visit.who, window_of(visit), instead)
    with visit.reads() as db:
        seen, files = look_again(visit, db, stepped.work)
    _begin_answer(visit, stepped.work, seen)
    response = visit.page(
        "form_anew.html",
        stepped=stepped,
        done=done,
        step=step.__name__,
        **_form(stepped.work, seen, files),
    )
    response.headers["HX-Trigger"] = "case-changed"
    return response


def open_row(visit: Visit) -> Response:
    """A list with one more, empty row."""
    path = visit.asked("open")
    with visit.reads() as db:
        work = works.get_work(db, visit.id())
        seen, files = look_again(visit, db, work)
    group = _list_around(path, Source(work.typed, by_slot(seen.faults), opened=(path,)))
    return visit.page("group.html", group=group, work=work, files=sorted(files), opened=path)


def remove_row(visit: Visit) -> Response:
    """A list without one of its rows."""
    row = visit.form.get("row", "")
    _list_around(row, Source({}, {}))
    with visit.db() as db:
        saved = saves.remove_row(db, visit.id(), row, _seen(visit), visit.who, window_of(visit))
    with visit.reads() as db:
        seen, files = look_again(visit, db, saved.work)
    if saved.conflicts:
        fault = Fault(row, "changed in another window", mend="reload the page, then remove it")
        raise CaseError("The row was not removed.", [fault])
    _begin_answer(visit, saved.work, seen)
    response = visit.page("form_anew.html", stepped=None, **_form(saved.work, seen, files))
    response.headers["HX-Trigger"] = "case-changed"
    return response


def _list_around(row: str, source: Source) -> Group:
    """The list that a row such as ``quotes[2]`` belongs to. MissingError when there is none."""
    match = ROW.fullmatch(row)
    try:
        item = item_at(match[1], source) if match else None
    except KeyError:
        item = None
    if not isinstance(item, Group) or not item.adds:
        raise MissingError("There is no such list.", [Fault(row[:60], "no such list")])
    return item


def show_field(visit: Visit) -> Response:
    """One field as stored: what another window saved is taken."""
    path = visit.asked("path")
    if field_at(path) is None:
        raise MissingError("There is no such field.", [Fault(path[:60], "no such field")])
    with visit.reads() as db:
        work = works.get_work(db, visit.id())
        seen, files = look_again(visit, db, work)
    item = item_at(path, Source(work.typed, by_slot(seen.faults)))
    assert isinstance(item, FormField)
    return visit.page("field.html", item=item, work=work, files=sorted(files))


def history(visit: Visit) -> Response:
    """Every change of the case, newest first, and what else was done with it."""
    before = number_of(visit.asked("before"))
    with visit.reads() as db:
        work = works.get_work(db, visit.id())
        client = clients.get_client(db, work.client_id)
        changes = works.history(db, work.id, before)
        lines = recent(db, work.id, but=saves.KINDS)
    older = changes[-1].number if len(changes) == works.HISTORY_AT_MOST else 0
    return visit.page(
        "history.html", work=work, client=client, changes=changes, older=older, lines=lines
    )


def download(visit: Visit) -> Response:
    """The case as a file: commented when it is sound, as typed when it is not."""
    with visit.reads() as db:
        work = works.get_work(db, visit.id())
        client = clients.get_client(db, work.client_id)
        seen, _ = look(db, work)
    text = typed_toml(work.typed) if seen.loaded is None else case_text(seen.loaded.case)
    name = file_name(client.name, work.title, otherwise="case")
    headers = {"content-disposition": f'attachment; filename="{name}.toml"'}
    return Response(text, media_type="application/toml", headers=headers)


def _seen(visit: Visit) -> int:
    """The number of the last change that the page has seen."""
    return number_of(visit.form.get("seen", ""))


def number_of(text: str) -> int:
    """The number of a change; 0 for anything else."""
    return int(text) if text.isdecimal() and len(text) < 10 else 0


def window_of(visit: Visit) -> str:
    """The window of the browser that asks."""
    return plain_window(visit.form.get("window", ""))


def plain_window(text: str) -> str:
    """The name of a window, as windows are named."""
    return re.sub(r"[^0-9a-f]", "", text)[:32]
