"""Bills of what today's water heater has used: periods and amounts, no money."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Self

from pydantic import Field, model_validator

from tankful.model.fields import Table, UnfitError, field

FIRST_DAY = date(2000, 1, 1)
LAST_DAY = date(2099, 12, 31)
MAX_BILLS = 200
"""More bills in one list are a mistake or an attack."""


class Bill(Table):
    """A period of use: both days belong to it."""

    first: date = field(about="first day of the bill's period", ge=FIRST_DAY, le=LAST_DAY)
    last: date = field(about="last day of the bill's period", ge=FIRST_DAY, le=LAST_DAY)

    @model_validator(mode="after")
    def _runs_forward(self) -> Self:
        if self.last < self.first:
            raise UnfitError("the last day lies before the first", "swap the two days")
        return self

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1


class GasBill(Bill):
    """What one gas bill says was used."""

    mj: float | None = field(
        None, about="gas used", unit="MJ", gt=0, le=1_000_000, when_absent="given in kWh"
    )
    kwh: float | None = field(
        None,
        about="gas used, where the bill gives kWh",
        unit="kWh",
        gt=0,
        le=300_000,
        when_absent="given in MJ",
    )

    @model_validator(mode="after")
    def _one_amount(self) -> Self:
        if (self.mj is None) == (self.kwh is None):
            raise UnfitError(
                "a gas bill needs `mj` or `kwh`, not both or neither", "keep one of the two"
            )
        return self


class OffPeakBill(Bill):
    """What one electricity bill says was used on the off-peak circuit."""

    kwh: float = field(
        about="electricity used on the off-peak circuit, also called controlled load",
        unit="kWh",
        gt=0,
        le=100_000,
    )


class UseBill(Bill):
    """What one electricity bill says was bought besides the off-peak circuit."""

    kwh: float = field(
        about="electricity bought besides the off-peak circuit, exports not taken off",
        unit="kWh",
        gt=0,
        le=300_000,
    )


UseBills = Annotated[tuple[UseBill, ...], Field(strict=False, max_length=MAX_BILLS)]
GasBills = Annotated[tuple[GasBill, ...], Field(strict=False, max_length=MAX_BILLS)]
OffPeakBills = Annotated[tuple[OffPeakBill, ...], Field(strict=False, max_length=MAX_BILLS)]
