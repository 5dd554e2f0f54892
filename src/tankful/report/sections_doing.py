"""What to do with the answer: questions, settings, cautions."""

from __future__ import annotations

from tankful.model.answer import Caution, OptionResult
from tankful.model.kinds import (
    BURNS_GAS,
    ELECTRIC_INLINE,
    HAS_ELEMENT,
    INLINE_BOOSTED,
    SOLAR_THERMAL,
)
from tankful.model.system import Control, WaterHeater
from tankful.model.window import windows_text
from tankful.report.document import Column, Paragraph, Point, Points, Section, Table
from tankful.report.say import one_line
from tankful.report.subject import Subject, name_of
from tankful.report.words_of import say, section_words

KEEP = "keep"
TOPS_UP = ("hours", "diverter", "surplus_switch")
"""Controls whose own hours or spare sun a top-up lies outside of."""
MUCH_TOPPED_UP = 1 / 3
"""From this share of the heat on the settings sheet says how much is made in top-ups
(judgement)."""


def ask_section(subject: Subject) -> Section:
    """Questions that fit what is to be bought, or kept (common practice, no source)."""
    topics = _topics(subject.best)
    words = section_words("ask")
    control = subject.best.heater.control
    facts = {
        "c": f"{control.catch_up_c or 0.0:g}",
        "when": windows_text(control.catch_up_windows) or say("settings.any_time"),
    }
    questions = [
        one_line(text.format(**facts))
        for key, text in words.items()
        if key.rpartition("_")[0] in topics and key.rpartition("_")[2].isdigit()
    ]
    points = Points(tuple(Point(text) for text in questions), style="box")
    return Section("ask", say("ask.title"), (Paragraph(say("ask.intro")), points))


def _topics(option: OptionResult) -> set[str]:
    heater, control = option.heater, option.choice.control
    if option.id == KEEP:
        return {"keep"}
    topics = {"all"}
    if heater.tank_l > 0:
        topics.add("storage")
    if heater.kind == "heat_pump":
        topics.add("heat_pump")
    if heater.kind in SOLAR_THERMAL:
        topics.add("solar")
    if heater.kind in BURNS_GAS:
        topics.add("gas")
    if heater.kind in ELECTRIC_INLINE:
        topics.add("continuous")
    if heater.has_direct_panels:
        topics.add("panels")
    if control.kind == "diverter":
        topics.add("diverter")
    if control.kind == "hours":
        topics.add("timer")
    if heater.control.catch_up_c is not None and control.kind in TOPS_UP:
        topics.add("top_up_hours" if control.kind == "hours" else "top_up_sun")
    if heater.circuit == "controlled":
        topics.add("off_peak")
    return topics


def settings_section(subject: Subject) -> Section | None:
    """What the installer sets, so that the home runs as it was reckoned."""
    heater = subject.best.heater
    if heater.kind == "none":
        return None
    has_panels = subject.answer.pv_kwh > 0.0
    rows = [
        (say("settings.what"), name_of(subject.best)),
        *_machine(heater, has_panels=has_panels),
    ]
    if heater.kind not in BURNS_GAS | INLINE_BOOSTED:
        rows += _control(heater, heater.control)
    rows += _health(subject.best, subject.facts.tap_limit_c)
    table = Table((Column("", "left"), Column("", "left", 1.0)), tuple(rows), whole=True)
    share = subject.facts.top_up_share
    key = "hours" if heater.control.kind == "hours" else "sun"
    much = share > MUCH_TOPPED_UP and heater.control.kind in TOPS_UP
    blocks = (
        Paragraph(say("settings.intro")),
        table,
        *((Paragraph(say(f"settings.topped_up_{key}", share=round(100 * share))),) if much else ()),
        Paragraph(say("settings.note"), style="note"),
    )
    return Section("settings", say("settings.title"), blocks)


def _machine(heater: WaterHeater, *, has_panels: bool) -> list[tuple[str, str]]:
    rows = []
    if heater.tank_l:
        rows.append((say("settings.tank"), say("settings.litres", litres=f"{heater.tank_l:g}")))
    if heater.kind in HAS_ELEMENT | ELECTRIC_INLINE:
        general = "general_sun" if has_panels else "general"
        key = heater.circuit if heater.circuit == "controlled" else general
        rows.append((say("settings.circuit"), say(f"settings.{key}")))
    if heater.kind in HAS_ELEMENT and heater.element_w:
        kw = say("settings.kw", kw=f"{heater.element_w / 1000.0:.2g}")
        rows.append((say("settings.element"), kw))
    if heater.boost_element_w:
        value = say(
            "settings.boost_element_value",
            kw=f"{heater.boost_element_w / 1000.0:.2g}",
            height=round(100 * heater.boost_height),
        )
        rows.append((say("settings.boost_element"), value))
    if heater.collector is not None:
        value = say(
            "settings.collector_value",
            area=f"{heater.collector.area_m2:.3g}",
            tilt=f"{heater.collector.tilt_deg:.0f}",
            azimuth=f"{heater.collector.azimuth_deg:.0f}",
        )
        rows.append((say("settings.collector"), value))
    return rows


def _control(heater: WaterHeater, control: Control) -> list[tuple[str, str]]:
    key = f"control_{control.kind}"
    if control.kind == "diverter" and heater.kind == "heat_pump":
        key = "control_diverter_heat_pump"
    rows = [(say("settings.control"), say(f"settings.{key}"))]
    if control.windows:
        rows.append((say("settings.hours"), one_line(windows_text(control.windows))))
    if control.kind == "surplus_switch":
        value = say(
            "settings.threshold_value",
            kw=f"{control.threshold_w / 1000.0:.1f}",
            min=control.min_on_min,
        )
        rows.append((say("settings.threshold"), value))
    rows.append((say("settings.setpoint"), say("settings.degrees", c=f"{heater.setpoint_c:.0f}")))
    if control.catch_up_c is not None:
        when = windows_text(control.catch_up_windows) or say("settings.any_time")
        value = say("settings.catch_up_value", when=when, c=f"{control.catch_up_c:g}")
        rows.append((say("settings.catch_up"), one_line(value)))
    return rows


def _health(option: OptionResult, tap_limit_c: float) -> list[tuple[str, str]]:
    """Heat-through and tempering."""
    heater = option.heater
    rows = [(say("settings.sanitise"), _sanitise(option))]
    if heater.tank_l == 0.0:
        rows = [(say("settings.sanitise"), say("settings.sanitise_flow"))]
    value = say("settings.tempering_value", c=f"{tap_limit_c:.0f}")
    return [*rows, (say("settings.tempering"), value)]


def _sanitise(option: OptionResult) -> str:
    control = option.heater.control
    after_h, early_h = control.sanitise_after_h, control.sanitise_early_h
    if after_h is not None:
        if option.heater.kind in SOLAR_THERMAL and after_h <= 24.0:
            return say("settings.sanitise_daily")
        if after_h <= 24.0:
            return say("settings.sanitise_day")
        days = f"{after_h / 24.0:.0f}"
        if early_h is not None:
            return say("settings.sanitise_early", early=f"{early_h / 24.0:.0f}", days=days)
        return say("settings.sanitise_days", days=days)
    reached = f"{option.sums.longest_below_60_h / 24.0:.1f}"
    return say("settings.sanitise_reached", days=reached)


def care_section(subject: Subject) -> Section | None:
    """The usual cautions for the best choice; those for the others stand in the details."""
    cautions = subject.cautions
    if not cautions:
        return None
    return Section("care", say("care.title"), (caution_points(cautions),))


def caution_points(cautions: tuple[Caution, ...]) -> Points:
    """Cautions as a list, each with its topic."""
    points = tuple(Point(one_line(c.text), lead=one_line(c.topic)) for c in cautions)
    return Points(points, small=True)
