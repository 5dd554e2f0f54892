"""The first page: what to do, what it costs and saves, how sure that is, what could change it."""

from __future__ import annotations

import math

from tankful.model.kinds import BURNS_GAS, INLINE_BOOSTED, SOLAR_THERMAL
from tankful.report.charts_running import HEIGHT, LOW_HEIGHT, running_cost_chart
from tankful.report.document import (
    Block,
    Chart,
    Figure,
    Figures,
    Headline,
    Pair,
    Paragraph,
    Point,
    Points,
    Section,
)
from tankful.report.look import SOFT
from tankful.report.say import one_line
from tankful.report.sections_sure import change_texts, sure_texts
from tankful.report.subject import Subject, name_of, paid_sums
from tankful.report.words_of import say


def answer_section(subject: Subject) -> Section:
    """The page that stands alone."""
    doubt = Pair(
        left_title=say("sure.title"),
        left=tuple(Paragraph(text) for text in sure_texts(subject)),
        right_title=say("change.title"),
        right=(Points(tuple(Point(text) for text in change_texts(subject))),),
    )
    title = say("answer.title_tie" if len(subject.answer.tied) > 1 else "answer.title")
    blocks: tuple[Block, ...] = (
        _headline(subject),
        _figures(subject),
        *_last_gas(subject),
        *_running(subject),
        doubt,
    )
    return Section("answer", title, blocks)


def _headline(subject: Subject) -> Headline:
    answer, best = subject.answer, subject.best
    tied = answer.tied
    detail = []
    if len(tied) > 1:
        names = "; ".join(name_of(option) for option in tied)
        detail.append(say("answer.tie_detail"))
    else:
        names = name_of(best)
    if best.heater.kind not in BURNS_GAS | INLINE_BOOSTED | {"none"}:
        key = "run_first" if len(tied) > 1 else "run"
        key = "run_boost" if best.heater.kind in SOLAR_THERMAL else key
        control = one_line(best.choice.control.text(best.heater.kind))
        detail.append(say(f"answer.{key}", control=control))
    if best is subject.base and best.upfront.total == 0:
        detail.append(say("answer.stay"))
    return Headline(f"{names}.", " ".join(detail))


def _figures(subject: Subject) -> Figures:
    return Figures(
        (_cost(subject), _first_year(subject), _payback(subject), _life(subject))
        if subject.rival is not None
        else (_cost(subject), _running_figure(subject))
    )


def _cost(subject: Subject) -> Figure:
    upfront = subject.best.upfront
    if round(upfront.total) == 0:
        words = say("figures.cost_nothing"), say("figures.cost_nothing_note")
        return Figure(say("figures.cost"), *words)
    has_credits = upfront.certificate_value + upfront.rebate > 0
    note = say("figures.cost_note_credits" if has_credits else "figures.cost_note")
    return Figure(say("figures.cost"), subject.money(upfront.total), note)


def _running_figure(subject: Subject) -> Figure:
    value = subject.money(subject.best.year_one.total)
    return Figure(say("figures.running"), value, say("figures.running_note"))


def _first_year(subject: Subject) -> Figure:
    rival = subject.rival
    assert rival is not None
    saved = rival.year_one.total - subject.best.year_one.total
    label = say("figures.first_year" if saved >= 0 else "figures.first_year_more")
    note = say("figures.first_year_note", base=subject.rival_name)
    return Figure(label, subject.money(abs(saved)), note)


def _payback(subject: Subject) -> Figure:
    if subject.best is subject.base:
        return _running_figure(subject)
    years = subject.best.payback_years
    if years is None:
        value = say("figures.payback_never", years=subject.years)
        return Figure(say("figures.payback_whole"), value, say("figures.payback_never_note"))
    label = say("figures.payback_whole" if years == 0.0 else "figures.payback")
    return Figure(label, payback_text(years), say("figures.payback_note"))


def payback_text(years: float) -> str:
    """A payback as people say it."""
    if years == 0.0:
        return say("figures.payback_at_once")
    if years < 0.75:
        return say("figures.payback_soon")
    if years < 1.25:
        return say("figures.payback_year")
    halves = round(years * 2)
    if halves % 2 and years < 6:
        return say("figures.payback_half", years=halves // 2)
    return say("figures.payback_years", years=round(years))


def _life(subject: Subject) -> Figure:
    rival = subject.rival
    assert rival is not None
    gain = rival.net_present_cost - subject.best.net_present_cost
    key = "life_gain" if gain >= 0 else "life_loss"
    return Figure(
        say("figures.life", years=subject.years),
        say(f"figures.{key}", money=subject.money(abs(gain))),
        say("figures.life_note", base=subject.rival_name),
    )


def _last_gas(subject: Subject) -> tuple[Paragraph, ...]:
    """That hot water is taken to be the last use of gas, where the saving rests on it."""
    found = subject.answer.last_gas
    if found is None:
        return ()
    key = "assumed_bottles" if found.bottled else "assumed"
    texts = [say(f"last_gas.{key}", money=subject.money(found.charge_worth))]
    if round(found.leaving_gas):
        texts.append(say("last_gas.leaving", money=subject.money(found.leaving_gas)))
    kept = subject.money(abs(found.saving_if_kept))
    if found.saving_if_kept < 0.0:
        texts.append(say("last_gas.kept_loss", kept=kept, years=subject.years))
    else:
        saving = subject.money(found.saving)
        texts.append(say("last_gas.kept", kept=kept, saving=saving, years=subject.years))
    if found.best_if_kept not in {o.id for o in (subject.best, *subject.answer.tied)}:
        texts.append(say("last_gas.kept_other", name=one_line(found.label_if_kept)))
    return (Paragraph(" ".join(texts)),)


def _running(subject: Subject) -> tuple[Chart, ...]:
    rival, best = subject.rival, subject.best
    if rival is None:
        return ()
    sums, rival_sums = paid_sums(best), paid_sums(rival)
    lines = [
        (say("page.this_choice"), sums, subject.accent),
        (subject.rival_line, rival_sums, SOFT),
    ]
    high, low = (
        running_cost_chart(
            lines,
            paid_back=_meeting(subject, sums),
            currency=subject.answer.currency,
            year_title=say("running.year_title"),
            height=height,
        )
        for height in (HEIGHT, LOW_HEIGHT)
    )
    return (
        Chart(
            id="running",
            title=say("running.title"),
            spec=high,
            low_spec=low,
            alt=say(
                "running.alt",
                years=subject.years,
                name=say("page.this_choice"),
                sum=subject.money(sums[-1]),
                base=subject.rival_line,
                base_sum=subject.money(rival_sums[-1]),
            ),
            caption=say("running.caption"),
        ),
    )


def _meeting(subject: Subject, sums: list[float]) -> tuple[float, float, str] | None:
    """Where the best choice's line meets the base's."""
    years = subject.best.payback_years
    if not years:
        return None
    before = math.floor(years)
    after = min(before + 1, len(sums) - 1)
    height = sums[before] + (years - before) * (sums[after] - sums[before])
    return years, height, say("running.paid_back", time=payback_text(years))
