"""The accessibility scan that the desk's tests share."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from playwright.sync_api import Page

AXE = (Path(__file__).parent / "axe" / "axe.min.js").read_text(encoding="utf-8")


def faults_of_access(page: Page) -> list[str]:
    """What the accessibility scan (axe-core) finds against WCAG 2.2 A and AA; a report inside
    the page is scanned by tests of its own."""
    page.evaluate(AXE)
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    found: dict[str, Any] = page.evaluate(
        "tags => axe.run(document, {iframes: false, runOnly: {type: 'tag', values: tags}})", tags
    )
    return [
        f"{item['id']}: {item['help']}: {node['html'][:120]}"
        for item in found["violations"]
        for node in item["nodes"]
    ]
