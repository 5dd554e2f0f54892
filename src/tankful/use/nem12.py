"""Interval readings in the NEM12 format of the Australian electricity market.

Format: AEMO, Meter Data File Format Specification NEM12 & NEM13 (the layout is from memory
and agrees with two independent readers, one of them of v2.6, 2024). Records: 100 header,
200 a register, 300 one day of readings, 400 quality of some intervals, 500 service order,
900 end.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from tankful.use.meter import MeterData, Role
from tankful.use.meter_text import FaultLog, read_lines
from tankful.use.nem12_records import (
    Block,
    Day,
    apply_quality,
    check_header,
    finish_day,
    read_day,
    read_register,
)
from tankful.use.nem12_registers import to_meter_data

MARKET_UTC_OFFSET_H = 10.0
"""Market time is UTC+10 all year in every state of the market."""

_WIDEST_REGISTER_RECORD = 10


def read_nem12(
    path: Path,
    *,
    utc_offset_h: float,
    file_utc_offset_h: float = MARKET_UTC_OFFSET_H,
    registers: Mapping[str, Role] | None = None,
    nmi: str | None = None,
) -> MeterData:
    """Read a NEM12 file; see ``parse_nem12``."""
    return parse_nem12(
        read_lines(path),
        path.name,
        utc_offset_h=utc_offset_h,
        file_utc_offset_h=file_utc_offset_h,
        registers=registers,
        nmi=nmi,
    )


def parse_nem12(
    lines: list[str],
    file: str,
    *,
    utc_offset_h: float,
    file_utc_offset_h: float = MARKET_UTC_OFFSET_H,
    registers: Mapping[str, Role] | None = None,
    nmi: str | None = None,
) -> MeterData:
    """Whole days of a NEM12 text in the standard time of ``utc_offset_h``.

    ``registers`` says what each suffix is. Without it, B registers are export, the first E
    register is the general import, a second one the controlled load (common practice, no
    source), further ones are added to the import and noted. ``nmi`` chooses one meter of a
    file with several. Raises FileError with every fault and its line.
    """
    log = FaultLog(file)
    blocks = _Reader(log).read(lines)
    log.raise_if_any(f"{file} is not a sound NEM12 file.")
    shift_min = round((utc_offset_h - file_utc_offset_h) * 60.0)
    return to_meter_data(blocks, log, shift_min=shift_min, registers=registers, nmi=nmi)


def _fields(text: str) -> list[str]:
    """Fields of a line without empty ones at its end. Blanks inside are kept: one in place of
    a digit must not read as a smaller number."""
    parts = text.strip().rstrip(",").split(",")
    bare = [part[1:-1] if len(part) > 1 and part[0] == part[-1] == '"' else part for part in parts]
    return bare if any(bare) else []


class _Reader:
    """Walks the records. A faulty record silences those that hang on it, and no others."""

    def __init__(self, log: FaultLog) -> None:
        self.log = log
        self.blocks: list[Block] = []
        self.begun = False
        self.ended = False
        self.block: Block | None = None
        self.day: Day | None = None
        self.silent = False
        """The 200 or 300 record above was faulty."""

    def read(self, lines: list[str]) -> list[Block]:
        """Every register block of the file."""
        last = 0
        for line, text in enumerate(lines, 1):
            fields = _fields(text)
            if fields:
                last = line
                if not self.begun and fields[0] != "100":
                    self._not_nem12(text, line)
                    return []
                self._record(fields, line)
        if not self.ended:
            self.log.add(
                "record",
                "the end record 900 is missing: the file is cut off",
                last or None,
                mend="download the file again",
            )
        for block in self.blocks:
            for day in block.days:
                finish_day(day, self.log)
        return self.blocks

    def _record(self, fields: list[str], line: int) -> None:
        kind = fields[0]
        if kind == "100":
            if self.begun and not self.ended:
                self.log.add("record", "a second header before the end record 900", line)
            check_header(fields, line, self.log)
            self.begun, self.ended = True, False
            self._leave_block()
        elif self.ended:
            self.log.add("record", "a record stands after the end record 900", line, value=kind)
        elif kind == "200":
            self._leave_block()
            self.block = read_register(fields, line, self.log)
            self.silent = self.block is None
            if self.block is not None:
                self.blocks.append(self.block)
        elif kind == "300":
            self._readings(fields, line)
        elif kind == "400":
            self._quality(fields, line)
        elif kind == "900":
            self.ended = True
        elif kind != "500":
            self._unknown(fields, line)

    def _readings(self, fields: list[str], line: int) -> None:
        if self.block is None:
            if not self.silent:
                self.log.add("record", "readings (300) before any register (200)", line)
            return
        self.day = read_day(fields, self.block, line, self.log)
        self.silent = self.day is None
        if self.day is not None:
            self.block.days.append(self.day)

    def _quality(self, fields: list[str], line: int) -> None:
        if self.day is not None:
            apply_quality(fields, self.day, line, self.log)
        elif not self.silent:
            self.log.add("record", "quality (400) before any readings (300)", line)

    def _unknown(self, fields: list[str], line: int) -> None:
        self.log.add(
            "record",
            "no such record in the format",
            line,
            value=fields[0],
            allowed="100, 200, 300, 400, 500, 900",
        )
        if self.day is not None:
            self.day.faulty = True
        self.day, self.silent = None, True
        if len(fields) <= _WIDEST_REGISTER_RECORD:  # it may have been a 200 record
            self.block = None

    def _leave_block(self) -> None:
        self.block, self.day, self.silent = None, None, False

    def _not_nem12(self, text: str, line: int) -> None:
        self.begun = self.ended = True
        self.log.add(
            "record",
            "the file does not start with the header record 100,NEM12",
            line,
            value=text,
            mend="give the whole NEM12 file, or a CSV file with a start column",
        )
