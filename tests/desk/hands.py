"""What an adviser's hands do at a desk in a browser."""

from __future__ import annotations

from urllib.parse import parse_qs

from playwright.sync_api import Page, Response, expect

PEOPLE = "[name='people.count']"


def new_case(page: Page, name: str = "Ada Example") -> str:
    page.fill("[name=client]", name)
    page.fill("[name='place.postcode']", "2480")
    page.select_option("[name='heater.kind']", "gas_storage")
    page.click("text=Start the case")
    page.wait_for_url("**/cases/*")
    return page.url


def saved(page: Page, words: str = "Saved") -> None:
    expect(page.locator("#saved")).to_contain_text(words)


def type_in(page: Page, field: str, text: str) -> int:
    """Type and wait for the desk's answer; its status."""
    name = field.split("'")[1]

    def saves(response: Response) -> bool:
        sent = parse_qs(response.request.post_data or "")
        return response.url.endswith("/save") and sent.get(name) == [text]

    with page.expect_response(saves) as answer:
        page.fill(field, text)
    return answer.value.status


def forgive(page: Page, *words: str) -> None:
    """Complaints that the test itself provoked."""
    complaints = page.complaints  # type: ignore[attr-defined]
    complaints[:] = [text for text in complaints if not any(word in text for word in words)]
