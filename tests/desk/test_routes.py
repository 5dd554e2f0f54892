"""Every address of the desk, asked by a machine that makes up sound and unsound requests.

The description that it works from is made of the desk's own table of addresses and the case's
field table, so that a new page or field is attacked without anybody thinking of it.
"""

from __future__ import annotations

import json
import re
import warnings
from typing import Any
from urllib.parse import quote

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, Phase, given, settings
from visitors import HERE, Browser, add_client, browser_of, come_in, in_words, sign_in

from tankful.desk.app import DOORS, PAGES
from tankful.desk.doors.guard import HEADERS
from tankful.desk.store.tables import STATES, meta
from tankful.desk.visit import Desk
from tankful.model.case import Case
from tankful.model.fields import field_table

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import schemathesis

POSITIVE = schemathesis.GenerationMode.POSITIVE

HOSTILE = ("", "x", "\0", "../..", "<b>'\"", "\u202ex", "9" * 40, "-1", "٣", "=1+1", "{{ 7 * 7 }}")
FORMS = "application/x-www-form-urlencoded"
FILES = "multipart/form-data"
TRIES = 6
"""Of each address, sound and unsound each."""


def one_of(*values: str) -> dict[str, Any]:
    return {"enum": sorted({*values, *HOSTILE})}


def paths_of_fields() -> list[str]:
    """Every field as the form names it, first rows of lists alone."""
    paths = (row.path.replace("[]", "[1]") for row in field_table(Case))
    return sorted({path.rpartition("[1].")[0] if "hours[1]." in path else path for path in paths})


PAIR = {"a": one_of("0" * 16), "b": one_of("f" * 16)}
QUERIES = {
    "/": {"q": one_of("Ada"), "state": one_of(*STATES), "archived": one_of("1")},
    "/clients/{id}/news": {"seen": one_of("0", "1"), "window": one_of("ab")},
    "/clients/{id}/jotting": {"kind": one_of("notes", "contact")},
    "/clients/{id}/compare": PAIR,
    "/clients/{id}/compare/part": {
        **PAIR,
        **{name: one_of("1") for name in ("go", "stop", "watch", "know")},
    },
    "/cases/{id}/row": {"open": one_of("quotes[1]", "quotes[9999]", "electricity.arrays[2]")},
    "/cases/{id}/field": {"path": one_of("name", "heater.hours", "quotes[1].family", "place")},
    "/cases/{id}/answer": {"whole": one_of("1")},
    "/cases/{id}/preview": {"name": one_of("meter.csv")},
    "/cases/{id}/pictures/{kind}": {
        name: one_of("1", "heat-pump-timed", "2026-06-21", "feed-in")
        for name in ("go", "stop", "watch", "option", "beside", "date", "x", "y")
    },
    "/cases/{id}/news": {
        "seen": one_of("0", "1"),
        "window": one_of("ab"),
        "state": one_of(*STATES),
    },
    "/cases/{id}/history": {"before": one_of("1")},
    "/cases/{id}/report": {"size": one_of("full", "short")},
    "/cases/{id}/report/part": {
        "size": one_of("full", "short"),
        **{name: one_of("1") for name in ("go", "first", "stop", "watch", "heard", "know")},
    },
    "/cases/{id}/report/{kind}": {name: one_of("1") for name in ("state", "name", "save")},
    "/enter": {"key": {"type": "string"}},
}
NAMES = {
    "client": {"type": "string", "maxLength": 130},
    "archived": one_of("0", "1"),
    "was": one_of("Ada Example"),
}
FIELDS = {
    path: {"anyOf": [one_of("1", "2480", "true", "22:00 to 07:00"), {"type": "string"}]}
    for path in paths_of_fields()
}
SEEN = {"seen": one_of("0", "1"), "window": one_of("ab")}
CONTENTS = one_of('[place]\npostcode = "2480"\n', "100,NEM12,1,a,b\n900\n", "x" * 5000)
UPLOAD = {
    "file": {"anyOf": [CONTENTS, {"type": "string"}]},
    "file name": one_of("a.toml", "meter.csv", "a.epw"),
}
BODIES = {
    "/clients": {**NAMES, **{path: FIELDS[path] for path in ("place.postcode", "people.count")}},
    "/clients/{id}/jot": {"notes": {"type": "string"}, "both": one_of("1"), **SEEN},
    "/clients/{id}/delete": {"name": one_of("Ada Example"), "seen": {"type": "string"}},
    "/clients/{id}/cases": {"title": {"type": "string"}, "like": one_of("")},
    "/clients/import": UPLOAD,
    "/clients/{id}/import": UPLOAD,
    "/cases/{id}/save": {**FIELDS, **SEEN},
    "/cases/{id}/remove": {"row": one_of("quotes[1]", "quotes[0]", "quotes", "name[1]"), **SEEN},
    "/cases/{id}/state": {"state": one_of(*STATES), "was": one_of(*STATES)},
    "/cases/{id}/title": {"title": {"type": "string"}, "was": one_of("Hot water")},
    "/cases/{id}/upload": UPLOAD,
    "/cases/{id}/use": {"name": one_of("meter.csv"), "instead_of": one_of("", "other.csv")},
    "/cases/{id}/drop": {"name": one_of("meter.csv"), "saw-meter.csv": one_of("e3b0")},
    "/settings": {
        **{name: {"type": "string"} for name in ("name", "contact", "foreword", "closing")},
        "accent": one_of("#123456"),
        "no_logo": one_of("1"),
        "logo_before": one_of("PHN2Zy8+", "not base 64"),
        "saw-name": one_of("e3b0c44298fc"),
        "take-name": one_of("mine", "theirs"),
        **UPLOAD,
    },
    "/login": {"name": one_of("ada", "ben"), "password": {"type": "string"}},
}
KINDS = ["pdf", "html", "choices", "one", "day", "map", "flips", "futures"]


def described(ids: dict[str, str]) -> dict[str, Any]:
    """The desk's addresses in the terms of OpenAPI 3.1; ``ids`` are those that exist: a client's,
    a case's to be changed, and a sound case's to be looked at."""
    paths: dict[str, Any] = {}
    for method, path, _ in (*PAGES, *DOORS):
        if path == "/leave":
            continue  # ends the session that the others need
        known = ids["client"] if path.startswith("/clients") else ids[method]
        parts = {"id": [known], "kind": KINDS, "name": ["meter.csv", "..%2Fx"]}
        parameters = [
            {"name": name, "in": "path", "required": True, "schema": {"enum": values}}
            for name, values in parts.items()
            if f"{{{name}}}" in path
        ]
        asked = QUERIES.get(path, {}) if method == "GET" else {}
        parameters += [{"name": name, "in": "query", "schema": s} for name, s in asked.items()]
        responses = {"default": {"description": "any"}}
        operation: dict[str, Any] = {"parameters": parameters, "responses": responses}
        if method == "POST":
            held = BODIES.get(path, {**NAMES, **SEEN})
            schema = {"type": "object", "properties": held, "additionalProperties": False}
            schema["required"] = ["file"] if "file" in held else []
            kind = FILES if "file" in held else FORMS
            operation["requestBody"] = {"required": True, "content": {kind: {"schema": schema}}}
        paths.setdefault(path, {})[method.lower()] = operation
    info = {"title": "The desk", "version": "1"}
    return {"openapi": "3.1.0", "info": info, "paths": paths}


def text(value: object) -> str:
    return value if isinstance(value, str) else json.dumps(value)


def ask(browser: Browser, case: schemathesis.Case, token: str, *, part: bool = False) -> Any:
    """Send a request as a browser would, or as the script of a page that asks for a ``part``."""
    path = quote(case.formatted_path, safe="/%")
    params = {name: text(value) for name, value in dict(case.query or {}).items()}
    if case.method == "GET":
        return browser.get(path, params=params, headers={"hx-request": "true"} if part else {})
    headers = {"origin": HERE, "x-desk-token": token}
    if not isinstance(case.body, dict):
        kind = {"content-type": case.media_type or FORMS}
        return browser.post(path, content=repr(case.body).encode(), headers={**headers, **kind})
    data = {text(name): text(value) for name, value in case.body.items()}
    files = None
    if "file" in data:
        name = data.pop("file name", "a.toml")
        files = {"file": (name, data.pop("file").encode("utf-8", "ignore"))}
    return browser.post(path, data=data, files=files, headers=headers)


def hold(answer: Any, path: str) -> None:
    """What is so of every answer."""
    assert answer.status_code < 500, answer.text
    for name, value in HEADERS.items():
        if name != "content-security-policy" or "/report/" not in path:
            assert answer.headers[name] == value
    assert re.search("frame-ancestors '(none|self)'", answer.headers["content-security-policy"])
    assert answer.headers["cache-control"] == "no-store"
    if answer.status_code >= 400:
        assert in_words(answer)


def kept(desk: Desk) -> dict[str, list[Any]]:
    """All that the desk keeps, but for who came in and who asked for what."""
    tables = [table for table in meta.sorted_tables if table.name not in ("session", "audit")]
    with desk.engine.connect() as db:
        return {table.name: list(db.execute(sa.select(table))) for table in tables}


def lines_of_audit(desk: Desk) -> int:
    with desk.engine.connect() as db:
        return int(db.scalar(sa.text("SELECT count(*) FROM audit")))


def attack(desk: Desk, adviser: Browser, others: list[tuple[Browser, str]], tries: int) -> int:
    """Ask every address; ``others`` with their tokens must change nothing. How often it was
    asked."""
    changed, sound = add_client(adviser), add_client(adviser)
    client = re.search(r"/clients/(\w+)", adviser.get(changed).text)
    assert client
    ids = {"client": client[1], "POST": changed, "GET": sound}
    description = described({name: place.rpartition("/")[2] for name, place in ids.items()})
    asked = 0

    def once(case: schemathesis.Case) -> None:
        nonlocal asked
        asked += 1
        before = kept(desk)
        for browser, token in (*others, (adviser, "")):
            answer = ask(browser, case, token)
            hold(answer, case.path)
            if case.method == "POST":
                assert answer.status_code >= 400
        if case.method == "GET":
            hold(ask(adviser, case, "", part=True), case.path)
        assert kept(desk) == before, "changed by somebody who may not"
        if case.method == "POST":
            lines = lines_of_audit(desk)
            hold(ask(adviser, case, adviser.token), case.path)
            assert kept(desk) == before or lines_of_audit(desk) > lines, "changed without a line"

    for found in schemathesis.openapi.from_dict(description).get_all_operations():
        operation = found.ok()
        asks = any((operation.path_parameters, operation.query, operation.body))
        for mode in schemathesis.GenerationMode if asks else (POSITIVE,):
            made = operation.as_strategy(generation_mode=mode)
            quiet = settings(
                max_examples=tries,
                derandomize=True,
                database=None,
                deadline=None,
                phases=[Phase.generate],
                suppress_health_check=list(HealthCheck),
            )
            quiet(given(made)(once))()
    return asked


@pytest.fixture(autouse=True)
def unhurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine asks faster than the desk allows anybody."""
    monkeypatch.setattr("tankful.desk.doors.guard.CHANGES_AT_ONCE", 1e9)
    monkeypatch.setattr("tankful.desk.visit.CHANGES_AT_ONCE", 1e9)


def test_no_request_breaks_an_office_or_changes_what_its_sender_may_not(office: Desk) -> None:
    ada = sign_in(office, "ada", "correct horse battery")
    ben = sign_in(office, "ben", "staple battery horse")
    others = [(browser_of(office), ada.token), (ben, ben.token)]
    assert attack(office, ada, others, TRIES) > 300


def test_no_request_breaks_a_desk_of_one(desk: Desk) -> None:
    others = [(browser_of(desk), "guessed")]
    assert attack(desk, come_in(desk), others, TRIES // 3) > 100
