"""New or more panels beside each water heater, with two accounts kept apart.

The panels' own account holds their price and what they save the house without any water
heater; that of hot water holds what the heater then adds to the bills. Nothing that the panels
save the house anyway is credited to hot water.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from tankful.advice.compare import Comparison, Progress
from tankful.advice.option import KEEP, Option
from tankful.advice.options import build_options
from tankful.advice.panel_homes import NO_PANELS, HotWaterYear, PaneledHome, hot_water_cost, paneled
from tankful.advice.panel_trials import Trials, quick_trials, thorough_trials
from tankful.model.answer import OptionResult
from tankful.model.home import NewArray, PanelOffer
from tankful.model.panel_study import HeaterBySize, HotWater, PanelsAlone, PanelStudy, Step
from tankful.units import J_PER_KWH

QUICK_SIZES = 3
"""Sizes looked at inside the whole advice."""

LINES: tuple[tuple[str, str, Callable[[str], bool]], ...] = (
    (KEEP, "Today's heater kept", lambda name: name == KEEP),
    ("timed", "Electric tank on a timer", lambda name: name.startswith("electric-timed")),
    (
        "diverter",
        "Electric tank with a diverter",
        lambda name: name.startswith(("electric-diverter", "electric-two-elements")),
    ),
    ("heat_pump", "Heat pump", lambda name: name.startswith("heat-pump")),
)
"""Kinds of water heater: key, label and which options belong to it."""

Line = tuple[str, str, list[Option]]


def panel_study(
    comparison: Comparison, results: Sequence[OptionResult], progress: Progress | None = None
) -> PanelStudy | None:
    """New panels of each size; ``None`` where the case rules out work on the roof.

    ``results`` are the home's options without new panels, cheapest first. With ``progress``
    every size is looked at and controls are searched anew, which takes seconds; without it a
    few sizes and few controls are.
    """
    offer = comparison.home.panel_offer
    if offer is None:
        return None
    arrays = _few(offer.arrays) if progress is None else offer.arrays
    homes = [paneled(comparison, offer, array) for array in arrays]
    lines = _lines(build_options(homes[-1].home)[0], results)
    members = [options for _, _, options in lines]
    if progress is None:
        trials = quick_trials(homes, members, results)
    else:
        trials = thorough_trials(homes, members, progress)
    heaters = tuple(_heater(line, homes, results, trials) for line in lines)
    return _study(comparison, offer, homes, results, heaters)


def _few(arrays: tuple[NewArray, ...]) -> tuple[NewArray, ...]:
    """At most ``QUICK_SIZES`` of them, evenly spread, the largest among them."""
    count = min(QUICK_SIZES, len(arrays))
    return tuple(arrays[(n + 1) * len(arrays) // count - 1] for n in range(count))


def _lines(options: Sequence[Option], results: Sequence[OptionResult]) -> list[Line]:
    """Each kind of heater with its options; the best without new panels where it is none."""
    found = [(key, label, belongs) for key, label, belongs in LINES]
    best = results[0]
    if not any(belongs(best.id) for _, _, belongs in LINES):
        found.append(("best", best.label, lambda name: name == best.id))
    lines = [(key, label, [o for o in options if belongs(o.id)]) for key, label, belongs in found]
    return [line for line in lines if line[2]]


def _heater(
    line: Line, homes: Sequence[PaneledHome], results: Sequence[OptionResult], trials: Trials
) -> HeaterBySize:
    """The cheapest of one kind's options beside each size."""
    key, label, members = line
    names = {option.id for option in members}
    plain = [_plain_row(result) for result in results if result.id in names]
    sizes = [_cheapest(plain)] if plain else []
    for home in homes:
        rows = [
            _row(home, option, trials[home.alone.kw, option.id])
            for option in members
            if (home.alone.kw, option.id) in trials
        ]
        sizes.append(_cheapest(rows))
    alone = _alone(homes)
    best_kw = _cheapest(sizes).kw
    return HeaterBySize(
        key=key,
        label=label,
        sizes=tuple(sizes),
        steps=_steps(sizes, {panels.kw: panels for panels in alone}),
        best_kw=best_kw,
        deserved_kw=best_kw - _best_alone_kw(alone),
    )


def _cheapest(rows: Sequence[HotWater]) -> HotWater:
    return min(rows, key=lambda row: (not row.usable, row.total))


def _alone(homes: Sequence[PaneledHome]) -> list[PanelsAlone]:
    return [NO_PANELS, *(home.alone for home in homes)]


def _best_alone_kw(alone: Sequence[PanelsAlone]) -> float:
    """The size that suits the house best, hot water left aside."""
    return min(alone, key=lambda panels: panels.net_present_cost).kw


def _plain_row(result: OptionResult) -> HotWater:
    """An option of the plain answer: no new panels."""
    return HotWater(
        kw=0.0,
        option_id=result.id,
        label=result.label,
        control_text=result.choice.control.text(result.heater.kind),
        usable=result.choice.usable,
        year_one=result.year_one.total,
        net_present_cost=result.net_present_cost,
        total=result.net_present_cost,
        electricity_kwh=result.sums.electricity_kwh,
        purchased_kwh=result.sums.purchased_kwh,
        sun_share=result.sums.solar_share,
        cold_draws=result.sums.cold_draws,
    )


def _row(home: PaneledHome, option: Option, trial: HotWaterYear) -> HotWater:
    cost = hot_water_cost(home.home, option, trial.year_one)
    return HotWater(
        kw=home.alone.kw,
        option_id=option.id,
        label=option.label,
        control_text=trial.heater.control.text(trial.heater.kind),
        usable=trial.usable,
        year_one=trial.year_one.total,
        net_present_cost=cost,
        total=cost + home.alone.net_present_cost,
        electricity_kwh=trial.sums.electricity_kwh,
        purchased_kwh=trial.sums.purchased_kwh,
        sun_share=trial.sums.solar_share,
        cold_draws=trial.sums.cold_draws,
    )


def _steps(sizes: Sequence[HotWater], alone: dict[float, PanelsAlone]) -> tuple[Step, ...]:
    """What a kW between two sizes costs the house and saves hot water."""
    steps = []
    for small, large in pairwise(sizes):
        kw = large.kw - small.kw
        house = alone[large.kw].net_present_cost - alone[small.kw].net_present_cost
        saving = small.net_present_cost - large.net_present_cost
        steps.append(Step(small.kw, large.kw, house / kw, saving / kw))
    return tuple(steps)


def _study(
    comparison: Comparison,
    offer: PanelOffer,
    homes: Sequence[PaneledHome],
    results: Sequence[OptionResult],
    heaters: tuple[HeaterBySize, ...],
) -> PanelStudy:
    home, wishes, alone = comparison.home, comparison.home.case.wishes, _alone(homes)
    best = _cheapest([row for heater in heaters for row in heater.sizes if row.kw > 0.0])
    return PanelStudy(
        currency=wishes.currency,
        horizon_years=wishes.horizon_years,
        tie_margin=wishes.tie_margin,
        today_kw=sum(array.kw for array in home.case.electricity.arrays),
        export_limit_kw=offer.export_limit_kw,
        feed_in_contract=bool(home.electricity_tariff.changes_after(home.as_of)),
        alone=tuple(alone),
        alone_best_kw=_best_alone_kw(alone),
        heaters=heaters,
        today_label=results[0].label,
        today_cost=results[0].net_present_cost,
        best=best,
        gain=results[0].net_present_cost - best.total,
        covering_kw=_covering_kw(comparison, homes[-1], heaters),
    )


def _covering_kw(
    comparison: Comparison, largest: PaneledHome, heaters: Sequence[HeaterBySize]
) -> float | None:
    """New panels that, with those of today, make in a year what house and diverted tank use."""
    diverted = next((heater for heater in heaters if heater.key == "diverter"), None)
    if diverted is None:
        return None
    year = comparison.year
    kwh = year.clock.step_s / J_PER_KWH
    missing_kwh = float((year.house_w - year.pv_w).sum()) * kwh + diverted.sizes[-1].electricity_kwh
    return max(0.0, missing_kwh * largest.alone.kw / largest.alone.made_kwh)
