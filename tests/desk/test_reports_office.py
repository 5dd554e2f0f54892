"""Reports in an office: each gets theirs, nobody calls off another's, takers are noted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from benches import Bench, until
from office import Office
from visitors import Browser, add_client, in_words, sign_in

from tankful.desk.lane import Done
from tankful.desk.press import Printed
from tankful.desk.store import people
from tankful.desk.store.engine import reading, sqlite_address, transaction
from tankful.desk.store.record import recent
from tankful.desk.store.works import Work, get_work
from tankful.desk.studio import UNWATCHED_S
from tankful.desk.visit import Desk
from tankful.errors import CaseError, Fault

PART = {"hx-request": "true"}


@pytest.fixture
def bench(office: Desk) -> Iterator[Bench]:
    """What makes the office's reports, held in the hand."""
    made = Bench()
    office.kept["studio"] = made.studio
    yield made
    made.studio.close()


@pytest.fixture
def ada(office: Desk) -> Browser:
    return sign_in(office, "ada", "correct horse battery")


@pytest.fixture
def cid(office: Desk) -> Browser:
    """Another adviser."""
    with transaction(office.engine) as db:
        people.put_account(db, "cid", "horse battery staple", "adviser", "test")
    return sign_in(office, "cid", "horse battery staple")


@pytest.fixture
def ben(office: Desk) -> Browser:
    """A reader."""
    return sign_in(office, "ben", "staple battery horse")


def a_case(browser: Browser, name: str) -> str:
    """The address of a new client's case."""
    found = add_client(browser, name)
    return re.sub(r"^https?://[^/]+", "", found)


def report(browser: Browser, case: str, **asked: str) -> str:
    answer = browser.get(f"{case}/report/part", params=asked, headers=PART)
    assert answer.status_code == 200
    return in_words(answer)


def begin(browser: Browser, case: str) -> str:
    return report(browser, case, go="1")


def of(case: str) -> Done:
    text = f"Report of {case}".encode()
    return Done(report=Printed(b"%PDF-" + text, text))


def come(bench: Bench, browser: Browser, case: str) -> None:
    """The report that is being made for a case."""
    until(lambda: bool(bench.begun))
    order = bench.begun[-1]
    bench.becomes(of(case), order.toml)
    until(lambda: "Download PDF" in report(browser, case))


def links(browser: Browser, case: str) -> tuple[str, str]:
    page = browser.get(f"{case}/report").text
    found = {
        kind: re.search(rf'href="([^"]*/report/{kind}[^"]*)"', page) for kind in ("pdf", "html")
    }
    assert found["pdf"]
    assert found["html"]
    return found["pdf"][1].replace("&amp;", "&"), found["html"][1].replace("&amp;", "&")


def taken(browser: Browser, case: str) -> tuple[str, str]:
    """What is downloaded as PDF and HTML."""
    pdf, page = (browser.get(link) for link in links(browser, case))
    assert pdf.status_code == page.status_code == 200
    return pdf.text.removeprefix("%PDF-"), page.text


def test_reports_of_two_clients_go_to_those_who_asked_and_their_takers_are_noted(
    office: Desk, bench: Bench, ada: Browser, cid: Browser
) -> None:
    hers, his = a_case(ada, "Her Client"), a_case(cid, "His Client")
    assert "Call it off" in begin(ada, hers)
    until(lambda: len(bench.begun) == 1)
    said = begin(cid, his)
    assert "Waits for 1 report before it" in said
    come(bench, ada, hers)
    until(lambda: len(bench.begun) == 2)
    assert "Waits" not in report(cid, his, watch="1")
    come(bench, cid, his)
    assert taken(ada, hers) == (f"Report of {hers}",) * 2
    assert taken(cid, his) == (f"Report of {his}",) * 2
    for case, who in ((hers, "ada"), (his, "cid")):
        assert takers(office, case) == [(who, "html"), (who, "pdf")]


def takers(office: Desk, case: str) -> list[tuple[str, str]]:
    with reading(office.engine) as db:
        lines = recent(db, case.rpartition("/")[2])
    return [
        (who, what.rpartition(" ")[2])
        for _, who, what in lines
        if what.startswith("took the report as ")
    ]


def test_one_report_that_two_ask_for_at_once_is_made_once_for_both(
    office: Desk, bench: Bench, ada: Browser, cid: Browser
) -> None:
    case = a_case(ada, "Both Their Client")
    for browser in (ada, cid):
        assert "Call it off" in begin(browser, case)
        assert "Call it off" in in_words(browser.get(f"{case}/report"))
    come(bench, ada, case)
    assert len(bench.begun) == 1
    assert taken(cid, case) == taken(ada, case) == (f"Report of {case}",) * 2
    assert {who for who, _ in takers(office, case)} == {"ada", "cid"}


def test_calling_off_a_report_leaves_it_to_who_else_waits_for_it(
    bench: Bench, ada: Browser, cid: Browser
) -> None:
    case = a_case(ada, "Both Their Client")
    for browser in (ada, cid):
        begin(browser, case)
    until(lambda: bool(bench.begun))
    said = report(ada, case, stop="1")
    assert "The report was called off." in said
    assert "Make the full report" in said
    assert "Call it off" in report(cid, case)
    come(bench, cid, case)
    assert len(bench.begun) == 1
    assert "Download PDF" in in_words(ada.get(f"{case}/report"))


def test_no_report_is_begun_unasked_and_one_that_was_called_off_waits_for_the_button(
    bench: Bench, ada: Browser
) -> None:
    case = a_case(ada, "Thinks Again")
    page = in_words(ada.get(f"{case}/report"))
    assert "Make the full report" in page
    assert "Make the short report" in page
    assert bench.begun == []
    begin(ada, case)
    report(ada, case, stop="1")
    for _ in range(2):
        page = in_words(ada.get(f"{case}/report"))
        assert "Make the full report" in page
        assert "Call it off" not in page
    assert "Call it off" in report(ada, case, go="1")
    report(ada, case, stop="1")
    saved = ada.change(
        f"{case}/save",
        {"people.count": "4", "seen": "1", "window": "0123456789abcdef"},
        headers=PART,
    )
    assert saved.status_code == 200
    assert "Call it off" not in in_words(ada.get(f"{case}/report"))


def test_the_report_that_is_there_or_under_way_is_shown(bench: Bench, ada: Browser) -> None:
    case = a_case(ada, "Wants It Short")
    asked = {"size": "short", "go": "1", "first": "1"}
    sent = ada.get(f"{case}/report/part", params=asked, headers=PART)
    assert sent.headers["hx-redirect"] == f"{case}/report?size=short"
    assert "Call it off" in in_words(ada.get(f"{case}/report"))
    until(lambda: bool(bench.begun))
    bench.becomes(of(case), bench.begun[-1].toml)
    until(lambda: "Download PDF" in in_words(ada.get(f"{case}/report")))
    assert [order.kind for order in bench.begun] == ["brief"]
    full = in_words(ada.get(f"{case}/report?size=full"))
    assert "Make the full report" in full


def test_a_report_whose_page_was_left_is_dropped_and_waits_for_the_button(
    bench: Bench, ada: Browser
) -> None:
    case = a_case(ada, "Closes The Tab")
    begin(ada, case)
    until(lambda: bool(bench.begun))
    bench.now += UNWATCHED_S - 1.0
    assert "Make the full" not in report(ada, case, watch="1")
    bench.now += UNWATCHED_S + 1.0
    until(lambda: len(bench.dropped) == 1)
    assert "broke off" in report(ada, case, watch="1")
    assert "Make the full report" in in_words(ada.get(f"{case}/report"))


def test_a_fault_is_told_and_not_tried_again_by_opening_the_page(
    bench: Bench, ada: Browser
) -> None:
    case = a_case(ada, "Has A Fault")
    begin(ada, case)
    until(lambda: bool(bench.begun))
    fault = CaseError("No report.", [Fault("logo", "is too strange", mend="choose another")])
    bench.becomes(Done(fault=fault), bench.begun[0].toml)
    until(lambda: "too strange" in report(ada, case))
    assert "too strange" in in_words(ada.get(f"{case}/report"))
    assert len(bench.begun) == 1


def test_a_reader_has_a_report_made_and_takes_it_and_the_case_stays_as_it_was(
    office: Desk, bench: Bench, ada: Browser, ben: Browser
) -> None:
    case = a_case(ada, "Is Read")
    before = work_of(office, case)
    begin(ben, case)
    come(bench, ben, case)
    assert taken(ben, case) == (f"Report of {case}",) * 2
    assert takers(office, case) == [("ben", "html"), ("ben", "pdf")]
    assert "Mark the work" in ada.get(f"{case}/report").text
    assert "Mark the work" not in ben.get(f"{case}/report").text
    assert ben.change(f"{case}/state", {"state": "report_sent"}).status_code == 403
    assert work_of(office, case) == before


def test_a_report_marked_as_sent_stays_in_view_and_is_named_in_the_record(
    office: Desk, bench: Bench, ada: Browser
) -> None:
    case = a_case(ada, "Gets Mail")
    ada.change(f"{case}/save", {"people.count": "4", "seen": "0", "window": "a"})
    report(ada, case, size="short", go="1")
    until(lambda: bool(bench.begun))
    bench.becomes(of(case), bench.begun[-1].toml)
    until(lambda: "Download PDF" in report(ada, case, size="short"))
    ada.change(f"{case}/save", {"people.count": "5", "seen": "1", "window": "b"})
    page = ada.get(f"{case}/report/part", params={"size": "short"}, headers=PART).text
    sent = re.search(r'name="sent" value="([^"]+)"', page)
    assert sent
    marked = {"state": "report_sent", "was": "draft", "sent": sent[1]}
    assert ada.change(f"{case}/state", marked).headers["location"] == f"{case}/report?size=short"
    line = "state is now “Report sent”: short report of change 1"
    assert line in in_words(ada.get(f"{case}/history"))


def work_of(office: Desk, case: str) -> Work:
    with reading(office.engine) as db:
        return get_work(db, case.rpartition("/")[2])


def test_after_signing_out_no_report_can_be_reached(bench: Bench, ada: Browser) -> None:
    case = a_case(ada, "Stays Private")
    begin(ada, case)
    come(bench, ada, case)
    addresses = (*links(ada, case), f"{case}/report", f"{case}/report/part?go=1")
    for address in addresses:
        assert ada.get(address).headers["cache-control"] == "no-store"
    cookies = dict(ada.cookies)
    ada.change("/leave")
    ada.cookies.update(cookies)  # a cookie that somebody kept opens nothing either
    for address in addresses:
        answer = ada.get(address)
        assert (answer.status_code, answer.headers["location"]) == (303, "/login")
        assert "Report of" not in answer.text
        assert ada.get(address, headers=PART).status_code == 401
    assert len(bench.begun) == 1


def test_two_advisers_get_the_reports_of_their_households_from_a_desk_at_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the processes of a real desk; short reports on a long step, for the time's sake."""
    desk = Office(tmp_path, sqlite_address(tmp_path))
    try:
        cases = {}
        for person in desk.advisers:
            case = person.add_client(f"Household of {person.name}")
            person.open(case)
            for path, text in (("name", f"{person.name}'s own"), ("simulation.step_min", "60")):
                reply = person.save(case, path, text)
                assert reply.kept
                person.seen[case] = reply.number
            cases[person.name] = f"/cases/{case}"
        for person in desk.advisers:
            for case in cases.values():  # their own and the other's
                asked = {"size": "short", "go": "1"}
                person.http.get(f"{case}/report/part", params=asked, headers=PART)
        for person in desk.advisers:
            for name, case in cases.items():
                found: list[str] = []

                def is_there(person=person, case=case, found=found) -> bool:  # type: ignore[no-untyped-def]
                    page = person.http.get(f"{case}/report/part?size=short", headers=PART).text
                    found[:] = re.findall(r'src="([^"]*/report/html[^"]*)"', page)
                    return bool(found)

                until(is_there, 300.0)
                html = person.http.get(found[0].replace("&amp;", "&")).text
                assert f"{name}&#39;s own" in html
        assert "Traceback" not in desk.desk.log
    finally:
        desk.close()
