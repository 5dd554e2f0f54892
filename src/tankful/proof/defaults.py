"""Heaters and homes as the program assumes them when a case gives next to nothing."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np

from tankful.casefile.filling import Filling
from tankful.casefile.heaters import new_heater
from tankful.casefile.load import check_text
from tankful.model.case import HeaterKind
from tankful.model.system import WaterHeater
from tankful.proof.capitals import POSTCODES, capital_of
from tankful.proof.rig import LAYERS, open_grid
from tankful.simulate.drive import HomeYear
from tankful.use.draws import draws_on_steps
from tankful.use.household import household_draws

PEOPLE = 4
"""At 50 L a person, 200 L a day at 60 degC: the load of the gas label."""


@lru_cache(maxsize=64)
def default_heater(kind: HeaterKind) -> WaterHeater:
    """A new heater of a kind for four people, always on, nothing quoted."""
    return _new_heater(kind, "")


@lru_cache(maxsize=64)
def quoted_heater(kind: HeaterKind, quote: str) -> WaterHeater:
    """The same by a quote, whose lines are those of a case file."""
    return _new_heater(kind, f'[[quotes]]\nfamily = "{kind}"\n{quote}\n')


def _new_heater(kind: HeaterKind, quote: str) -> WaterHeater:
    text = f'[place]\npostcode = "2000"\n[people]\ncount = {PEOPLE}\n{quote}'
    loaded = check_text(text, Path("example.toml"))
    quotes = loaded.case.quotes
    given = quotes[0] if quotes else None
    return new_heater(Filling(loaded), kind, given, southern=True, path=f"quotes[{kind}]")


@lru_cache(maxsize=16)
def family_year(city: str) -> HomeYear:
    """A family of four in a capital, its tank outside, without panels or other use."""
    capital = capital_of(POSTCODES[city])
    steps, clock = capital.steps, capital.clock
    nothing = np.zeros(clock.n_steps)
    return HomeYear(
        clock=clock,
        air_c=np.ascontiguousarray(steps.temp_air_c),
        wet_bulb_c=np.ascontiguousarray(steps.wet_bulb_c),
        cold_c=capital.cold_c,
        draws=draws_on_steps(household_draws(clock, PEOPLE), clock),
        house_w=nothing,
        pv_w=nothing,
        grid=open_grid(clock),
        quiet=None,
        layers=LAYERS,
    )
