"""Names of what has no field of its own: properties of equipment, and sums of several fields."""

from __future__ import annotations

PROPERTIES = {
    "rating_cop": "heat per unit of electricity (COP), in air of 20 degC",
    "heat_kw": "heating power",
    "standby_w": "power when idle",
    "cut_out_air_c": "coldest air in which it works",
    "frost_penalty": "part of its heat lost to ice in damp cold",
    "min_share": "least part of its power that it can run at",
    "backup_below_c": "water below which its element would help, if set so",
    "setpoint_c": "thermostat",
    "deadband_k": "fall of the water at which it starts again",
    "loss_w_per_k": "heat lost by the tank, for each degree warmer than the air",
    "efficiency": "part of the energy that becomes heat",
    "burner_kw": "power of the burner",
    "start_loss_kj": "heat lost at each start",
    "boost_element_kw": "power of the second element",
    "boost_height": "height of the second element, as part of the tank's",
    "heater_height": "height of the element or burner, as part of the tank's",
    "maintenance_rate_mj_per_h": "gas burnt to stay warm",
    "wait_water_l_per_day": "water that runs to waste until it is warm",
    "area_m2": "area of the collectors",
    "eta0": "efficiency of the collectors without heat loss (eta0)",
    "a1_w_per_m2_k": "heat loss of the collectors (a1)",
    "a2_w_per_m2_k2": "more heat loss where they are hotter (a2)",
    "iam_b0": "light lost as it falls aslant: b0 of the test certificate",
    "iam_transversal_50": "light taken 50 degrees off across the tubes, to that taken square on",
    "capacity_kj_per_m2_k": "heat that warms the collectors themselves",
    "flow_kg_per_s_m2": "water through the collectors",
    "pipe_loss_w_per_k": "heat lost by the pipes to the roof, for each degree",
    "siphon_pipe_loss_w_per_k": "heat lost by the pipes to the roof, for each degree",
    "siphon_kg_per_s_m2_k": "water that rises by itself, for each degree warmer",
    "pump_w": "power of the pump",
    "max_tank_c": "tank at which the collectors stop",
    "siphon_max_tank_c": "tank at which the collectors stop",
    "panels_kw": "rated power of its panels",
}
"""The last part of a path of equipment, in words."""

SUMS = {
    "people (draws)": "Draws of hot water",
    "constraints": "What must not be",
    "electricity.tariff": "Electricity plan",
    "gas.tariff": "Gas plan",
}
"""Other paths that are no field."""

BEFORE = ("heat pump: ", "solar collectors: ", "electric tank: ")
"""What a field of the quotes says of whom it is for, which its row of a list says already."""
