"""New or more solar panels as a case tells of them; every value may be left out."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from tankful.model.fields import Table, UnfitError, field

NewKw = Annotated[float, Field(gt=0, le=100)]
Sizes = Annotated[tuple[NewKw, ...], Field(strict=False, min_length=1, max_length=12)]


class MorePanels(Table):
    """New panels that could be bought, beside those of today, with an inverter of their own."""

    sizes_kw: Sizes | None = field(
        None,
        about="sizes to try, each on top of today's panels",
        unit="kW",
        allowed="up to twelve numbers from 0 to 100",
        when_absent="every fourth panel up to `room_kw|what fits on the roof`",
    )
    room_kw: float | None = field(
        None,
        about="most that still fits on the roof",
        unit="kW",
        gt=0,
        le=100,
        when_absent="10 kW",
    )
    tilt_deg: float | None = field(
        None, about="slope from level", unit="degrees", ge=0, le=90, when_absent="as the roof"
    )
    azimuth_deg: float | None = field(
        None,
        about="direction faced, clockwise from north (90 is east)",
        unit="degrees",
        ge=0,
        le=360,
        when_absent="as the roof",
    )
    inverter_kw: float | None = field(
        None,
        about="rating of their inverter on the alternating-current side",
        unit="kW",
        gt=0,
        le=100,
        when_absent="new panel power divided by 1.2",
    )
    export_limit_kw: float | None = field(
        None,
        about="most that may flow to the grid once they are there",
        unit="kW",
        ge=0,
        le=100,
        when_absent="as today; 5 kW in Australia, or what today's inverter may feed in without one",
    )
    installed_price: float | None = field(
        None,
        about="quoted price of the one size weighed, before certificates and rebate",
        unit="money",
        ge=0,
        le=500_000,
        when_absent="`fixed_price` and `price_per_kw`",
    )
    fixed_price: float | None = field(
        None,
        about="part of the price that does not grow with the size",
        unit="money",
        ge=0,
        le=100_000,
        when_absent="typical price",
    )
    price_per_kw: float | None = field(
        None,
        about="part of the price for each kW, before certificates",
        unit="money/kW",
        ge=0,
        le=20_000,
        when_absent="typical price",
    )
    rebate: float = field(
        0.0, about="other rebate on top", unit="money", ge=0, le=100_000, source="judgement"
    )
    life_years: float | None = field(
        None, about="life of the panels", unit="years", ge=1, le=50, when_absent="typical life"
    )
    inverter_life_years: float | None = field(
        None, about="life of their inverter", unit="years", ge=1, le=50, when_absent="typical life"
    )
    inverter_price: float | None = field(
        None,
        about="price of the next inverter",
        unit="money",
        ge=0,
        le=100_000,
        when_absent="typical price by its rating",
    )
    maintenance_per_year: float | None = field(
        None,
        about="yearly cleaning and inspection",
        unit="money/year",
        ge=0,
        le=5000,
        when_absent="typical maintenance",
    )

    @model_validator(mode="after")
    def _one_size_quoted(self) -> Self:
        if self.installed_price is not None and len(self.sizes_kw or ()) != 1:
            raise UnfitError(
                "`installed_price` is the price of one size, and `sizes_kw` does not name just one",
                "name that size alone in `sizes_kw`, or give `fixed_price` and `price_per_kw`",
            )
        return self
