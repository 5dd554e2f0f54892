"""Every letter and colour of the report can be read."""

from __future__ import annotations

import re
import unicodedata
from pathlib import Path
from typing import Any

import pytest
from reading import (
    pdf,
    with_answer,
)

from tankful import desk
from tankful.errors import OutputError
from tankful.model.report_facts import ReportFacts
from tankful.report import look
from tankful.report.render import Rendered, render_report, write_report


def test_colours_of_energy_part_company_in_grey() -> None:
    shades = sorted(look.luminance(c) for c in (look.SUN, look.ROOF, look.GAS, look.GRID))
    assert shades[0] < 0.1 < shades[-1]
    assert look.luminance(look.SUN) - look.luminance(look.GAS) > 0.2
    assert look.luminance(look.GAS) - look.luminance(look.GRID) > 0.2


def test_text_keeps_its_contrast_on_white() -> None:
    """At least 4.5 to 1 (WCAG 2.1, success criterion 1.4.3, from memory)."""
    for colour in (look.INK, look.SOFT, look.DEFAULT_ACCENT):
        assert look.contrast_on_white(colour) >= 4.5
    assert look.contrast_on_white("#000000") == pytest.approx(21.0)
    assert look.contrast_on_white("#ffffff") == pytest.approx(1.0)


def test_a_letter_that_no_font_has_is_named(facts: ReportFacts, tmp_path: Path) -> None:
    odd = with_answer(facts, case_name="Home \U0001f9ff\U000131d0")
    with pytest.raises(OutputError) as caught:
        write_report(odd, pdf=tmp_path / "r.pdf", html=tmp_path / "r.html")
    assert caught.value.faults[0].value in "\U0001f9ff\U000131d0"
    assert list(tmp_path.iterdir()) == []
    write_report(odd, html=tmp_path / "r.html")  # a browser has its own fonts


NAMES = {
    "Vietnamese": "Nguyễn Thị Hương",
    "Polish": "Łukasz Żółć",
    "Turkish": "Çağrı Işık",
    "Māori": "Tāmaki Ōtautahi",
    "Greek": "Παπαδόπουλος",
    "Cyrillic": "Щукина Їжак",
}


def test_names_of_many_scripts_print_in_whole_letters(facts: ReportFacts) -> None:
    """Also where they were typed as letters and accents apart, as some systems do."""
    names = ", ".join(NAMES.values())
    apart = unicodedata.normalize("NFD", names)
    assert apart != names
    for typed in (names, apart):
        first = pdf(render_report(with_answer(facts, case_name=typed), html=False)).pages[0]
        fonts: dict[str, str] = {}

        def note(text: str, _cm: Any, _tm: Any, font: Any, _size: Any, seen: Any = fonts) -> None:
            seen.update(dict.fromkeys(text.split(), str((font or {}).get("/BaseFont", ""))))

        shown = first.extract_text(visitor_text=note)
        for name in NAMES.values():
            for word in name.split():
                assert word in shown
        # Figtree would piece these together from accents
        assert "NotoSans" in fonts["Nguyễn"]
        assert "Figtree" in fonts["Hot"]


def test_the_page_leaves_letters_that_its_font_has_not_to_others(made: Rendered) -> None:
    assert made.html is not None
    (spans,) = set(re.findall(r"unicode-range: ([^;]+);", made.html))
    ranges = [tuple(int(end, 16) for end in span[2:].split("-")) for span in spans.split(", ")]
    assert not any(low <= ord("ễ") <= high for low, high in ranges)
    assert all(any(low <= ord(c) <= high for low, high in ranges) for c in "Aéłşā°–")
    style = Path(desk.__file__).with_name("static").joinpath("pictures.css").read_text("utf-8")
    assert style.count(f"unicode-range: {spans};") == 2
