"""What the best option is ahead of: the next one, and the next kind of heater."""

from __future__ import annotations

from dataclasses import replace

from tankful.model.answer import Answer, OptionResult


def same_machine(one: OptionResult, other: OptionResult) -> bool:
    """The same heater, of the same quote where several are compared, set otherwise."""
    as_set = replace(
        other.heater,
        control=one.heater.control,
        circuit=one.heater.circuit,
        setpoint_c=one.heater.setpoint_c,
    )
    return as_set == one.heater and _quote_of(one) == _quote_of(other)


def _quote_of(option: OptionResult) -> str:
    """The name of its quote, which ends its label."""
    return option.label.partition(" (")[2]


def next_kind(answer: Answer) -> OptionResult | None:
    """The first option behind with another kind of heater, where the one right behind the best is
    the same machine set otherwise; else ``None``. What leaves showers cold does not count."""
    best = answer.best
    if len(answer.options) < 2 or not same_machine(best, answer.options[1]):
        return None
    others = (o for o in answer.options[2:] if o.heater.kind != best.heater.kind)
    return next((option for option in others if option.choice.usable), None)
