"""Gas in the bills that is not for hot water: what the case says of it, and what the bills do."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from tankful.clock import BoolArray, FloatArray
from tankful.model.case import Case
from tankful.units import DAYS_PER_YEAR, MJ_PER_KWH
from tankful.use.bill_fit import Prior

COOKING_MJ_PER_DAY = Prior(2.0, 1.0)
"""Gas for cooking where the case does not tell: 0.6 to 7 MJ a day (judgement)."""

OTHER_SPREAD = 0.3
"""How well people know their other gas (judgement)."""

MOST_COOKING_MJ = 4_000.0
"""More gas than this in a year for other uses is heating (judgement)."""


def tells_other_gas(case: Case) -> bool:
    """The case says how much gas other uses take, be it none."""
    return "other_use_mj" in case.gas.model_fields_set


def has_other_gas(case: Case) -> bool:
    """The case says how much that is, or that gas stays."""
    return tells_other_gas(case) or case.constraints.keep_gas


def other_gas_prior(case: Case) -> Prior:
    """Gas a day besides hot water in bills without heating [kWh]."""
    known = tells_other_gas(case) and case.gas.other_use_mj <= MOST_COOKING_MJ
    if not known:
        return Prior(COOKING_MJ_PER_DAY.middle / MJ_PER_KWH, COOKING_MJ_PER_DAY.spread)
    return Prior(case.gas.other_use_mj / DAYS_PER_YEAR / MJ_PER_KWH, OTHER_SPREAD)


def other_mj_per_year(
    a_day_kwh: float,
    spans: Sequence[tuple[date, date]],
    beyond_kwh: FloatArray,
    heating: BoolArray,
) -> float | None:
    """Other gas of a year [MJ]: that of every day, and what bills with ``heating`` hold beyond
    what else is expected in them; shapes ``(bills,)``. ``None`` where there is none.

    Bills of several winters count as their mean.
    """
    mj = a_day_kwh * DAYS_PER_YEAR * MJ_PER_KWH
    if heating.any():
        held = [span for span, is_held in zip(spans, heating, strict=True) if is_held]
        days = (max(last for _, last in held) - min(first for first, _ in held)).days + 1
        winters = max(1, round(days / DAYS_PER_YEAR))
        mj += float(beyond_kwh[heating].clip(min=0.0).sum()) * MJ_PER_KWH / winters
    return mj or None
