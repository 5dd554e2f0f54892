"""The verbs that every face calls."""

from tankful.service.answers import (
    Study,
    advise,
    answer_as_json,
    fetch_weather_file,
    flows_frame,
    foresight,
    foresight_as_json,
    option_flows,
    study,
    study_case,
    study_panels,
    weather_summary,
)
from tankful.service.homes import load_home

__all__ = [
    "Study",
    "advise",
    "answer_as_json",
    "fetch_weather_file",
    "flows_frame",
    "foresight",
    "foresight_as_json",
    "load_home",
    "option_flows",
    "study",
    "study_case",
    "study_panels",
    "weather_summary",
]
