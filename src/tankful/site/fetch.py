"""Fetch a year of hourly weather from a public service, once, into a file of the user's."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

import numpy as np

from tankful.errors import Fault, OfflineError, OutputError
from tankful.site.weather import Weather
from tankful.site.weather_file import write_weather_table
from tankful.site.weather_formats import pvgis_table
from tankful.site.weather_table import HourlyTable, to_weather

if TYPE_CHECKING:
    from pandas import DataFrame

Service = Literal["pvgis", "nasa_power"]
NASA_YEAR = 2023
"""A complete recent year; one real year, not a typical one (judgement)."""
NASA_VARIABLES = ("ghi", "dni", "dhi", "temp_air", "temp_dew", "wind_speed")


def fetch_weather(
    kind: Service, latitude: float, longitude: float, cache_dir: Path, *, timeout_s: float = 60.0
) -> Path:
    """File with a year of weather for the place, fetched through pvlib unless already there.

    ``kind`` is ``pvgis`` (typical year of the European Commission's Joint Research Centre)
    or ``nasa_power`` (one real year of NASA's Langley Research Center). ``read_weather_file``
    reads the file. OfflineError without network or answer, FileError where the answer is
    not a year of weather, OutputError where it cannot be kept.
    """
    if kind not in get_args(Service):
        raise ValueError(f"kind must be one of {get_args(Service)}, got {kind!r}")
    path = cache_dir / f"{kind}_{latitude:.3f}_{longitude:.3f}.csv"
    if path.exists():
        return path
    ask = _pvgis if kind == "pvgis" else _nasa_power
    weather = ask(latitude, longitude, timeout_s)
    try:
        write_weather_table(weather, path)
    except OSError as error:
        fault = Fault("cache", error.strerror or "cannot be written", file=str(path))
        raise OutputError("The fetched weather could not be kept.", [fault]) from error
    return path


def _pvgis(latitude: float, longitude: float, timeout_s: float) -> Weather:
    from pvlib import iotools

    frame, meta = _answer(
        "PVGIS",
        timeout_s,
        lambda: iotools.get_pvgis_tmy(latitude, longitude, timeout=timeout_s, coerce_year=None),
    )
    table = pvgis_table(frame, meta, "fetched", None)
    return to_weather(table, roll_h=round(longitude / 15.0))


def _nasa_power(latitude: float, longitude: float, timeout_s: float) -> Weather:
    from pvlib import iotools

    frame, meta = _answer(
        "NASA POWER",
        timeout_s,
        lambda: iotools.get_nasa_power(
            latitude, longitude, f"{NASA_YEAR}-01-01", f"{NASA_YEAR}-12-31", list(NASA_VARIABLES)
        ),
    )
    return to_weather(nasa_table(frame, meta), roll_h=round(longitude / 15.0))


def nasa_table(frame: DataFrame, meta: dict[str, Any]) -> HourlyTable:
    """One year of NASA POWER as pvlib gives it, in universal time, labelled at hour starts."""
    import pandas as pd

    index = pd.DatetimeIndex(frame.index)
    month, day, hour = (np.asarray(part, np.int64) for part in (index.month, index.day, index.hour))
    header = {"latitude": "latitude", "longitude": "longitude", "elevation_m": "altitude"}
    names = ("ghi", "dni", "dhi", "temp_air_c", "dew_point_c", "wind_speed_m_s")
    return HourlyTable(
        file="fetched",
        kind="NASA POWER",
        header={ours: float(meta[theirs]) for ours, theirs in header.items()}
        | {"utc_offset_h": 0.0},
        columns={
            ours: np.asarray(frame[theirs], dtype=np.float64)
            for ours, theirs in zip(names, NASA_VARIABLES, strict=True)
        },
        calendar=(month, day, hour),
        first_line=None,
        notes=(f"The real year {NASA_YEAR}, not a typical one; means over half a degree or more.",),
    )


def _answer(service: str, timeout_s: float, call: Callable[[], Any]) -> Any:
    """What ``call`` returns, within the time; OfflineError otherwise.

    pvlib's NASA reader sets no time limit of its own, so the call runs in a thread that is
    left behind when its time is over.
    """
    from requests import exceptions

    results: queue.Queue[tuple[Any, Exception | None]] = queue.Queue()

    def work() -> None:
        try:
            results.put((call(), None))
        except Exception as error:  # handed over to the caller, who sorts it out
            results.put((None, error))

    threading.Thread(target=work, daemon=True).start()
    try:
        value, error = results.get(timeout=timeout_s)
    except queue.Empty:
        raise _offline(service, f"no answer within {timeout_s:g} s") from None
    if error is None:
        return value
    if isinstance(error, exceptions.HTTPError):
        raise _offline(service, f"the service refused: {str(error)[:200]}") from error
    if isinstance(error, exceptions.RequestException | OSError):
        raise _offline(service, "the network or the service cannot be reached") from error
    if isinstance(error, KeyError | ValueError | TypeError):
        raise _offline(service, "the service sent something else than weather") from error
    raise error


def _offline(service: str, problem: str) -> OfflineError:
    mend = (
        "try again when online, give a weather file, or in Australia leave the weather out: "
        "the built-in year needs no network"
    )
    return OfflineError(f"No weather from {service}.", [Fault("weather", problem, mend=mend)])
