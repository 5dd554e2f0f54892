"""What a person reads when a case file is not sound TOML, or no case file at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from tankful.casefile.load import check_text, load_case
from tankful.errors import CaseError

PLACE = '[place]\npostcode = "2480"\n'

SYNTAX = {
    "a colon": ("[place]\npostcode: '2480'\n", 2, "write KEY = VALUE, with an equals sign"),
    "curly quotes": ("[place]\npostcode = “2480”\n", 2, "use straight quotes"),
    "an open text": ('[place]\npostcode = "2480\n', 2, "close the quotes"),
    "an open list": ("x = 1\ny = [1,\n2\n", 2, "close the list with ]"),
    "a bare time": (PLACE + "[heater]\nhours = 22:00\n", 4, "write times in quotes"),
    "a bare postcode": ("[place]\npostcode = 0800\n", 2, "write a postcode in quotes"),
    "capital true": (PLACE + "[people]\nseason = True\n", 4, "write true or false"),
    "a dollar sign": (PLACE + "[gas]\nleaving_cost = $220\n", 4, "without a currency sign"),
    "a percent sign": (PLACE + "[wishes]\ndiscount_rate_real = 4 %\n", 4, "4 % is 0.04"),
    "a thousands comma": (PLACE + "[gas]\nleaving_cost = 1,220\n", 4, "without commas"),
    "a decimal comma": (PLACE + "[gas]\nleaving_cost = 220,5\n", 4, "decimals with a point"),
    "a small decimal comma": (PLACE + "[gas]\nprice_per_mj = 0,039\n", 4, "decimals with a point"),
    "an Australian date": ("as_of = 25/11/2026\n" + PLACE, 1, "year-month-day"),
    "an impossible date": ("as_of = 2026-13-45\n" + PLACE, 1, "write an existing date"),
    "a unit": (PLACE + "[heater]\nelement_kw = 3.6 kW\n", 4, "the unit that the field is in"),
    "a missing value": (PLACE + "[heater]\nelement_kw =\n", 4, "write a value"),
    "a Windows path": ('[place]\nweather_file = "C:\\Users\\me"\n', 2, "file names with /"),
    "an open section": ("[place\npostcode = '2480'\n", 1, "close the section name"),
    "an open list section": ("[[quotes]\nfamily = 'timer'\n", 1, "close a list section with ]]"),
    "a key given twice": (PLACE + "postcode = '2481'\n", 3, "keep one of the two"),
    "a section given twice": (PLACE + "[place]\nelevation_m = 3\n", 3, "keep one of the two"),
    "a key of endless parts": (PLACE + "a." * 400_000 + "b = 1\n", 3, "remove the line"),
    "an endless number": (PLACE + f"elevation_m = {'9' * 5000}\n", 3, "shorten it"),
}


@pytest.mark.parametrize("name", SYNTAX)
def test_a_slip_of_grammar_names_its_line_and_mend(name: str) -> None:
    text, line, mend = SYNTAX[name]
    with pytest.raises(CaseError) as caught:
        check_text(text, Path("home.toml"))
    (fault,) = caught.value.faults
    assert fault.line == line
    assert mend in fault.mend


FILES = {
    "missing": (None, "there is no such file"),
    "utf-16": ('[place]\npostcode = "2480"\n'.encode("utf-16"), "encoded as UTF-16"),
    "binary": (b"\x7fELF\x00\x00\x01", "not text"),
    "latin-1": ('name = "Caf\xe9"\n'.encode("latin-1"), "not UTF-8 text"),
    "huge": (b"#" * 1_000_001, "too large to be a case"),
    "empty": (b"", "missing"),
}


@pytest.mark.parametrize("name", FILES)
def test_an_unfit_file_is_named_with_its_mend(name: str, tmp_path: Path) -> None:
    content, problem = FILES[name]
    path = tmp_path / "home.toml"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(CaseError) as caught:
        load_case(path)
    (fault,) = caught.value.faults
    assert problem in fault.problem
    assert fault.mend
    assert fault.file == str(path)


def test_a_folder_is_not_a_case(tmp_path: Path) -> None:
    with pytest.raises(CaseError, match="this is a folder"):
        load_case(tmp_path)


def test_a_name_with_a_null_byte_is_not_a_case() -> None:
    with pytest.raises(CaseError, match="cannot be read"):
        load_case("home\0.toml")


def test_a_byte_order_mark_and_windows_line_ends_are_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "home.toml"
    path.write_bytes(b'\xef\xbb\xbf[place]\r\npostcode = "2480"\r\n')
    assert load_case(path).lines == {"place": 1, "place.postcode": 2}
