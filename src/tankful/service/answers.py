"""A case file to the whole answer, to parts of it, and to plain data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

import numpy as np

from tankful.advice.backup import backup_cost
from tankful.advice.battery import battery_notes
from tankful.advice.cautions import cautions_for, health_notes
from tankful.advice.certificates import estimated_certificates, rebate_note
from tankful.advice.compare import Comparison, Progress, compare
from tankful.advice.feed_in import feed_in_notes
from tankful.advice.from_bills import confirmed
from tankful.advice.last_gas import last_gas
from tankful.advice.option import KEEP, Option, concerns, renewal_note
from tankful.advice.options import build_options
from tankful.advice.panels import panel_study
from tankful.advice.quick import Settings, narrowed, on_long_step
from tankful.advice.size_words import size_sentence
from tankful.advice.versions import versions
from tankful.advice.water import water_notes
from tankful.advice.why import option_sentences
from tankful.advice.wording import control_sentence
from tankful.casefile.load import LoadedCase, load_case
from tankful.casefile.resolve import list_defaults, resolve
from tankful.clock import dates_of_year
from tankful.errors import CaseError, Fault
from tankful.model.answer import Answer, Foresight, OptionResult
from tankful.model.home import Home
from tankful.model.panel_study import PanelStudy
from tankful.model.result import Assumption, Flows
from tankful.paths import cache_root
from tankful.service.homes import Weighed, heater_today_w, load_home, silent, weigh
from tankful.simulate.run import simulate
from tankful.units import J_PER_KWH

if TYPE_CHECKING:
    from pandas import DataFrame


@dataclass(frozen=True, eq=False)
class Study:
    """An answer with the home and the simulations it came from."""

    loaded: LoadedCase
    home: Home
    comparison: Comparison
    fitting: tuple[Option, ...]
    """The options of the answer, with all their controls."""
    answer: Answer


def advise(path: Path, progress: Progress = silent) -> Answer:
    """The whole answer for the case file at ``path``."""
    return study(path, progress).answer


def study(path: Path, progress: Progress = silent) -> Study:
    """The whole answer for the case file at ``path``, with what it came from."""
    return study_case(load_case(path), progress)


def study_case(
    loaded: LoadedCase, progress: Progress = silent, known: Settings | None = None
) -> Study:
    """The whole answer, with what a report shows of it beyond the sums.

    With the settings ``known`` from an earlier answer it is a quick one: on a long step, without
    search, without new panels and other sizes of tanks.
    """
    quick = known is not None
    progress(0, 1, "reading the case and the weather")
    home = resolve(on_long_step(loaded) if quick else loaded, heater_series=heater_today_w)
    weighed = weigh(
        home,
        progress,
        lambda options: options if known is None else narrowed(options, known),
        other_sizes=not quick,
    )
    progress(len(weighed.options), len(weighed.options), "new panels")
    panels = None if quick else panel_study(weighed.comparison, weighed.results)
    answer = _answer(home, weighed, panels, list_defaults(loaded, home))
    return Study(loaded, home, weighed.comparison, weighed.fitting, answer)


def _answer(
    home: Home, weighed: Weighed, panels: PanelStudy | None, defaults: Sequence[Assumption]
) -> Answer:
    """The options weighed, with what must be said of them and of the home."""
    comparison, options, results = weighed.comparison, weighed.options, weighed.results
    kwh = home.clock.step_s / J_PER_KWH
    margin = results[1].net_present_cost - results[0].net_present_cost if results[1:] else 0.0
    return Answer(
        case_name=home.case.name,
        as_of=home.as_of,
        currency=home.case.wishes.currency,
        horizon_years=home.case.wishes.horizon_years,
        place_text=home.place_text,
        weather_text=home.weather_text,
        options=results,
        excluded=weighed.excluded,
        margin=margin,
        tie_margin=home.case.wishes.tie_margin,
        electricity_bill_without=comparison.bills_without.power,
        gas_bill_without=comparison.bills_without.gas,
        house_kwh=float(home.house_w.sum()) * kwh,
        pv_kwh=float(home.pv_w.sum()) * kwh,
        surplus_kwh=float(np.maximum(0.0, home.pv_w - home.house_w).sum()) * kwh,
        calibration=confirmed(home, comparison.year),
        cautions=cautions_for(
            home,
            results,
            new_panels=panels is not None and panels.gain >= -panels.tie_margin,
            backup=backup_cost(comparison, results),
        ),
        notes=(
            *home.notes,
            *renewal_note(home),
            *rebate_note(home),
            *feed_in_notes(home),
            *health_notes(results),
            *battery_notes(comparison, results, home.case.wishes.currency),
            *water_notes(results),
        ),
        assumptions=tuple(
            assumption
            for assumption in (*estimated_certificates(home), *defaults)
            if concerns(options, assumption)
        ),
        versions=versions(),
        last_gas=last_gas(home, results),
        panels=panels,
        quotes=weighed.quotes,
    )


def study_panels(
    path: Path, progress: Progress = silent
) -> tuple[str, PanelStudy, tuple[Assumption, ...]]:
    """New panels of every size beside each water heater, with the name of the case and what was
    assumed of the panels. Raises CaseError where nothing may go on the roof."""
    home = load_home(path)
    if home.panel_offer is None:
        fault = Fault(
            field="constraints.no_roof_work",
            problem="rules out new panels",
            value="`true|yes`",
            mend="take it out of the case to weigh them",
            file=str(path),
        )
        raise CaseError("New panels cannot be weighed.", [fault])
    options, _ = build_options(home)
    comparison = Comparison(home)
    found = panel_study(comparison, compare(comparison, options, progress), progress)
    assert found is not None  # the home has an offer
    assumed = [item for item in home.assumptions if item.path.startswith("more_panels")]
    return home.case.name, found, tuple(assumed)


def option_flows(path: Path, option_id: str) -> tuple[Home, Flows]:
    """The year of one option under its best control. Raises CaseError on an unknown id."""
    home = load_home(path)
    chosen = _chosen(home, option_id)
    comparison = Comparison(home)
    return home, simulate(comparison.search(chosen).best.heater, comparison.year)


def _chosen(home: Home, option_id: str) -> Option:
    """An option of the home by its id; CaseError with those it has on an unknown one."""
    options, excluded = build_options(home)
    chosen = next((option for option in options if option.id == option_id), None)
    if chosen is None:
        reason = next((item.reason for item in excluded if item.id == option_id), "")
        fault = Fault(
            field="--option",
            problem=f"ruled out: {reason}" if reason else "no such option for this home",
            value=option_id,
            allowed=", ".join(option.id for option in options),
            mend="choose one of the allowed ids",
        )
        raise CaseError("The option cannot be simulated.", [fault])
    return chosen


def foresight(
    path: Path, option_id: str | None = None, progress: Progress = silent
) -> tuple[str, tuple[Foresight, ...]]:
    """The currency, and how near the best setting of one option, or of each that can be timed,
    comes to what perfect foresight could reach; a second or two an option.

    Raises CaseError on an unknown id, or one of an option that has nothing to time.
    """
    from tankful.advice.foresight import foresee, why_no_bound

    home = load_home(path)
    comparison = Comparison(home)
    if option_id is None:
        options, _ = build_options(home)
        timed = [option for option in options if not why_no_bound(comparison, option)]
    else:
        timed = [_chosen(home, option_id)]
        if why := why_no_bound(comparison, timed[0]):
            fault = Fault("--option", why, option_id, mend="choose an electric tank or heat pump")
            raise CaseError("The option has no bound.", [fault])
    found = []
    for done, option in enumerate(timed):
        progress(done, len(timed), option.label)
        found.append(foresee(comparison, option))
    return home.case.wishes.currency, tuple(found)


def foresight_as_json(currency: str, found: tuple[Foresight, ...]) -> dict[str, Any]:
    """What ``foresight`` found as plain data."""
    options = [{**asdict(item), "reached": item.reached} for item in found]
    return {"currency": currency, "options": options}


def answer_as_json(answer: Answer) -> dict[str, Any]:
    """The answer as plain data."""
    record = asdict(answer)
    if not answer.quotes:
        del record["quotes"]
    for item in record["assumptions"]:
        if not isinstance(item["value"], bool | int | float | str):
            item["value"] = str(item["value"])
    record["options"] = [_option_as_json(answer, option) for option in answer.options]
    record["best"] = answer.best.id
    record["tied"] = [option.id for option in answer.tied]
    record["has_baseline"] = any(option.id == KEEP for option in answer.options)
    return record


def _option_as_json(answer: Answer, option: OptionResult) -> dict[str, Any]:
    sums = asdict(option.sums)
    record = asdict(option)
    del record["sums"]
    return {
        "id": option.id,
        "label": option.label,
        "rank": option.rank,
        "upfront_cost": option.upfront.total,
        "year_one_cost": option.year_one.total,
        "net_present_cost": option.net_present_cost,
        "payback_years": option.payback_years,
        "cold_draws_per_year": sums.pop("cold_draws"),
        "cold_litres_per_year": sums.pop("cold_litres"),
        "draws_per_year": sums.pop("draws"),
        **sums,
        "control": asdict(option.choice.control),
        "control_text": control_sentence(option, answer.currency),
        **{key: value for key, value in record.items() if key not in ("id", "label", "rank")},
        "size_sentence": size_sentence(option, answer.currency),
        "sentences": list(option_sentences(option, answer.horizon_years, answer.currency)),
    }


def flows_frame(path: Path, option_id: str) -> DataFrame:
    """One option's year as a table: a row a step, labelled at its start.

    Columns: ``standard_time``, ``clock_time`` (both without zone), then the series of
    ``Flows`` with their units, cold water and air.
    """
    import pandas as pd

    home, flows = option_flows(path, option_id)
    clock = home.clock
    days = pd.DatetimeIndex(dates_of_year(clock.year))
    minutes = pd.to_timedelta(clock.minute, unit="min")
    clock_minutes = pd.to_timedelta(clock.clock_minute, unit="min")
    columns = {
        "standard_time": days[clock.day] + minutes,
        "clock_time": days[clock.clock_day] + clock_minutes,
        "air_c": home.temp_air_c,
        "cold_water_c": home.cold_water_c,
    }
    series = {name: value for name, value in vars(flows).items() if isinstance(value, np.ndarray)}
    return pd.DataFrame({**columns, **series})


def fetch_weather_file(kind: str, latitude: float, longitude: float) -> Path:
    """A year of weather from a public service, kept in the user's cache.

    ``kind`` is ``pvgis`` or ``nasa_power``. Raises OfflineError without network.
    """
    from tankful.site.fetch import Service, fetch_weather

    return fetch_weather(cast(Service, kind), latitude, longitude, cache_root() / "weather")


def weather_summary(path: Path) -> list[str]:
    """What a weather file holds, in a few lines. Raises FileError when it is none."""
    from tankful.site.weather_file import read_weather_file
    from tankful.site.weather_words import weather_lines

    return weather_lines(read_weather_file(path))
