/* The compiled year in C, translated by hand from the program's relations: the yardstick for
 * its speed, and a second opinion on what it computes. Same order of operations, so that the
 * results agree to the last bits. Built without -ffast-math and without contraction. */

#include <math.h>
#include <stdint.h>

typedef struct {
    double step_s, layer_kg, layer_heat_j_per_k, loss_decay, layer_exchange, mixing_layers;
    int64_t conduct_passes, heater_layer;
    double thermostat_at, condenser_layers, reserve_at, sanitising_at;
    double boosted_c, setpoint_c, restart_c, catch_up_c, caught_up_c;
    double sanitise_early_s, sanitise_after_s, deadband_k;
    double element_w, boost_w;
    int64_t boost_layer, pump_is_carnot;
    double pump_min_share, pump_heat_w, pump_cop, pump_cut_out_c, pump_frost_penalty;
    double pump_backup_below_c;
    double burner_w, burner_efficiency;
    double collector_m2, collector_a1, collector_loop_a1, collector_a2, collector_half_rise_k;
    double collector_j_per_m2_k, collector_decay, collector_pump_w, collector_max_tank_c, collector_frost_c;
    double collector_siphon;
} Plant;

typedef struct {
    const double *air_c, *wet_bulb_c, *around_c, *cold_c, *draw_kg, *wanted_c;
    const double *allowed_w, *catch_up_w, *absorbed_w_per_m2, *direct_w;
} Drive;

typedef struct {
    double *electric_w, *gas_w, *heat_w, *delivered_w, *unmet_w, *loss_w;
    double *top_c, *mean_c, *low_c, *solar_w, *pump_w, *direct_w, *collector_c;
    double *on_share, *since_hot_h;
} Record;

typedef struct {
    double heating, catching_up, since_hot_s, hot_for_s, collector_c, sun_full;
} State;

static const double WATER_CP = 4186.0, MIN_COP = 1.0, LEAST_CAPACITY = 0.1;
static const double RATING_AIR_C = 19.7, RATING_WATER_C = 48.9;
static const double SANITISING_C = 60.0, SANITISING_S = 32.0 * 60.0, THERMOMETER_K = 1.0;
static const double PORTION_LAYERS = 0.15, LEAST_KG = 1e-9;
static const double PUMP_DIFFERENCE_K = 5.0, FULL_BAND_K = 5.0, LEAST_RISE_K = 1e-3;

static double least(double a, double b) { return a < b ? a : b; }
static double most(double a, double b) { return a > b ? a : b; }

static double sum(const double *t, int64_t n) {
    double total = 0.0;
    for (int64_t i = 0; i < n; i++) total += t[i];
    return total;
}

static void displace(double *t, int64_t n, double moved, double inlet_c, double mixing) {
    double exchange = 0.5 * moved * (mixing - 1.0 + moved), flow_out = moved * t[n - 1];
    for (int64_t i = n - 1; i > 0; i--) {
        double slope = t[i] - t[i - 1];
        if (exchange < 0.0) {
            double below_c = i > 1 ? t[i - 2] : inlet_c;
            slope = most(0.0, least(slope, t[i - 1] - below_c));
        }
        double flow_in = moved * t[i - 1] - exchange * slope;
        t[i] += flow_in - flow_out;
        flow_out = flow_in;
    }
    t[0] += moved * inlet_c - flow_out;
}

static void sink(double *t, double moved, double inlet_c, int64_t inlet, double mixing) {
    double exchange = 0.5 * moved * (mixing - 1.0 + moved), flow_out = moved * t[0];
    for (int64_t i = 0; i < inlet; i++) {
        double slope = t[i + 1] - t[i];
        if (exchange < 0.0) {
            double above_c = i + 2 <= inlet ? t[i + 2] : inlet_c;
            slope = most(0.0, least(slope, above_c - t[i + 1]));
        }
        double flow_in = moved * t[i + 1] + exchange * slope;
        t[i] += flow_in - flow_out;
        flow_out = flow_in;
    }
    t[inlet] += moved * inlet_c - flow_out;
}

static int64_t layer_of(const double *t, int64_t n, double temp_c) {
    int64_t layer = 0;
    while (layer < n - 1 && t[layer + 1] <= temp_c) layer++;
    return layer;
}

static void conduct(double *t, int64_t n, double exchange) {
    double below = t[0], flow_in = 0.0;
    for (int64_t i = 0; i < n - 1; i++) {
        double here = below;
        below = t[i + 1];
        double flow_out = exchange * (here - below);
        t[i] = here + flow_in - flow_out;
        flow_in = flow_out;
    }
    t[n - 1] = below + flow_in;
}

static double lose(double *t, int64_t n, double around_c, double decay) {
    double fall = 0.0;
    for (int64_t i = 0; i < n; i++) {
        double drop = decay * (t[i] - around_c);
        t[i] -= drop;
        fall += drop;
    }
    return fall;
}

static void mix_inversions(double *t, int64_t n) {
    int64_t i = 0;
    while (i < n - 1) {
        if (t[i] <= t[i + 1]) {
            i++;
            continue;
        }
        int64_t low = i, high = i + 1;
        double total = t[low] + t[high], mean = 0.5 * total;
        for (int growing = 1; growing;) {
            growing = 0;
            if (high < n - 1 && mean > t[high + 1]) {
                total += t[++high];
                growing = 1;
            } else if (low > 0 && t[low - 1] > mean) {
                total += t[--low];
                growing = 1;
            }
            mean = total / (double)(high - low + 1);
        }
        for (int64_t k = low; k <= high; k++) t[k] = mean;
        i = high;
    }
}

static double room_below_setpoint(const double *t, int64_t n, double setpoint_c, int64_t from) {
    double room = 0.0;
    for (int64_t i = from; i < n && t[i] < setpoint_c; i++) room += setpoint_c - t[i];
    return room;
}

static double mean_of_lower(const double *t, double layers) {
    int64_t whole = (int64_t)layers;
    double total = sum(t, whole);
    if ((double)whole < layers) total += (layers - (double)whole) * t[whole];
    return total / layers;
}

static double temp_at(const double *t, int64_t n, double place) {
    int64_t below = (int64_t)place, above = below + 1 < n ? below + 1 : n - 1;
    return t[below] + (place - (double)below) * (t[above] - t[below]);
}

static double level_after(const double *t, int64_t n, double heat_k) {
    double level_c = t[0] + heat_k;
    for (int64_t i = 1; i < n && level_c > t[i]; i++) level_c += (t[i] - level_c) / (double)(i + 1);
    return level_c;
}

static double cop_factor(double wet_bulb_c, double water_c) {
    double a = least(most(wet_bulb_c, -10.0), 30.0), w = least(most(water_c, 10.0), 65.0);
    return 1.1332 + 0.063 * a - 0.0000979 * a * a - 0.00972 * w - 0.0000214 * w * w
           - 0.000686 * a * w;
}

static double capacity_factor(double wet_bulb_c, double water_c) {
    double a = least(most(wet_bulb_c, -10.0), 30.0), w = least(most(water_c, 10.0), 65.0);
    double fit = 0.563 + 0.0437 * a + 0.000039 * a * a + 0.0055 * w - 0.000148 * w * w
                 - 0.000145 * a * w;
    return most(fit, LEAST_CAPACITY);
}

static double frost_factor(double air_c, double penalty) {
    return 1.0 - penalty * least(most((7.0 - air_c) / 5.0, 0.0), 1.0);
}

static double carnot_cop(double air_c, double water_c) {
    double condensing_k = water_c + 5.0 + 273.15, evaporating_k = air_c - 8.0 + 273.15;
    return condensing_k / most(condensing_k - evaporating_k, 5.0);
}

static double carnot_cop_factor(double air_c, double water_c) {
    return carnot_cop(air_c, water_c) / carnot_cop(RATING_AIR_C, RATING_WATER_C);
}

static double air_capacity_factor(double air_c) {
    return least(most(1.0 + 0.02 * (air_c - RATING_AIR_C), LEAST_CAPACITY), 1.5);
}

static double loop_gain_w_per_m2(double absorbed, double over_air_k, double a1, double a2,
                                 double half_rise_k) {
    double stillness = absorbed - a1 * over_air_k - a2 * (over_air_k * over_air_k);
    double slope = 1.0 + half_rise_k * (a1 + 2.0 * a2 * over_air_k);
    double bend = a2 * half_rise_k * half_rise_k;
    double root = sqrt(most(0.0, slope * slope + 4.0 * bend * stillness));
    return 2.0 * stillness / (slope + root);
}

static double siphon_rise_k(double stillness, double slope, double a2, double siphon) {
    if (stillness <= 0.0) return 0.0;
    double half_slope = 0.5 * slope, bend = siphon + 0.25 * a2;
    return 2.0 * stillness / (half_slope + sqrt(half_slope * half_slope + 4.0 * bend * stillness));
}

static double stagnation_rise_k(double absorbed, double a1, double a2) {
    if (absorbed == 0.0) return 0.0;
    return 2.0 * absorbed / (a1 + sqrt(a1 * a1 + 4.0 * a2 * absorbed));
}

static double draw(double *t, int64_t n, double draw_kg, double wanted_c, double cold_c,
                   double layer_kg, double boosted_c, double mixing) {
    double left_kg = draw_kg, short_kg_k = 0.0, least_c = most(wanted_c, boosted_c);
    while (left_kg > LEAST_KG) {
        double lack_k = most(0.0, least_c - t[n - 1]), mixed_c = most(t[n - 1], boosted_c);
        double stretch = mixed_c > wanted_c ? (mixed_c - cold_c) / (wanted_c - cold_c) : 1.0;
        double moved = least(PORTION_LAYERS, left_kg / (stretch * layer_kg));
        short_kg_k += moved * layer_kg * lack_k;
        displace(t, n, moved, cold_c, mixing);
        left_kg -= moved * stretch * layer_kg;
    }
    return short_kg_k;
}

static int pump_runs(const Plant *p, double air_c) {
    return p->pump_heat_w > 0.0 && air_c >= p->pump_cut_out_c;
}

static double heat_per_input(const Plant *p, double air_c, double wet_bulb_c, double water_c) {
    if (p->burner_w > 0.0) return p->burner_efficiency;
    if (!pump_runs(p, air_c)) return 1.0;
    double factor = p->pump_is_carnot ? carnot_cop_factor(air_c, water_c)
                                      : cop_factor(wet_bulb_c, water_c);
    return most(MIN_COP, p->pump_cop * factor * frost_factor(air_c, p->pump_frost_penalty));
}

static double heating_power_w(const Plant *p, double allowed_w, double air_c, double wet_bulb_c,
                              double water_c) {
    if (p->burner_w > 0.0) return p->burner_w * p->burner_efficiency;
    if (!pump_runs(p, air_c)) return least(allowed_w, p->element_w);
    double capacity = p->pump_is_carnot ? air_capacity_factor(air_c)
                                        : capacity_factor(wet_bulb_c, water_c);
    double heat_w = p->pump_heat_w * capacity * frost_factor(air_c, p->pump_frost_penalty);
    if (p->pump_min_share >= 1.0) return heat_w;
    double share = least(1.0, allowed_w * heat_per_input(p, air_c, wet_bulb_c, water_c) / heat_w);
    return share >= p->pump_min_share ? heat_w * share : 0.0;
}

static double heat_on_offer_j(const Plant *p, double allowed_w, double air_c, double wet_bulb_c,
                              double water_c) {
    double heat_w = heating_power_w(p, allowed_w, air_c, wet_bulb_c, water_c);
    if (p->pump_heat_w > 0.0) {
        double half_j = 0.5 * heat_w * p->step_s;
        double halfway_c = water_c + half_j / (p->condenser_layers * p->layer_heat_j_per_k);
        heat_w = heating_power_w(p, allowed_w, air_c, wet_bulb_c, halfway_c);
    }
    return heat_w * p->step_s;
}

static double switched(double before, double sensor_c, double on_below_c, double off_above_c) {
    if (sensor_c < on_below_c) return 1.0;
    return sensor_c >= off_above_c ? 0.0 : before;
}

static double serve(const Plant *p, double *t, int64_t n, double draw_kg, double wanted_c,
                    double cold_c, double *short_kg_k) {
    if (draw_kg <= 0.0 || wanted_c <= cold_c) return 0.0;
    double before_k = sum(t, n);
    *short_kg_k += draw(t, n, draw_kg, wanted_c, cold_c, p->layer_kg, p->boosted_c,
                        p->mixing_layers);
    double useful_k = before_k - sum(t, n);
    mix_inversions(t, n);
    return useful_k;
}

static double add_heat(const Plant *p, double *t, int64_t n, int64_t layer, double target_c,
                       double heat_j) {
    double room_j = room_below_setpoint(t, n, target_c, layer) * p->layer_heat_j_per_k;
    double given_j = least(heat_j, room_j);
    if (given_j <= 0.0) return 0.0;
    t[layer] += given_j / p->layer_heat_j_per_k;
    mix_inversions(t, n);
    return given_j;
}

static double backup_j(const Plant *p, const double *t, int64_t n, double pump_j,
                       double sensor_c, double air_c) {
    double mark_c = p->pump_backup_below_c;
    if (sensor_c >= mark_c || pump_j <= 0.0 || !pump_runs(p, air_c)) return 0.0;
    double room_j = room_below_setpoint(t, n, mark_c, p->heater_layer) * p->layer_heat_j_per_k;
    double element_j = p->element_w * p->step_s;
    return element_j * least(1.0, room_j / (pump_j + element_j));
}

static double heat(const Plant *p, double *t, int64_t n, State *s, double sensor_c,
                   double allowed_w, double catch_up_w, double air_c, double wet_bulb_c,
                   double *heat_j, double *share) {
    double target_c = p->setpoint_c, asked_w = s->heating > 0.0 ? allowed_w : 0.0;
    int overdue = s->since_hot_s > p->sanitise_after_s;
    if (overdue || s->since_hot_s > p->sanitise_early_s) {
        target_c = most(target_c, SANITISING_C);
        asked_w = overdue ? most(allowed_w, catch_up_w) : allowed_w;
    }
    double main_w = s->catching_up > 0.0 && p->boost_w == 0.0 ? catch_up_w : 0.0;
    *heat_j = *share = 0.0;
    if (asked_w <= 0.0 && main_w <= 0.0) return 0.0;
    double before_c = mean_of_lower(t, p->condenser_layers), could_j = 0.0, beside_j = 0.0;
    if (asked_w > 0.0) {
        double pump_j = heat_on_offer_j(p, asked_w, air_c, wet_bulb_c, before_c);
        beside_j = backup_j(p, t, n, pump_j, sensor_c, air_c);
        could_j = pump_j + beside_j;
        *heat_j = add_heat(p, t, n, p->heater_layer, target_c, could_j);
        *share = could_j > 0.0 ? *heat_j / could_j : 0.0;
    }
    if (*heat_j < could_j) s->heating = 0.0;
    if (main_w > 0.0) {
        double pump_j = heat_on_offer_j(p, main_w, air_c, wet_bulb_c, before_c);
        beside_j = most(beside_j, backup_j(p, t, n, pump_j, sensor_c, air_c));
        double more_j = pump_j + beside_j - *heat_j;
        double caught_j = add_heat(p, t, n, p->heater_layer, p->caught_up_c, more_j);
        if (caught_j < more_j) s->catching_up = 0.0;
        *heat_j += caught_j;
        *share = most(*share, caught_j > 0.0 ? caught_j / more_j : 0.0);
    }
    if (*heat_j <= 0.0) return 0.0;
    double halfway_c = 0.5 * (before_c + mean_of_lower(t, p->condenser_layers));
    double element_j = least(*heat_j, beside_j);
    return (*heat_j - element_j) / heat_per_input(p, air_c, wet_bulb_c, halfway_c) + element_j;
}

static double boost(const Plant *p, double *t, int64_t n, State *s, double catch_up_w,
                    double *share) {
    double could_j = least(catch_up_w, p->boost_w) * p->step_s;
    if (could_j <= 0.0) return 0.0;
    double heat_j = add_heat(p, t, n, p->boost_layer, p->caught_up_c, could_j);
    if (heat_j < could_j) s->catching_up = 0.0;
    *share = most(*share, heat_j / could_j);
    return heat_j;
}

static double loop_gain(const Plant *p, double inlet_c, double absorbed, double air_c) {
    double over_air_k = inlet_c - air_c, a1 = p->collector_loop_a1, a2 = p->collector_a2;
    if (absorbed - a1 * over_air_k - a2 * (over_air_k * over_air_k) <= 0.0) return 0.0;
    return loop_gain_w_per_m2(absorbed, over_air_k, a1, a2, p->collector_half_rise_k);
}

static double take_heat(const Plant *p, double *t, int64_t n, double floor_c, double heat_j) {
    double left_j = heat_j;
    for (int64_t i = 0; i < n && left_j > 0.0; i++) {
        double part_j = least(left_j, most(0.0, (t[i] - floor_c) * p->layer_heat_j_per_k));
        t[i] -= part_j / p->layer_heat_j_per_k;
        left_j -= part_j;
    }
    return heat_j - left_j;
}

static double pumped(const Plant *p, double *t, int64_t n, State *s, double absorbed,
                     double air_c) {
    if (t[0] < p->collector_max_tank_c - FULL_BAND_K) s->sun_full = 0.0;
    if (s->sun_full > 0.0) return 0.0;
    double gain = loop_gain(p, t[0], absorbed, air_c);
    double running_c = t[0] + gain * p->collector_half_rise_k;
    if (gain > 0.0) {
        double heat_k = gain * p->step_s * p->collector_m2 / p->layer_heat_j_per_k;
        gain = 0.5 * (gain + loop_gain(p, level_after(t, n, heat_k), absorbed, air_c));
    }
    double warming_j = p->collector_j_per_m2_k * (running_c - s->collector_c);
    double could_j = (gain * p->step_s - warming_j) * p->collector_m2;
    if (gain <= 0.0 || could_j <= 0.0) return 0.0;
    double heat_j = add_heat(p, t, n, 0, p->collector_max_tank_c, could_j);
    if (heat_j > 0.0) s->collector_c = running_c;
    s->sun_full = heat_j > 0.0 && heat_j < could_j ? 1.0 : 0.0;
    return heat_j;
}

static double risen(const Plant *p, double *t, int64_t n, State *s, double absorbed,
                    double air_c) {
    double left_s = p->step_s, heat_j = 0.0;
    while (left_s > 0.0) {
        double inlet_c = t[0], over_air_k = inlet_c - air_c;
        double warming = p->collector_j_per_m2_k / left_s;
        double gain = absorbed - p->collector_loop_a1 * over_air_k
                      - p->collector_a2 * (over_air_k * over_air_k);
        double slope = p->collector_loop_a1 + 2.0 * p->collector_a2 * over_air_k + warming;
        double rise_k = siphon_rise_k(gain + warming * (s->collector_c - inlet_c), slope,
                                      p->collector_a2, p->collector_siphon);
        if (rise_k <= LEAST_RISE_K || inlet_c + rise_k > p->collector_max_tank_c) break;
        double heat_k_per_s = p->collector_siphon * p->collector_m2 / p->layer_heat_j_per_k;
        double flow = heat_k_per_s * rise_k, portion_s = least(left_s, PORTION_LAYERS / flow);
        double moved = flow * portion_s, outlet_c = inlet_c + rise_k;
        sink(t, moved, outlet_c, layer_of(t, n, outlet_c), p->mixing_layers);
        heat_j += moved * rise_k * p->layer_heat_j_per_k;
        s->collector_c += (inlet_c + 0.5 * rise_k - s->collector_c) * portion_s / left_s;
        left_s -= portion_s;
    }
    return heat_j;
}

static double collect(const Plant *p, double *t, int64_t n, State *s, double absorbed,
                      double air_c) {
    double heat_j = p->collector_siphon > 0.0 ? risen(p, t, n, s, absorbed, air_c)
                                              : pumped(p, t, n, s, absorbed, air_c);
    if (heat_j > 0.0) return heat_j;
    double frost_c = p->collector_frost_c;
    double rest_c = air_c + stagnation_rise_k(absorbed, p->collector_a1, p->collector_a2);
    s->collector_c += p->collector_decay * (rest_c - s->collector_c);
    if (s->collector_c >= frost_c) return 0.0;
    s->collector_c = frost_c;
    double lost_w = p->collector_loop_a1 * (frost_c - air_c) * p->collector_m2;
    return -take_heat(p, t, n, frost_c, most(0.0, lost_w) * p->step_s);
}

static double pump_power_w(const Plant *p, double solar_j) {
    if (solar_j == 0.0) return 0.0;
    double gain = fabs(solar_j) / (p->collector_m2 * p->step_s);
    double rise_k = 2.0 * p->collector_half_rise_k * gain;
    return p->collector_pump_w * least(1.0, rise_k / PUMP_DIFFERENCE_K);
}

static void update_sanitising(const Plant *p, double low_c, State *s) {
    int is_hot = low_c >= SANITISING_C - THERMOMETER_K;
    double hot_for_s = s->hot_for_s + (is_hot ? p->step_s : -p->step_s);
    s->hot_for_s = least(most(hot_for_s, 0.0), SANITISING_S);
    s->since_hot_s = s->hot_for_s >= SANITISING_S ? 0.0 : s->since_hot_s + p->step_s;
}

void simulate_year(const Plant *p, const Drive *d, int64_t steps, double *t, int64_t n,
                   State *state, const Record *r) {
    int is_gas = p->burner_w > 0.0;
    State s = *state;
    for (int64_t k = 0; k < steps; k++) {
        double air_c = d->air_c[k], catch_up_w = d->catch_up_w[k], cold_c = d->cold_c[k];
        double half_kg = 0.5 * d->draw_kg[k], wanted_c = d->wanted_c[k], short_kg_k = 0.0;
        double heat_j, share, boost_j = 0.0, solar_j = 0.0;
        double useful_k = serve(p, t, n, half_kg, wanted_c, cold_c, &short_kg_k);

        double sensor_c = temp_at(t, n, p->thermostat_at);
        s.heating = switched(s.heating, sensor_c, p->restart_c, INFINITY);
        s.catching_up = switched(s.catching_up, temp_at(t, n, p->reserve_at), p->catch_up_c,
                                 p->caught_up_c);
        double bought_j = heat(p, t, n, &s, sensor_c, d->allowed_w[k], catch_up_w, air_c,
                               d->wet_bulb_c[k], &heat_j, &share);
        if (p->boost_w > 0.0 && s.catching_up > 0.0)
            boost_j = boost(p, t, n, &s, catch_up_w, &share);
        double direct_j = least(d->direct_w[k], p->element_w) * p->step_s;
        if (direct_j > 0.0)
            direct_j = add_heat(p, t, n, p->heater_layer, p->setpoint_c, direct_j);
        if (p->collector_m2 > 0.0)
            solar_j = collect(p, t, n, &s, d->absorbed_w_per_m2[k], air_c);

        for (int64_t pass = 0; pass < p->conduct_passes; pass++) conduct(t, n, p->layer_exchange);
        double fall_k = lose(t, n, d->around_c[k], p->loss_decay);
        update_sanitising(p, temp_at(t, n, p->sanitising_at), &s);
        double later_kg_k = 0.0;
        useful_k += serve(p, t, n, half_kg, wanted_c, cold_c, &later_kg_k);
        short_kg_k += later_kg_k;

        double bought_w = (bought_j + boost_j) / p->step_s;
        r->electric_w[k] = is_gas ? 0.0 : bought_w;
        r->gas_w[k] = is_gas ? bought_w : 0.0;
        r->heat_w[k] = (heat_j + boost_j + direct_j) / p->step_s;
        r->delivered_w[k] = useful_k * p->layer_heat_j_per_k / p->step_s;
        r->unmet_w[k] = short_kg_k * WATER_CP / p->step_s;
        r->loss_w[k] = fall_k * p->layer_heat_j_per_k / p->step_s;
        r->top_c[k] = t[n - 1];
        r->mean_c[k] = sum(t, n) / (double)n;
        r->low_c[k] = temp_at(t, n, p->sanitising_at);
        r->solar_w[k] = solar_j / p->step_s;
        r->pump_w[k] = pump_power_w(p, solar_j);
        r->direct_w[k] = direct_j / p->step_s;
        r->collector_c[k] = s.collector_c;
        r->on_share[k] = share;
        r->since_hot_h[k] = s.since_hot_s / 3600.0;
    }
    *state = s;
}
