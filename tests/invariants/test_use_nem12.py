"""NEM12 readings come back as they were written, and damage is named by its line."""

from __future__ import annotations

import runpy
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tankful.errors import FileError
from tankful.use.meter import MeterData
from tankful.use.nem12 import parse_nem12
from tankful.use.read_meter import read_meter

SAMPLE = Path(__file__).parents[2] / "examples" / "sample-home-meter.csv"

WRITER = runpy.run_path(str(Path(__file__).parents[2] / "builders" / "nem12_writer.py"))
nem12_text = WRITER["nem12_text"]
DAY = date(2026, 3, 30)


def _read(text: str, **options):
    return parse_nem12(text.split("\n"), "meter.csv", **{"utc_offset_h": 10.0, **options})


def _outcome(lines: list[str]) -> MeterData | FileError:
    """Readings or the fault that a user would see; anything else is a bug and fails."""
    try:
        return _read("\n".join(lines))
    except FileError as error:
        return error


def _same(one, other) -> bool:
    return one.dates == other.dates and all(
        (a is None and b is None) or np.array_equal(a, b)
        for a, b in (
            (one.import_kwh, other.import_kwh),
            (one.export_kwh, other.export_kwh),
            (one.controlled_kwh, other.controlled_kwh),
        )
    )


@st.composite
def _registers(draw):
    interval_min = draw(st.sampled_from([5, 15, 30]))
    suffixes = draw(st.sampled_from([["E1"], ["E1", "B1"], ["E1", "E2"], ["E1", "E2", "B1"]]))
    days = draw(st.lists(st.integers(0, 400), min_size=1, max_size=6, unique=True))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    shape = (len(suffixes), len(days), 1440 // interval_min)
    scale = draw(st.sampled_from([0.0, 0.05, 0.4]))
    kwh = rng.exponential(scale, shape).round(3) if scale else np.zeros(shape)
    dates = [DAY + timedelta(days=i) for i in sorted(days)]
    channels = {
        suffix: dict(zip(dates, block.tolist(), strict=True))
        for suffix, block in zip(suffixes, kwh, strict=True)
    }
    return interval_min, channels


@given(written=_registers(), unit=st.sampled_from(["kWh", "KWH", "Wh", "wh", "MWh"]))
def test_readings_come_back_as_written(written, unit):
    interval_min, channels = written
    factor = {"kwh": 1.0, "wh": 1000.0, "mwh": 0.001}[unit.lower()]
    in_unit = {
        suffix: {day: [value * factor for value in row] for day, row in days.items()}
        for suffix, days in channels.items()
    }
    text = nem12_text(
        "DEMO000002", in_unit, interval_min=interval_min, unit=unit, decimals=6, end="\n"
    )
    meter = _read(text)
    assert meter.interval_min == interval_min
    assert list(meter.dates) == sorted(channels["E1"])
    for suffix, kwh in (
        ("E1", meter.import_kwh),
        ("B1", meter.export_kwh),
        ("E2", meter.controlled_kwh),
    ):
        if suffix not in channels:
            assert kwh is None
            continue
        wanted = np.array([channels[suffix][day] for day in meter.dates])
        np.testing.assert_allclose(kwh, wanted, rtol=1e-9, atol=1e-9)
    assert sum(meter.quality.values()) == len(channels) * meter.import_kwh.size


@given(written=_registers(), shift=st.sampled_from([-30, 30]))
def test_other_time_shifts_readings_without_changing_them(written, shift):
    interval_min, channels = written
    days = [DAY + timedelta(days=i) for i in range(3)]
    rows = list(channels["E1"].values())
    text = nem12_text(
        "DEMO000002",
        {"E1": {day: rows[i % len(rows)] for i, day in enumerate(days)}},
        interval_min=interval_min,
        end="\n",
    )
    market = _read(text).import_kwh.ravel()
    local = _read(text, utc_offset_h=10.0 + shift / 60.0)
    steps = shift // interval_min
    # Later local time: 00:00 there was 23:30 of market time on the day before.
    begin = 1440 // interval_min if shift > 0 else 0
    assert local.dates == tuple(days[1:] if shift > 0 else days[:2])
    np.testing.assert_array_equal(
        local.import_kwh.ravel(), market[begin - steps : begin - steps + local.import_kwh.size]
    )


def test_south_australia_is_half_an_hour_behind_market_time():
    rows = {DAY + timedelta(days=i): [float(i)] * 47 + [9.0] for i in range(3)}
    meter = _read(nem12_text("DEMO000002", {"E1": rows}, end="\n"), utc_offset_h=9.5)
    # The last half hour of a market day starts 23:30 there and 23:00 in Adelaide.
    assert meter.import_kwh[0][46] == 9.0
    assert meter.import_kwh[0][47] == 1.0
    assert meter.dates == (DAY, DAY + timedelta(days=1))


def test_unlike_intervals_are_summed_to_the_coarsest():
    fine = nem12_text("DEMO000002", {"E1": {DAY: [0.1] * 288}}, interval_min=5, end="\n")
    later = nem12_text("DEMO000002", {"E1": {DAY + timedelta(days=1): [0.6] * 48}}, end="\n")
    export = nem12_text(
        "DEMO000002",
        {"B1": {DAY + timedelta(days=i): [0.2] * 96 for i in range(2)}},
        interval_min=15,
        end="\n",
    )
    meter = _read(fine + later + export)
    assert meter.interval_min == 30
    np.testing.assert_allclose(meter.import_kwh, 0.6)
    np.testing.assert_allclose(meter.export_kwh, 0.4)
    assert any("unlike length" in note for note in meter.notes)


def test_null_days_and_missing_days_are_left_out_and_noted():
    days = {DAY + timedelta(days=i): [1.0] * 48 for i in (0, 1, 3)}
    text = nem12_text("DEMO000002", {"E1": days}, end="\n").split("\n")
    text[3] = f"300,{DAY + timedelta(days=1):%Y%m%d}{',' * 49}N,,,,"
    meter = _read("\n".join(text))
    assert meter.dates == (DAY, DAY + timedelta(days=3))
    assert meter.quality == {"actual": 96, "missing": 48}
    assert any("2 of the 4 days" in note and "2026-03-31" in note for note in meter.notes)


def test_a_null_stretch_leaves_its_day_out_even_with_zeros_written():
    days = {DAY + timedelta(days=i): [0.0] * 48 for i in range(2)}
    quality = {DAY: [(1, 30, "A", ""), (31, 48, "N", "")]}
    meter = _read(nem12_text("DEMO000002", {"E1": days}, quality=quality, end="\n"))
    assert meter.dates == (DAY + timedelta(days=1),)


def test_registers_are_told_by_suffix_or_by_the_user():
    days = {DAY: [0.5] * 48}
    twice = {DAY: [1.5] * 48}
    text = nem12_text("DEMO000002", {"E1": days, "E2": twice, "E3": days, "B2": days}, end="\n")
    meter = _read(text)
    assert meter.import_kwh.sum() == 48.0
    assert meter.controlled_kwh.sum() == 72.0
    assert any("E2" in note and "controlled" in note for note in meter.notes)
    assert any("E1, E3" in note for note in meter.notes)
    told = _read(text, registers={"e2": "import", "E1": "controlled"})
    assert told.import_kwh.sum() == 72.0
    assert told.controlled_kwh.sum() == 24.0
    assert told.export_kwh is None
    only = _read(nem12_text("DEMO000002", {"E2": days}, end="\n"))
    assert only.controlled_kwh is None
    assert only.import_kwh.sum() == 24.0


def test_reactive_registers_are_passed_over_and_noted():
    days = {DAY: [0.5] * 48}
    energy = nem12_text("DEMO000002", {"E1": days}, end="\n")
    reactive = nem12_text("DEMO000002", {"Q1": days}, unit="kVArh", end="\n")
    meter = _read(energy + reactive)
    assert meter.export_kwh is None
    assert any("Q1" in note for note in meter.notes)


def test_one_meter_of_several_can_be_chosen():
    texts = [nem12_text(f"DEMO00000{i}", {"E1": {DAY: [float(i)] * 48}}, end="\n") for i in (1, 2)]
    assert _read("".join(texts), nmi="demo000002").import_kwh.sum() == 96.0
    with pytest.raises(FileError) as caught:
        _read("".join(texts))
    assert [fault.line for fault in caught.value.faults] == [2, 6]
    with pytest.raises(FileError, match="not here"):
        _read("".join(texts), nmi="DEMO000003")


_VALUES = [[0.25, 1.5, 0.0] * 16, [0.125, 2.0, 0.5] * 16]
_SMALL = nem12_text(
    "DEMO000002",
    {
        suffix: {DAY: _VALUES[0], DAY + timedelta(days=1): _VALUES[1]}
        for suffix in ("E1", "E2", "B1")
    },
    quality={DAY: [(1, 20, "A", ""), (21, 48, "S14", "24")]},
    end="\n",
).split("\n")
_SMALL.insert(-2, "500,N,,20260401000000,")


def _damage(kind: str, text: str, at: int, letter: str) -> str:
    at %= len(text)
    if kind == "replace":
        return text[:at] + letter + text[at + 1 :]
    if kind == "insert":
        return text[:at] + letter + text[at:]
    return text[: max(1, at)]


@settings(max_examples=600)
@given(
    line=st.integers(1, len(_SMALL) - 1),
    kind=st.sampled_from(["replace", "insert", "cut"]),
    at=st.integers(0, 10_000),
    letter=st.sampled_from(list("x?#-, \t\"'é\u2028<")),
)
def test_one_damaged_line_is_named_or_does_no_harm(line, kind, at, letter):
    whole = _read("\n".join(_SMALL))
    text = _damage(kind, _SMALL[line - 1], at, letter)
    outcome = _outcome([*_SMALL[: line - 1], text, *_SMALL[line:]])
    if isinstance(outcome, FileError):
        assert line in [fault.line for fault in outcome.faults], str(outcome)
        assert {fault.file for fault in outcome.faults} == {"meter.csv"}
    else:
        assert _same(outcome, whole), text


@given(line=st.integers(1, len(_SMALL) - 1), kind=st.sampled_from(["drop", "double", "junk"]))
def test_a_lost_doubled_or_foreign_line_never_invents_readings(line, kind):
    whole = _read("\n".join(_SMALL))
    there = _SMALL[line - 1]
    put = {"drop": [], "double": [there, there], "junk": [there, "<p>hello</p>"]}[kind]
    outcome = _outcome([*_SMALL[: line - 1], *put, *_SMALL[line:]])
    if isinstance(outcome, FileError):
        assert outcome.faults
        return
    assert set(outcome.dates) <= set(whole.dates)
    for day, row in zip(outcome.dates, outcome.import_kwh, strict=True):
        np.testing.assert_array_equal(row, whole.import_kwh[whole.dates.index(day)])
    assert _same(outcome, whole) or outcome.notes != whole.notes


@given(st.text(max_size=300) | st.from_regex(r"(100,NEM12\n)?([1-9]00,[0-9A-E,.]{0,40}\n){0,8}"))
def test_any_text_at_all_is_read_or_refused(text):
    outcome = _outcome(text.split("\n"))
    assert isinstance(outcome, MeterData) or outcome.faults


def test_a_meter_file_is_read_once_until_it_changes(tmp_path):
    file = tmp_path / "meter.csv"
    file.write_text(SAMPLE.read_text())
    where = {"tz": "Australia/Sydney", "utc_offset_h": 10.0}
    first = read_meter(file, **where)
    assert read_meter(file, **where) is first
    assert read_meter(file, tz="Australia/Sydney", utc_offset_h=9.5) is not first
    file.write_text(SAMPLE.read_text() + "\n")
    again = read_meter(file, **where)
    assert again is not first
    assert np.array_equal(again.import_kwh, first.import_kwh)
    file.unlink()
    with pytest.raises(FileError):
        read_meter(file, **where)
