"""An answered home that one can look at: any option, any month, any day."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from tankful.advice.option import Option
from tankful.casefile.load import LoadedCase
from tankful.casefile.resolve import resolve
from tankful.clock import dates_of_year
from tankful.errors import CaseError, Fault
from tankful.model.answer import Answer, OptionResult
from tankful.model.home import Home
from tankful.model.picture import DayPicture, YearPicture
from tankful.model.result import Flows
from tankful.service import Study
from tankful.service.homes import fitting_again, heater_today_w
from tankful.simulate.drive import HomeYear, home_year
from tankful.simulate.picture import day_picture, day_pictures, year_picture
from tankful.simulate.run import simulate

FLOWS_KEPT = 4
"""Years of options that are kept simulated: some 10 MB each."""


@dataclass(frozen=True, eq=False)
class Scene:
    """An answer and the home it is for."""

    answer: Answer
    home: Home
    year: HomeYear
    fitting: tuple[Option, ...]
    """The options of the answer, with all their controls."""
    kept: dict[str, Flows] = field(default_factory=dict)


def scene_of(study: Study) -> Scene:
    """What a study holds."""
    return Scene(study.answer, study.home, study.comparison.year, study.fitting)


def scene_again(loaded: LoadedCase, answer: Answer) -> Scene:
    """The home of an answer that is at hand already, without another search."""
    home = resolve(loaded, heater_series=heater_today_w)
    return Scene(answer, home, home_year(home), fitting_again(home, answer))


def option_of(scene: Scene, option_id: str) -> OptionResult:
    """An option of the answer; CaseError with those it has on an unknown id."""
    found = next((option for option in scene.answer.options if option.id == option_id), None)
    if found is None:
        allowed = ", ".join(option.id for option in scene.answer.options)
        fault = Fault("option", "no such option in this answer", option_id, allowed, "choose one")
        raise CaseError("The option cannot be shown.", [fault])
    return found


def year_of(scene: Scene, option_id: str) -> YearPicture:
    """Where an option's energy comes from, month by month."""
    return year_picture(_flows(scene, option_id), scene.year)


def day_of(scene: Scene, option_id: str, day: date) -> DayPicture:
    """An option on one day of the simulated year; CaseError on a day that it does not have."""
    days = dates_of_year(scene.home.clock.year)
    if day not in days:
        fault = Fault(
            "date",
            "not in the simulated year",
            day.isoformat(),
            f"{days[0].isoformat()} to {days[-1].isoformat()}, without 29 February",
            "choose another day",
        )
        raise CaseError("The day cannot be shown.", [fault])
    return day_picture(_flows(scene, option_id), scene.home, scene.year, days.index(day))


def usual_days(scene: Scene, option_id: str) -> tuple[date, date]:
    """A summer and a winter day that are as usual as any."""
    summer, winter = day_pictures(_flows(scene, option_id), scene.home, scene.year)
    return summer.date, winter.date


def _flows(scene: Scene, option_id: str) -> Flows:
    if option_id not in scene.kept:
        while len(scene.kept) >= FLOWS_KEPT:
            scene.kept.pop(next(iter(scene.kept)))
        scene.kept[option_id] = simulate(option_of(scene, option_id).heater, scene.year)
    return scene.kept[option_id]
