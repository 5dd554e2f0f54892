"""New panels in plain words, the same for every face."""

from __future__ import annotations

from collections.abc import Iterator

from tankful.advice.option import KEEP
from tankful.advice.wording import money
from tankful.model.panel_study import HeaterBySize, PanelStudy

CONTRACT = (
    "Adding panels is taken to end the feed-in contract at once, as old ones mostly say; what "
    "that loses is on the panels' own account. Ask the retailer first."
)


def panel_sentences(study: PanelStudy) -> tuple[str, ...]:
    """What new panels cost and change, whose gain it is, and how many each heater deserves."""
    sentences = (_price(study), _outcome(study), _accounts(study), " ".join(_sizes(study)))
    return (*sentences, CONTRACT) if study.feed_in_contract else sentences


def _price(study: PanelStudy) -> str:
    panels, currency = study.panels(study.best.kw), study.currency
    less = []
    if panels.certificates:
        less.append(f"{panels.certificates} certificates")
    if panels.rebate:
        less.append("the rebate")
    after = f" after {' and '.join(less)}" if less else ""
    limit = study.export_limit_kw
    export = "" if limit is None else f" The grid takes at most {limit:g} kW from the home."
    return f"{panels.kw:g} kW of new panels cost {money(panels.upfront, currency)}{after}.{export}"


def _outcome(study: PanelStudy) -> str:
    best, currency = study.best, study.currency
    total = f"{money(best.total, currency)} over {study.horizon_years} years"
    if best.total < 0.0:
        total += " (less than nothing, as what they save the house is taken off)"
    with_them = f"{best.kw:g} kW and {plain(best.label)}"
    today = f"the best without them, {plain(study.today_label)}"
    today += f" ({money(study.today_cost, currency)})"
    if study.gain < -study.tie_margin:
        return (
            f"They make nothing cheaper. The least dear tried: {with_them}, together {total}; "
            f"that is {money(-study.gain, currency)} more than {today}."
        )
    against = f"{money(study.gain, currency)} less than"
    if study.gain <= study.tie_margin:
        against = "a tie with"
    return f"Cheapest with them: {with_them}, together {total}; that is {against} {today}."


def _accounts(study: PanelStudy) -> str:
    """The house's account and that of hot water."""
    currency, alone = study.currency, study.panels(study.best.kw).net_present_cost
    if alone <= 0.0:
        house = f"would bring {money(-alone, currency)} to a house without hot water"
    else:
        house = f"would cost a house without hot water {money(alone, currency)} more than they save"
    saved = study.today_cost - study.best.net_present_cost
    word = "less" if saved >= 0.0 else "more"
    kept = next((heater for heater in study.heaters if heater.key == KEEP), None)
    beside = ""
    if kept is not None and study.best.option_id != KEEP:
        row = next(row for row in kept.sizes if row.kw == study.best.kw)
        beside = (
            " Bought alone, beside today's heater, the same panels and hot water come to "
            f"{money(row.total, currency)}."
        )
    return (
        f"The panels alone {house}; that is not credited to hot water. Hot water by itself "
        f"comes to {money(study.best.net_present_cost, currency)}, "
        f"{money(abs(saved), currency)} {word} than today's best.{beside}"
    )


def _sizes(study: PanelStudy) -> Iterator[str]:
    """The best size for the house alone and beside each heater."""
    largest_kw = study.alone[-1].kw
    if study.alone_best_kw == largest_kw:
        yield (
            f"For the house alone the largest size tried, {largest_kw:g} kW, pays best already, "
            "so no heater asks for more."
        )
        return
    yield f"The house alone is best with {new_panels(study.alone_best_kw)}."
    asked = [h for h in study.heaters if h.key in ("diverter", "heat_pump")]
    if not any(heater.deserved_kw for heater in asked):
        names = " or ".join(plain(heater.label) for heater in asked)
        if names:
            yield f"Buying {names} with them does not change that."
        return
    for heater in asked:
        yield _deserved(heater)


def _deserved(heater: HeaterBySize) -> str:
    more = "deserves no more"
    if heater.deserved_kw:
        word = "more" if heater.deserved_kw > 0.0 else "less"
        more = f"deserves {abs(heater.deserved_kw):.3g} kW {word}"
    return f"{heater.label} {more}."


def new_panels(kw: float) -> str:
    """A size in words."""
    return f"{kw:g} kW of new panels" if kw else "no new panels"


def plain(label: str) -> str:
    """A label in the middle of a sentence."""
    return label[:1].lower() + label[1:]


def covering_sentence(study: PanelStudy) -> str:
    """The trade's rule of size beside this home; empty without a tank on a diverter."""
    if study.covering_kw is None:
        return ""
    rule = (
        "Common practice, no source: about 6.6 kW is the least that covers a house and its water "
        "heater in a temperate city, and about 1.5 kW more feeds a diverter."
    )
    if study.covering_kw == 0.0:
        return f"{rule} Here today's {study.today_kw:g} kW make in a year more than both use."
    total_kw = study.today_kw + study.covering_kw
    return f"{rule} Here {total_kw:.1f} kW make in a year what house and diverted tank use."
