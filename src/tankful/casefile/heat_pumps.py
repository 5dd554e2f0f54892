"""Heat pumps of a home: the rating behind a quoted test report, or that of a generic class."""

from __future__ import annotations

from tankful.casefile.cop_test import cop_test, rating_cop
from tankful.casefile.properties import Properties
from tankful.model.case import Quote
from tankful.model.system import HeatPumpRating

NO_QUOTE = Quote(family="heat_pump")


def heat_pump_rating(
    properties: Properties, quote: Quote | None, standby_w: float
) -> HeatPumpRating:
    """The rating of a heat pump, by its quote where that says so.

    A quoted COP is brought from its test to the rating point; quoted heating power is taken
    as it is (over a heat-up it differs by about 6 %).
    """
    asked = quote or NO_QUOTE
    frost_penalty = properties.number("frost_penalty")
    if asked.cop is None or asked.heat_kw is None:
        properties.word("grade", asked.grade, "good", "judgement")
    is_carnot = properties.word("cop_model", asked.cop_model, "lab_curve", "judgement") == "carnot"
    cop = None if asked.cop is None else rating_cop(asked, frost_penalty)
    if cop is not None:
        how = f"from the quoted COP {asked.cop:g} at {cop_test(asked).text()}"
        properties.filling.work_out(f"{properties.path}.rating_cop", round(cop, 2), "", how)
    return HeatPumpRating(
        heat_w=properties.number("heat_kw", asked.heat_kw) * 1000.0,
        cop=properties.number("rating_cop", cop),
        standby_w=standby_w,
        cut_out_air_c=properties.number("cut_out_air_c"),
        frost_penalty=frost_penalty,
        model="carnot" if is_carnot else "lab_curve",
        min_share=properties.number("min_share") if asked.variable_speed else 1.0,
    )
