"""Hostile names, case files and uploads, on each kind of database."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest
import sqlalchemy as sa
from visitors import HERE, Browser, add_client, come_in, desk_on, in_words

from tankful.casefile.naming import name_of
from tankful.desk.form import slot_of
from tankful.desk.store import clients
from tankful.errors import CaseError

SOUND = b'[place]\npostcode = "2480"\n'


@pytest.fixture
def visitor(engine: sa.Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Browser:
    """A browser that is in, on each kind of database."""
    monkeypatch.setenv("TANKFUL_CACHE_DIR", str(tmp_path / "cache"))
    return come_in(desk_on(engine, tmp_path))


@pytest.fixture
def case(visitor: Browser) -> str:
    """The address of a case."""
    return add_client(visitor)


@pytest.fixture
def client(visitor: Browser, case: str) -> str:
    """The address of its client."""
    found = re.search(r"/clients/\w+", visitor.get(case).text)
    assert found
    return found[0]


BAD_CASES = {
    "NUL": (b'name = "a\0b"', "not text"),
    "NUL escaped": (b'name = "a\\u0000b"', "cannot be printed"),
    "UTF-16": ('name = "a"'.encode("utf-16"), "UTF-16"),
    "UTF-16 unmarked": ('name = "a"'.encode("utf-16-le"), "not text"),
    "Latin-1": (b'name = "\xe9"', "not UTF-8 text"),
    "half a character": (b'name = "\xed\xa0\x80"', "not UTF-8 text"),
    "half a character escaped": (b'name = "\\ud800"', "not sound TOML"),
    "gzip": (b"\x1f\x8b\x08\0\0\0\0\0", "not text"),
    "zip": (b"PK\x03\x04\0\0", "not text"),
    "entities": (b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "not sound TOML"),
    "deep": (b"name = " + b"[" * 100_000, "nested too deeply"),
    "endless number": (b"[people]\ncount = " + b"9" * 5000, "too many digits"),
    "endless hexadecimal": (b"[people]\ncount = 0x" + b"F" * 5000, "too many digits"),
    "one line": (b'name = "' + b"x" * 900_000 + b'"', "too long"),
    "too large": (b"#" * 1_000_001, "too large to be a case"),
    "rows": (b"[[quotes]]\n" * 90_000, "too many entries"),
    "a field elsewhere": (
        b"[people]\nmeter_file = 'm'\n",
        "meter_file: no such key. It belongs in [electricity]",
    ),
    "formula": (b"=cmd|' /C calc'!A0", "not sound TOML"),
}


@pytest.mark.parametrize(("raw", "words"), BAD_CASES.values(), ids=BAD_CASES)
def test_a_hostile_case_file_is_one_clear_fault(
    raw: bytes, words: str, visitor: Browser, client: str
) -> None:
    before = in_words(visitor.get(client))
    answer = visitor.change(f"{client}/import", files={"file": ("case.toml", raw)})
    assert answer.status_code in (413, 422)
    assert words in in_words(answer)
    assert "case.toml" not in visitor.get(client).text
    assert in_words(visitor.get(client)) == before


@pytest.mark.parametrize(
    ("case", "name"),
    [
        (b'name = "Fern family"\n', "Fern family"),
        (b"", "home"),
        (b'name = "  "\n', "home"),
        (b'name = "' + b"x" * 300 + b'"\n', "x" * 120),
        (b'name = "<script>"\n', "&lt;script&gt;"),
    ],
)
def test_a_case_file_on_the_list_becomes_a_client_of_its_name(
    case: bytes, name: str, visitor: Browser
) -> None:
    answer = visitor.change("/clients/import", files={"file": ("home.toml", case + SOUND)})
    assert answer.status_code == 303, answer.text
    assert f">{name}</a></th>" in visitor.get("/").text


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("../../etc/passwd.toml", "passwd"),
        ("C:\\Users\\x\\home.toml", "home"),
        ("  .toml", "Hot water"),
        ("a\u202elmot.toml", r"a\u202elmot"),
        ("<script>.toml", "&lt;script&gt;"),
        ("x" * 300 + ".toml", "x" * 120),
        ("=1+1.toml", "=1+1"),
    ],
)
def test_the_name_of_a_case_file_becomes_a_harmless_title(
    name: str, title: str, visitor: Browser, client: str
) -> None:
    answer = visitor.change(f"{client}/import", files={"file": (name, SOUND)})
    assert answer.status_code == 303, answer.text
    assert f"<h1>{title}</h1>" in visitor.get(answer.headers["location"]).text


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("Ada\u202eelpmaxE", "AdaelpmaxE"),
        ("\u202aAda Example\u202c", "Ada Example"),
        ("A\u200bd\ufeffa", "Ada"),
        ("Ada\r\nSet-Cookie: x=y", "Ada Set-Cookie: x=y"),
        ("Zoë 家 👩", "Zoë 家 👩"),
        ("عدى", "عدى"),
        ("a\u00a0b\u2028c", "a b c"),
        ("\x1b[31mAda", "[31mAda"),
    ],
)
def test_a_name_is_kept_without_what_cannot_be_seen(
    typed: str, kept: str, visitor: Browser
) -> None:
    assert clients.clean(typed, "name") == kept
    page = visitor.get(add_client(visitor, typed)).text
    assert f'value="{kept}"' in page  # the case is named after its client
    assert "cannot be printed" not in page


@pytest.mark.parametrize("typed", ["", "  \t\n", "\u202e\u200b", "\0", "x" * 10_000])
def test_a_name_of_nothing_or_too_much_is_refused(typed: str, visitor: Browser) -> None:
    with pytest.raises(CaseError):
        clients.clean(typed, "name")
    answer = visitor.change("/clients", {"client": typed})
    assert answer.status_code == 422
    assert "Give 1 to 120 letters" in in_words(answer)


def test_what_is_downloaded_is_named_in_plain_letters(visitor: Browser, case: str) -> None:
    for title in ('a"; filename="x.exe', "a\r\nx: y", "\u202etxt.exe", "家", "../../x"):
        was = re.search('name="was" value="([^"]*)"', visitor.get(case).text)
        assert was
        visitor.change(f"{case}/title", {"title": title, "was": unescape(was[1])})
        named = visitor.get(f"{case}/file").headers["content-disposition"]
        assert re.fullmatch(r'attachment; filename="[a-z0-9-]+\.toml"', named)


def test_a_case_file_is_called_after_client_and_case(visitor: Browser) -> None:
    for client, file in (
        ("Marsh", "marsh-hot-water"),
        ("Zoë Łukasz-Nguyễn & Co", "zoe-lukasz-nguyen-co-hot-water"),
        ("家", "hot-water"),
    ):
        named = visitor.get(f"{add_client(visitor, client)}/file").headers["content-disposition"]
        assert named == f'attachment; filename="{file}.toml"'


def test_a_field_with_marks_that_cannot_be_seen_is_told(visitor: Browser, case: str) -> None:
    saved = visitor.change(f"{case}/save", {"name": "a\u202eb", "seen": "0"})
    assert saved.status_code == 200
    assert "Holds characters that cannot be printed" in in_words(saved)


def test_nul_in_an_address_finds_nothing(visitor: Browser, case: str) -> None:
    for path in (
        "/clients/a%00",
        "/cases/a%00",
        f"{case}/preview?name=a%00",
        f"{case}/field?path=%00",
    ):
        answer = visitor.get(path)
        assert answer.status_code == 404
        assert "There is no such" in in_words(answer)
    assert visitor.get("/?q=%00Ada&state=%00").status_code == 200


def test_a_row_before_the_first_is_none(visitor: Browser, case: str) -> None:
    visitor.change(f"{case}/save", {"quotes[1].family": "timer", "seen": "0"})
    for row in ("quotes[0]", "quotes[00]", "quotes[-1]", "quotes[٣]", "quotes[1", "[1]", "..[1]"):
        answer = visitor.change(f"{case}/remove", {"row": row, "seen": "9"})
        assert (row, answer.status_code) == (row, 404)
    assert 'name="quotes[1].family"' in visitor.get(case).text


def test_a_case_that_names_a_missing_file_is_downloaded_as_typed(
    visitor: Browser, case: str
) -> None:
    visitor.change(f"{case}/save", {"electricity.meter_file": "/etc/passwd", "seen": "0"})
    assert "No such file with this case" in in_words(visitor.get(case))
    assert 'meter_file = "/etc/passwd"' in visitor.get(f"{case}/file").text


def test_what_is_no_form_is_told_in_words(visitor: Browser) -> None:
    headers = {"origin": HERE, "x-desk-token": visitor.token}
    part = b'--x\r\nContent-Disposition: form-data; name="client"\r\n\r\n'
    for kind, body, status in (
        ("multipart/form-data", b"", 422),
        ("multipart/form-data; boundary=x", b"no boundary", 422),
        ("multipart/form-data; boundary=x; charset=none", part + b"\xff\0\r\n--x--", 303),
        ("multipart/form-data; boundary=x", part.replace(b"; name", b"; nome"), 422),
        ("application/json", b'{"client": "Ada"}', 422),
        ("text/plain", b"client=Ada", 422),
    ):
        sent = {**headers, "content-type": kind}
        answer = visitor.post("/clients", headers=sent, content=body)
        assert (kind, body, answer.status_code) == (kind, body, status)
        assert status == 303 or in_words(answer)


@pytest.mark.parametrize(
    "path",
    ["quotes[1", "quotes[0]", "quotes[]", "place[1]", "quotes[1].x[2", "[", "]", ".", "a.b["],
)
def test_any_text_has_a_name_and_a_place_on_the_form(path: str) -> None:
    assert slot_of(path) in ("", "quotes", "quotes[1]", "place")
    assert name_of(path)
