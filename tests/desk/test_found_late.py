"""What only looking things up or answering finds stands at its field all the same."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hands import new_case
from playwright.sync_api import Page, expect
from visitors import Browser, Resting, add_client, in_words

from tankful.desk.check import at_fields
from tankful.desk.lane import Done, Job, answered
from tankful.desk.reckoner import Reckoner, Standing
from tankful.desk.visit import Desk
from tankful.errors import TankfulError

EXAMPLES = Path(__file__).parents[2] / "examples"
METER = EXAMPLES / "sample-home-meter.csv"
FIELD = "electricity.meter_file"


class Answering(Resting):
    """Answers at once what is refused, and nothing else."""

    faults = Reckoner.faults

    def __init__(self) -> None:
        self.standings: dict[str, Standing] = {}

    def want(self, case_id: str, toml: str, folder: Path) -> None:
        job = Job(toml, folder)
        self.standings[case_id] = Standing(job)
        try:
            answered(job, lambda *_: None)
        except TankfulError as fault:
            self.standings[case_id].quick = Done(fault=at_fields(fault, toml))

    def standing(self, case_id: str) -> Standing | None:
        return self.standings.get(case_id)

    async def wait(self, case_id: str, **_: object) -> Standing | None:
        return self.standings.get(case_id)


def short_of(whole: Path, days: int) -> bytes:
    """The first days of each register of a NEM12 file."""
    kept, so_far = [], 0
    for line in whole.read_bytes().splitlines(keepends=True):
        so_far += line.startswith(b"300,")
        so_far = 0 if line.startswith((b"200,", b"900")) else so_far
        kept += [line] if so_far <= days else []
    return b"".join(kept)


def fault_at(page: str, field: str) -> str:
    slot = "f-" + re.sub("[^a-z0-9]+", "-", field) + "-fault"
    found = re.search(rf'id="{slot}"[^>]*>(.*?)</div>', page, re.DOTALL)
    assert found, slot
    return re.sub("<[^>]+>", "", found[1]).strip()


def upload(browser: Browser, case: str, name: str, content: bytes) -> str:
    answer = browser.change(f"{case}/upload", {"window": "a"}, files={"file": (name, content)})
    assert answer.status_code == 200
    return in_words(answer)


def test_a_postcode_that_is_none_is_to_mend_and_waits_for_no_answer(browser: Browser) -> None:
    case = add_client(browser, **{"place.postcode": "9999"})
    page = browser.get(case)
    assert "1 thing to mend" in in_words(page)
    assert fault_at(page.text, "place.postcode").startswith("No such Australian postcode")
    told = browser.get(f"{case}/answer")
    assert "Waits until 1 thing is mended" in in_words(told)
    mended = browser.change(f"{case}/save", {"place.postcode": "2480", "seen": "0", "window": "a"})
    assert "Nothing to mend" in in_words(mended)
    assert fault_at(mended.text, "place.postcode") == ""


def test_what_only_answering_finds_stands_at_its_field_until_the_case_changes(
    desk: Desk, browser: Browser
) -> None:
    desk.kept["reckoner"] = Answering()
    case = add_client(browser)
    upload(browser, case, "short.csv", short_of(METER, 58))
    named = {FIELD: "short.csv", "seen": "0", "window": "a", "people.count": "3"}
    browser.change(f"{case}/save", {**named, "simulation.step_min": "60"})
    told = browser.get(f"{case}/answer")
    page = browser.get(case)
    for answer in (told, page):
        assert fault_at(answer.text, FIELD).startswith("Readings cover only"), answer.text
        assert "1 thing to mend" in in_words(answer)
        assert "meter_file" not in in_words(answer)
    mended = browser.change(f"{case}/save", {FIELD: "", "seen": "9", "window": "a"})
    assert fault_at(mended.text, FIELD) == ""
    assert "Nothing to mend" in in_words(mended)
    assert fault_at(browser.get(case).text, FIELD) == ""


def test_what_is_wrong_inside_a_file_keeps_its_line_and_stands_at_the_field(
    desk: Desk, browser: Browser
) -> None:
    desk.kept["reckoner"] = Answering()
    case = add_client(browser)
    lines = METER.read_bytes().splitlines(keepends=True)
    lines[13] = re.sub(rb"(300,\d+),[^,]+", rb"\1,lots", lines[13])
    said = upload(browser, case, "broken.csv", b"".join(lines))
    assert "Line 14 of broken.csv" in said
    browser.change(f"{case}/save", {FIELD: "broken.csv", "seen": "0", "window": "a"})
    told = fault_at(browser.get(f"{case}/answer").text, FIELD)
    assert "Line 14 of broken.csv" in told
    assert "case.toml" not in told


def test_a_meter_file_that_is_too_short_is_told_before_it_is_used(browser: Browser) -> None:
    case = add_client(browser)
    said = upload(browser, case, "short.csv", short_of(METER, 58))
    assert "Understood as meter readings, but it cannot be used" in said
    assert "at least 183 days" in said
    assert "Use this one" not in said
    assert "<option selected>short.csv" not in browser.get(case).text
    refused = browser.change(f"{case}/use", {"name": "short.csv", "instead_of": ""})
    assert refused.status_code == 409


def test_a_second_file_is_used_once_one_says_so(browser: Browser) -> None:
    case = add_client(browser)
    assert "the case uses it" in upload(browser, case, "first.csv", METER.read_bytes())
    said = upload(browser, case, "second.csv", METER.read_bytes())
    assert "the case still uses “first.csv”" in said
    assert "Use this one" in said
    other = browser.change(f"{case}/use", {"name": "second.csv", "instead_of": "third.csv"})
    assert (other.status_code, "nothing was changed" in in_words(other)) == (409, True)
    used = browser.change(f"{case}/use", {"name": "second.csv", "instead_of": "first.csv"})
    assert "the case uses it" in in_words(used)
    assert "<option selected>second.csv" in browser.get(case).text


def test_the_page_shows_at_the_field_what_the_answer_found(page: Page, tmp_path: Path) -> None:
    new_case(page, "Short Readings")
    short = tmp_path / "short.csv"
    short.write_bytes(short_of(METER, 58))
    page.set_input_files("[name=file]", short)
    page.click("text=Upload")
    expect(page.locator(".held")).to_contain_text("it cannot be used", timeout=30_000)
    page.evaluate("document.querySelectorAll('details').forEach((part) => (part.open = true))")
    page.select_option(f"[name='{FIELD}']", "short.csv")
    fault = page.locator("#f-electricity-meter-file-fault")
    expect(fault).to_contain_text("Readings cover only", timeout=60_000)
    expect(page.locator("#to-mend")).to_contain_text("1 thing to mend")
    expect(page.locator(f"[name='{FIELD}']")).to_have_attribute("aria-invalid", "true")
    page.select_option(f"[name='{FIELD}']", "")
    expect(fault).to_have_text("")
    expect(page.locator("#to-mend")).to_contain_text("Nothing to mend")
    expect(page.locator("#answer-body .best")).to_be_visible(timeout=60_000)


@pytest.mark.parametrize("field", ["place", "meter_file", "weather_file"])
def test_a_bare_field_is_told_by_the_label_of_the_form(field: str) -> None:
    from tankful.casefile.naming import name_of
    from tankful.errors import Fault, FileError

    (fault,) = at_fields(FileError("No.", [Fault(field, "unfit")])).faults
    assert name_of(fault.field) not in ("", field, fault.field)
