"""Write interval readings as NEM12 text (AEMO, Meter Data File Format Specification)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

Quality = Mapping[date, Sequence[tuple[int, int, str, str]]]
"""For some days: first and last interval (from 1), quality method and reason of each stretch."""


def nem12_text(
    nmi: str,
    channels: Mapping[str, Mapping[date, Sequence[float]]],
    *,
    interval_min: int = 30,
    unit: str = "KWH",
    quality: Quality | None = None,
    created: str = "202607010600",
    decimals: int = 3,
    end: str = "\r\n",
) -> str:
    """A whole file with one 200 block for each channel (suffix: day: readings)."""
    lines = [f"100,NEM12,{created},DEMOMDP,DEMORET"]
    for suffix, days in channels.items():
        config = "".join(sorted(channels))
        lines.append(f"200,{nmi},{config},{suffix},{suffix},N1,DEMO01,{unit},{interval_min},")
        for day, readings in sorted(days.items()):
            stretches = (quality or {}).get(day, ())
            flag = "V" if stretches else "A"
            values = ",".join(f"{value:.{decimals}f}" for value in readings)
            lines.append(f"300,{day:%Y%m%d},{values},{flag},,,{created}00,")
            lines += [f"400,{','.join(map(str, stretch))}," for stretch in stretches]
    return end.join([*lines, "900"]) + end
