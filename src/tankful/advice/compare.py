"""Every option on one footing: best control, year, bills, life; then ranked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass

from tankful.advice.certificates import certificate_count
from tankful.advice.life import Life, life_of
from tankful.advice.option import KEEP, Option
from tankful.advice.reasons import Costed, EnergyUse, waterfall
from tankful.advice.search import (
    SEARCH_STEP_MIN,
    Found,
    Judge,
    Trial,
    best_control,
    search_step_min,
    worthwhile,
)
from tankful.advice.settle import Bills, HomeMoney, leaves_gas, year_one
from tankful.advice.settle import bills as settled
from tankful.advice.sizing import sizing_of, with_other_size
from tankful.advice.water import wait_water_l_per_day
from tankful.model.answer import ControlChoice, OptionResult, Upfront, YearOne
from tankful.model.home import Home
from tankful.model.kinds import ONE_OFF
from tankful.model.result import YearSums
from tankful.model.sizing import Sizing
from tankful.model.system import WaterHeater
from tankful.money.emissions import year_emissions_kg
from tankful.money.lifetime import payback_years
from tankful.simulate.coarse import coarser
from tankful.simulate.drive import home_year
from tankful.simulate.run import simulate, year_sums
from tankful.units import LPG_MJ_PER_L

Progress = Callable[[int, int, str], None]

BASES = (KEEP, "electric-always")
"""What the others are compared with: keeping today's heater, or a plain tank where none is."""

BASE_NAMES = {KEEP: "today's heater", "electric-always": "a plain tank always on"}


@dataclass(frozen=True, eq=False)
class Evaluated:
    """One option with its year, bills and life, before ranking."""

    option: Option
    heater: WaterHeater
    choice: ControlChoice
    sums: YearSums
    year_one: YearOne
    upfront: Upfront
    life: Life
    bills: Bills
    sizing: Sizing | None


class Comparison:
    """Evaluates options of one home under the same year and money; other sizes of their tanks
    too, unless time is short; then the search's step may be longer as well."""

    def __init__(
        self, home: Home, *, other_sizes: bool = True, search_min: int = SEARCH_STEP_MIN
    ) -> None:
        self.home = home
        self._other_sizes = other_sizes
        self.year = home_year(home)
        self.money = HomeMoney.of(home, self.year)
        self._fine = self._coarse = Judge(self.money)
        step_min = search_step_min(home.clock.step_min, search_min)
        if step_min != home.clock.step_min:
            coarse = coarser(home, step_min)
            self._coarse = Judge(HomeMoney.of(coarse, home_year(coarse)))
        self.bills_without = self.money.bills_without()

    def search(self, option: Option) -> Found:
        """The option's year under its best control."""
        return best_control(option, self._coarse, self._fine)

    def worthwhile(self, option: Option, homes: Sequence[Home]) -> list[WaterHeater]:
        """The option's heater under the controls that are best at some of these prices."""
        return worthwhile(option, self._coarse, self._fine, homes)

    def trials(self, heaters: Sequence[WaterHeater]) -> list[Trial]:
        """A year of each heater on the answer's own step."""
        return self._fine.trials(heaters)

    def evaluate(self, option: Option) -> Evaluated:
        """Search, simulate, settle and carry one option over its life."""
        found = self.search(option)
        heater = found.best.heater
        flows = simulate(heater, self.year)
        bills = self.money.bills(flows, option.burns_gas)
        first_year = year_one(bills, self.bills_without)
        always = year_one(
            settled(self.home, found.always.meters, option.burns_gas), self.bills_without
        )
        leaving = self.home.gas_leaving_cost if leaves_gas(self.home, option.burns_gas) else 0.0
        upfront = upfront_of(self.home, option, leaving)
        sums = year_sums(flows, self.year)
        sizing = sizing_of(self.home, self.year, option, heater, flows, sums)
        if sizing is not None and self._other_sizes:
            sizing = with_other_size(sizing, heater, self._coarse.trial)
        return Evaluated(
            option=option,
            heater=heater,
            choice=ControlChoice(
                heater.control,
                found.tried,
                always.total,
                found.always.cost - found.best.cost,
                found.comfort_kept,
                found.usable,
            ),
            sums=sums,
            year_one=first_year,
            upfront=upfront,
            life=life_of(self.home, option, upfront, first_year),
            bills=bills,
            sizing=sizing,
        )


def compare(
    comparison: Comparison,
    options: tuple[Option, ...],
    progress: Progress = lambda done, total, what: None,
) -> tuple[OptionResult, ...]:
    """Evaluate and rank every option, cheapest net present cost first."""
    return ranked(comparison.home, evaluate_all(comparison, options, progress))


def evaluate_all(
    comparison: Comparison, options: Sequence[Option], progress: Progress
) -> list[Evaluated]:
    """Evaluate every option, two at a time: the compiled year lets other threads run."""
    with ThreadPoolExecutor(max_workers=2) as pool:
        running = {pool.submit(comparison.evaluate, option): option for option in options}
        try:
            for done, finished in enumerate(as_completed(running)):
                progress(done, len(options), running[finished].label)
        finally:  # when called off, what has not begun is left undone
            for evaluating in running:
                evaluating.cancel()
        progress(len(options), len(options), "done")
        return [evaluating.result() for evaluating in running]


def ranked(home: Home, options: Sequence[Evaluated]) -> tuple[OptionResult, ...]:
    """Rank evaluated options, cheapest net present cost first.

    Options that leave a shower a week cold stand behind all that do not.
    """
    evaluated = sorted(options, key=lambda e: (not e.choice.usable, e.life.net_present_cost))
    base = next((e for name in BASES for e in evaluated if e.option.id == name), evaluated[-1])
    return _ranked(home, evaluated, base)


def _ranked(home: Home, evaluated: list[Evaluated], base: Evaluated) -> tuple[OptionResult, ...]:
    """Number the options; those within the tie margin of the best share its rank."""
    best = evaluated[0]
    gaps = [item.life.net_present_cost - best.life.net_present_cost for item in evaluated]
    close = [
        gap <= home.case.wishes.tie_margin and item.choice.usable == best.choice.usable
        for gap, item in zip(gaps, evaluated, strict=True)
    ]
    a_tie = sum(close) > 1
    return tuple(
        _result(home, item, base, best, rank, tied)
        for item, rank, tied in zip(
            evaluated,
            (1 if near else i for i, near in enumerate(close, start=1)),
            (near and a_tie for near in close),
            strict=True,
        )
    )


def _result(
    home: Home, item: Evaluated, base: Evaluated, best: Evaluated, rank: int, tied: bool
) -> OptionResult:
    """One option's result, explained against the base and against the best."""
    costed, from_base, from_best = (_costed(home, each) for each in (item, base, best))
    return OptionResult(
        id=item.option.id,
        label=item.option.label,
        rank=rank,
        tied_with_best=tied,
        heater=item.heater,
        choice=item.choice,
        upfront=item.upfront,
        year_one=item.year_one,
        net_present_cost=item.life.net_present_cost,
        payback_years=None if item is base else payback_years(item.life.costs, base.life.costs),
        cost_per_kwh=item.life.per_kwh(item.sums.heat_delivered_kwh),
        cost_per_kl=item.life.per_kl(item.sums.mixed_l / 1000.0),
        emissions_kg=_emissions_kg(home, item.sums),
        wait_water_l_per_day=wait_water_l_per_day(item.heater),
        sums=item.sums,
        costs=item.life.costs,
        electricity_bill=item.bills.power,
        gas_bill=item.bills.gas,
        sizing=item.sizing,
        waterfall=waterfall(costed, from_base, _name(base)),
        waterfall_from_best=waterfall(costed, from_best, _name(best)),
    )


def _name(item: Evaluated) -> str:
    """What the base or the best is called inside a sentence."""
    return BASE_NAMES.get(item.option.id, "the best option")


def _costed(home: Home, item: Evaluated) -> Costed:
    return Costed(
        id=item.option.id,
        use=EnergyUse.of(item.sums),
        parts=item.life.parts,
        year_one=item.year_one,
        bottled=home.case.gas.bottles is not None,
    )


def _emissions_kg(home: Home, sums: YearSums) -> float | None:
    """Greenhouse gas of the energy bought; ``None`` where no factors are at hand."""
    place = home.place
    if place.country != "AU" or place.state is None:
        return None
    if home.case.gas.bottles is not None:
        litres = sums.gas_mj / LPG_MJ_PER_L
        return year_emissions_kg(sums.purchased_kwh, 0.0, place.state, lpg_l=litres)
    return year_emissions_kg(sums.purchased_kwh, sums.gas_mj, place.state)


def upfront_of(home: Home, option: Option, leaving_gas: float) -> Upfront:
    parts = [home.equipment[name] for name in option.parts]
    certificates = sum(certificate_count(home, name) for name in option.parts)
    return Upfront(
        installed=sum(part.installed_price for part in parts),
        certificates=certificates,
        certificate_value=certificates * home.case.wishes.certificate_price,
        rebate=sum(part.rebate for part in parts),
        leaving_gas=leaving_gas,
        quoted=sum(part.installed_price for part in parts if part.is_priced),
        wiring=sum(
            part.installed_price for part in parts if part.family in ONE_OFF and not part.is_priced
        ),
    )
