"""Any day of the year, of one option or of two side by side."""

from __future__ import annotations

import math
from datetime import date

from tankful.desk.pictures.sheet import Sheet, picture, table
from tankful.errors import CaseError, Fault
from tankful.model.picture import DayPicture
from tankful.report.charts import wrapped
from tankful.report.charts_energy import days_chart
from tankful.report.document import Spec, Table
from tankful.report.look import Room
from tankful.report.say import exact
from tankful.report.sections_system import day_sentences
from tankful.report.subject import name_of
from tankful.report.words_of import day_text, section_words
from tankful.service.scene import Scene, day_of, option_of

WIDTHS = {1: 560, 2: 268}
"""Of a day's picture in pixels, by how many stand side by side."""
NARROW_WIDTH = 270
"""Where they stand one below the other."""


def day_sheet(scene: Scene, option_ids: list[str], day_words: str) -> Sheet:
    """One or two options on a day given as YYYY-MM-DD. CaseError when it is none of the year."""
    day = _day(day_words)
    names = [name_of(option_of(scene, option_id)) for option_id in option_ids]
    days = [day_of(scene, option_id, day) for option_id in option_ids]
    has_tank = any(not math.isnan(value) for found in days for value in found.tank_c)
    words = section_words("days")

    def chart(room: Room) -> Spec:
        width = NARROW_WIDTH if room.is_narrow else WIDTHS[len(days)]
        titled = [(found, wrapped(name, 42)) for found, name in zip(days, names, strict=True)]
        return days_chart(titled, words, has_tank=has_tank, width=width, stacked=room.is_narrow)

    told = [f"{name}: {day_sentences(found)}" for found, name in zip(days, names, strict=True)]
    drawn = picture(
        "day",
        f"{day:%A}, {day_text(day)}",
        chart,
        alt=" ".join(told),
        tables=tuple(_table(found, name) for found, name in zip(days, names, strict=True)),
        caption=f"By the clock on the wall; {days[0].air_mean_c:.0f} °C outside in the mean.",
    )
    return Sheet(lead=tuple(told), pictures=(drawn,))


def _day(words: str) -> date:
    try:
        return date.fromisoformat(words)
    except ValueError:
        fault = Fault("date", "not a day", words[:20], "YYYY-MM-DD", "choose a day")
        raise CaseError("The day cannot be shown.", [fault]) from None


def _table(day: DayPicture, name: str) -> Table:
    """Every part of the day; columns that hold nothing are left out."""
    columns = {
        "Sun on the panels, kW": (day.sun_kw, 2),
        "House, kW": (day.house_kw, 2),
        "Water heater, kW": (day.electric_kw, 2),
        "Of it bought, kW": (day.bought_kw, 2),
        "Gas burnt, kW": (day.gas_kw, 2),
        "Heat from the roof, kW": (day.collector_kw, 2),
        "Tank, °C": (day.tank_c, 0),
        "Taps, litres": (day.drawn_l, 1),
    }
    shown = {
        head: column
        for head, column in columns.items()
        if any(value and not math.isnan(value) for value in column[0])
    }
    rows = [
        (
            f"{minute // 60}:{minute % 60:02d}",
            *(exact(values[i], decimals) for values, decimals in shown.values()),
        )
        for i, minute in enumerate(day.minute)
    ]
    return table(name, ("From", *shown), rows)
