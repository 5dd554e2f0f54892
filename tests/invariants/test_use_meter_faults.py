"""Nasty meter files give a clear fault with its line, and odd but sound ones are read."""

from __future__ import annotations

import io
import runpy
import zipfile
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from tankful.errors import FileError
from tankful.use import meter_text
from tankful.use.read_meter import read_meter

WRITER = runpy.run_path(str(Path(__file__).parents[2] / "builders" / "nem12_writer.py"))
DAY = date(2026, 3, 30)
DAYS = [DAY, DAY + timedelta(days=1)]
ROW = ",".join(["0.250"] * 48)
TAIL = "A,,,20260401000000,"
LINES = [
    "100,NEM12,202604010600,DEMOMDP,DEMORET",
    "200,DEMO000003,E1B1,E1,E1,N1,DEMO01,kWh,30,",
    f"300,20260330,{ROW},{TAIL}",
    f"300,20260331,{ROW},V,,,20260401000000,",
    "400,1,20,A,,",
    "400,21,48,F14,24,",
    "500,N,,20260401000000,",
    "200,DEMO000003,E1B1,B1,B1,N1,DEMO01,kWh,30,",
    f"300,20260330,{ROW},{TAIL}",
    f"300,20260331,{ROW},{TAIL}",
    "900",
]
CSV = ["# time: standard", "start,import_kwh,export_kwh"] + [
    f"{day}T{hour:02d}:{minute:02d},0.25,0.1"
    for day in DAYS
    for hour in range(24)
    for minute in (0, 30)
]


def _read(folder: Path, content: bytes | list[str], **options):
    path = folder / "meter.csv"
    path.write_bytes(content if isinstance(content, bytes) else "\n".join(content).encode())
    return read_meter(path, **{"tz": "Australia/Sydney", "utc_offset_h": 10.0, **options})


def _with(lines: list[str], line: int, old: str, new: str) -> list[str]:
    assert old in lines[line - 1]
    return [*lines[: line - 1], lines[line - 1].replace(old, new, 1), *lines[line:]]


def _without(lines: list[str], line: int) -> list[str]:
    return lines[: line - 1] + lines[line:]


BROKEN = {
    "short day": (_with(LINES, 3, "0.250,", ""), 3, "wrong number of values"),
    "long day": (_with(LINES, 3, "0.250,", "0.250,0.250,"), 3, "wrong number of values"),
    "cut day": (_with(LINES, 9, TAIL, ""), 9, "wrong number of values"),
    "empty reading": (_with(LINES, 3, ",0.250,", ",,"), 3, "empty"),
    "word": (_with(LINES, 9, "0.250", "Null"), 9, "not a usable reading"),
    "not a number": (_with(LINES, 9, "0.250", "nan"), 9, "not a usable reading"),
    "infinity": (_with(LINES, 9, "0.250", "inf"), 9, "not a usable reading"),
    "negative": (_with(LINES, 10, "0.250", "-0.250"), 10, "not a usable reading"),
    "underscore": (_with(LINES, 10, "0.250", "1_0"), 10, "not a usable reading"),
    "foreign digits": (_with(LINES, 10, "0.250", "٣"), 10, "not a usable reading"),
    "blank inside": (_with(LINES, 10, "0.250", "0. 250"), 10, "not a usable reading"),
    "a street's use": (_with(LINES, 3, "0.250", "250000"), 3, "not a usable reading"),
    "bad date": (_with(LINES, 3, "20260330", "20260230"), 3, "not a date"),
    "long date": (_with(LINES, 3, "20260330", "202603300"), 3, "not a date"),
    "date of another age": (_with(LINES, 3, "20260330", "19000101"), 3, "not a date"),
    "duplicate day": (_with(LINES, 10, "20260331", "20260330"), 10, "in line 9"),
    "unknown flag": (_with(LINES, 3, TAIL, "Z,,,20260401000000,"), 3, "unknown flag"),
    "unknown flag in 400": (_with(LINES, 6, "F14", "Q14"), 6, "unknown flag"),
    "untold quality": (_without(LINES, 6), 4, "tell only 20 of 48"),
    "quality told twice": (_with(LINES, 6, "21", "20"), 6, "twice"),
    "quality past midnight": (_with(LINES, 6, "48", "49"), 6, "not a range"),
    "quality backwards": (_with(LINES, 6, "21,48", "48,21"), 6, "not a range"),
    "quality of nothing": ([*LINES[:2], "400,1,48,A,,", *LINES[2:]], 3, "before any readings"),
    "no end": (_without(LINES, 11), 10, "cut off"),
    "after the end": ([*LINES, LINES[1]], 12, "after the end"),
    "no header": (LINES[1:], 1, "does not start with"),
    "second header": ([*LINES[:7], LINES[0], *LINES[7:]], 8, "second header"),
    "totals only": (_with(LINES, 1, "NEM12", "NEM13"), 1, "not intervals"),
    "other header": (_with(LINES, 1, "NEM12", "NEM99"), 1, "not a NEM12 header"),
    "no register": (_without(LINES, 2), 2, "before any register"),
    "short register": (_with(LINES, 8, "B1,B1,N1,", "B1,"), 8, "wrong number of values"),
    "unknown unit": (_with(LINES, 8, "kWh", "GWh"), 8, "UOM"),
    "strange interval": (_with(LINES, 8, ",30,", ",7,"), 8, "IntervalLength"),
    "bad meter number": (_with(LINES, 2, "DEMO000003", "DEMO"), 2, "NMI"),
    "two meters": (_with(LINES, 8, "DEMO000003", "DEMO000004"), 8, "more than one meter"),
    "unknown direction": (_with(LINES, 8, "B1,B1,N1", "B1,J1,N1"), 8, "direction"),
    "unknown record": (_with(LINES, 7, "500", "777"), 7, "no such record"),
    "text in between": ([*LINES[:4], "Total for March", *LINES[4:]], 5, "no such record"),
    "csv: word": (_with(CSV, 5, "0.25", "abc"), 5, "not a usable reading"),
    "csv: empty reading": (_with(CSV, 5, "0.25", ""), 5, "empty"),
    "csv: negative": (_with(CSV, 5, "0.25", "-0.25"), 5, "not a usable reading"),
    "csv: a street's use": (_with(CSV, 5, "0.25", "999"), 5, "not a home's use"),
    "csv: too few values": (_with(CSV, 5, ",0.1", ""), 5, "wrong number of values"),
    "csv: decimal comma": (_with(CSV, 5, "0.25", "0,25"), 5, "wrong number of values"),
    "csv: bad time": (_with(CSV, 5, "T01:00", "T25:00"), 5, "not a time"),
    "csv: other time style": (_with(CSV, 5, "2026-03-30T", "30/03/2026 "), 5, "not a time"),
    "csv: off the grid": (_with(CSV, 5, "T01:00", "T01:07"), 5, "grid of 30 minutes"),
    "csv: duplicate": (_with(CSV, 5, "T01:00", "T00:30"), 5, "in line 4"),
    "csv: unknown column": (_with(CSV, 2, "export", "exprot"), 2, "header"),
    "csv: semicolons": ([line.replace(",", ";") for line in CSV], 2, "header"),
    "csv: no import": (_with(CSV, 2, "import_kwh", "export_kwh"), 2, "header"),
    "csv: unknown time": (_with(CSV, 1, "standard", "moon"), 1, "clock or standard"),
    "csv: one row": (CSV[:3], None, "interval"),
    "csv: header only": (CSV[:2], None, "no readings"),
}


@pytest.mark.parametrize(("content", "line", "words"), BROKEN.values(), ids=BROKEN.keys())
def test_a_broken_file_is_refused_with_its_line(tmp_path, content, line, words):
    with pytest.raises(FileError) as caught:
        _read(tmp_path, content)
    faults = [fault for fault in caught.value.faults if fault.line == line]
    assert faults, str(caught.value)
    assert words in " ".join(str(fault) for fault in faults)
    assert all(fault.file == "meter.csv" for fault in caught.value.faults)
    assert caught.value.exit_code == 3


def _zipped() -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("meter.csv", "\n".join(LINES))
    return buffer.getvalue()


NOT_A_METER_FILE = {
    "empty": (b"", "empty"),
    "blank": (b" \r\n\r\n", "empty"),
    "web page": (b"\n<!DOCTYPE html>\n<html><body>Sign in</body></html>", "web page"),
    "zip": (_zipped(), "zip"),
    "gzip": (b"\x1f\x8b\x08\x00abc", "compressed"),
    "pdf": (b"%PDF-1.7\n%abc", "PDF"),
    "picture": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "not text"),
    "odd utf-16": (b"\xff\xfe1\x00\x00", "not text"),
    "prose": (b"Dear customer,\nhere is your bill.", "does not start with"),
    "byte-order mark only": (b"\xef\xbb\xbf", "not text"),
    "no days": (b"100,NEM12,2026,A,B\n900", "no register of energy"),
}


@pytest.mark.parametrize(
    ("content", "words"), NOT_A_METER_FILE.values(), ids=NOT_A_METER_FILE.keys()
)
def test_what_is_no_meter_file_is_told_what_it_is(tmp_path, content, words):
    with pytest.raises(FileError, match=words) as caught:
        _read(tmp_path, content)
    assert caught.value.faults[0].file == "meter.csv"


def test_a_missing_file_a_folder_and_a_huge_file_are_refused(tmp_path, monkeypatch):
    where = {"tz": "Australia/Sydney", "utc_offset_h": 10.0}
    with pytest.raises(FileError, match="No such file"):
        read_meter(tmp_path / "none.csv", **where)
    with pytest.raises(FileError, match="cannot be read"):
        read_meter(tmp_path, **where)
    monkeypatch.setattr(meter_text, "MOST_BYTES", 1000)
    with pytest.raises(FileError, match="at most"):
        _read(tmp_path, LINES)


def test_all_faults_are_told_at_once_and_no_more_than_twenty(tmp_path):
    few = _with(_with(LINES, 3, "0.250", "x"), 10, "20260331", "20261331")
    with pytest.raises(FileError) as caught:
        _read(tmp_path, few)
    assert [fault.line for fault in caught.value.faults] == [3, 10]
    day = f"300,20260330,{ROW},Z,,,,"
    with pytest.raises(FileError, match="15 more") as caught:
        _read(tmp_path, [*LINES[:2], *[day] * 35, "900"])
    assert [fault.line for fault in caught.value.faults] == list(range(3, 23))


def test_a_file_of_faults_alone_is_given_up_early(tmp_path):
    with pytest.raises(FileError, match="too many faults") as caught:
        _read(tmp_path, [LINES[0], *["300,x"] * 100_000, "900"])
    assert len(caught.value.faults) == 20


def test_a_bad_value_is_shown_short_and_without_control_characters(tmp_path):
    with pytest.raises(FileError) as caught:
        _read(tmp_path, _with(LINES, 3, "0.250", "\x1b[31m" + "x" * 500))
    shown = str(caught.value)
    assert "\x1b" not in shown
    assert len(shown) < 400


SOUND = {
    "byte-order mark": "\ufeff".encode() + "\n".join(LINES).encode(),
    "windows line ends": "\r\n".join(LINES).encode(),
    "old line ends": "\r".join(LINES).encode(),
    "blank lines": ("\n\n" + "\n\n".join(LINES) + "\n\n").encode(),
    "utf-16": "\n".join(LINES).encode("utf-16"),
    "utf-16 without mark": "\n".join(LINES).encode("utf-16-le"),
    "latin-1": "\n".join(_with(LINES, 6, ",24,", ",24,Zähler")).encode("latin-1"),
    "commas at the end": "\n".join(line.rstrip(",") + "," * 9 for line in LINES).encode(),
    "quoted": "\n".join(
        ",".join(f'"{part}"' for part in line.split(",")) for line in LINES
    ).encode(),
    "capital unit": "\n".join(LINES).replace("kWh", "KWH").encode(),
    "watt hours": "\n".join(LINES).replace("kWh", "wh").replace("0.250", "250").encode(),
    "megawatt hours": "\n".join(LINES).replace("kWh", "MWh").replace("0.250", "0.00025").encode(),
    "no load times": "\n".join(LINES).replace(TAIL, "A").encode(),
    "two files joined": "\n".join([*LINES[:7], "900", LINES[0], *LINES[7:]]).encode(),
}


@pytest.mark.parametrize("content", SOUND.values(), ids=SOUND.keys())
def test_an_odd_but_sound_file_is_read(tmp_path, content):
    meter = _read(tmp_path, content)
    assert meter.dates == tuple(DAYS)
    np.testing.assert_allclose(meter.import_kwh, 0.25)
    np.testing.assert_allclose(meter.export_kwh, 0.25)
    assert meter.quality == {"actual": 164, "final substituted": 28}


def test_a_plain_csv_is_read(tmp_path):
    meter = _read(tmp_path, CSV)
    assert meter.dates == tuple(DAYS)
    assert meter.interval_min == 30
    assert meter.import_kwh.sum() == pytest.approx(24.0)
    assert meter.export_kwh.sum() == pytest.approx(9.6)
    assert meter.controlled_kwh is None
    assert meter.notes == ()


def test_a_csv_that_does_not_say_its_time_is_noted(tmp_path):
    assert any("standard time was assumed" in note for note in _read(tmp_path, CSV[1:]).notes)


def _by_the_clock(first: date, hours: int) -> list[str]:
    """Hourly rows by Sydney's clock; the reading is the hour of standard time."""
    start = datetime(first.year, first.month, first.day, tzinfo=UTC) - timedelta(hours=10)
    rows = []
    for hour in range(hours):
        wall = (start + timedelta(hours=hour)).astimezone(ZoneInfo("Australia/Sydney"))
        rows.append(f"{wall:%Y-%m-%dT%H:%M},{hour % 24}")
    return ["# time: clock", "start,import_kwh", *rows]


@pytest.mark.parametrize("first", [date(2026, 4, 4), date(2026, 10, 3), date(2026, 7, 1)])
def test_clock_time_becomes_standard_time_across_both_changes(tmp_path, first):
    # New South Wales: clocks change on 5 April and 4 October 2026.
    meter = _read(tmp_path, _by_the_clock(first, 72))
    assert meter.dates == tuple(first + timedelta(days=i) for i in range(3))
    np.testing.assert_array_equal(meter.import_kwh, np.tile(np.arange(24.0), (3, 1)))


def test_an_hour_that_the_clock_skips_is_no_time(tmp_path):
    rows = ["# time: clock", "start,import_kwh", "2026-10-04T01:30,1", "2026-10-04T02:30,1"]
    with pytest.raises(FileError) as caught:
        _read(tmp_path, rows)
    assert caught.value.faults[0].line == 4


def test_starts_with_an_offset_need_no_other_word_on_time(tmp_path):
    rows = [line.replace(",0.25", "+09:30,0.25") for line in CSV]
    meter = _read(tmp_path, rows, utc_offset_h=9.5, tz="Australia/Adelaide")
    assert meter.dates == tuple(DAYS)
