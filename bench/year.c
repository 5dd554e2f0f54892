/* The compiled year in C, translated by hand from the program's relations: the yardstick for
 * its speed, and a second opinion on what it computes. Same order of operations, so that the
 * results agree to the last bits. Built without -ffast-math and without contraction. */

#include <math.h>
#include <stdint.h>

typedef struct {
    double step_s, layer_kg, layer_heat_j_per_k, loss_decay, layer_exchange;
    int64_t conduct_passes, thermostat_layer, condenser_layers, catch_up_layer, sanitising_layer;
    double setpoint_c, restart_c, catch_up_c, sanitise_after_s, deadband_k;
    double element_w, pump_heat_w, pump_cop, pump_cut_out_c, pump_frost_penalty;
    double burner_w, burner_efficiency;
} Plant;

typedef struct {
    const double *air_c, *wet_bulb_c, *around_c, *cold_c, *draw_kg, *wanted_c;
    const double *allowed_w, *catch_up_w;
} Drive;

typedef struct {
    double *electric_w, *gas_w, *heat_w, *delivered_w, *unmet_w, *loss_w;
    double *top_c, *mean_c, *low_c;
} Record;

enum { HEATING, CATCHING_UP, SINCE_HOT_S, HOT_FOR_S };

static const double WATER_CP = 4186.0, MIN_COP = 1.0, LEAST_CAPACITY = 0.1;
static const double SANITISING_C = 60.0, SANITISING_S = 32.0 * 60.0, THERMOMETER_K = 1.0;
static const double PORTION_LAYERS = 0.1, LEAST_KG = 1e-9;

static double least(double a, double b) { return a < b ? a : b; }
static double most(double a, double b) { return a > b ? a : b; }

static double sum(const double *t, int64_t n) {
    double total = 0.0;
    for (int64_t i = 0; i < n; i++) total += t[i];
    return total;
}

static void displace(double *t, int64_t n, double moved, double inlet_c) {
    int64_t whole = (int64_t)moved;
    double part = moved - (double)whole;
    for (int64_t i = n - 1; i >= 0; i--) {
        double upper = i - whole >= 0 ? t[i - whole] : inlet_c;
        double lower = i - whole - 1 >= 0 ? t[i - whole - 1] : inlet_c;
        t[i] = upper + part * (lower - upper);
    }
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

static double room_below_setpoint(const double *t, int64_t n, double setpoint_c) {
    double room = 0.0;
    for (int64_t i = 0; i < n && t[i] < setpoint_c; i++) room += setpoint_c - t[i];
    return room;
}

static double mean_of_lower(const double *t, int64_t layers) {
    return sum(t, layers) / (double)layers;
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

static double draw(double *t, int64_t n, double draw_kg, double wanted_c, double cold_c,
                   double layer_kg) {
    double left_kg = draw_kg, short_kg_k = 0.0;
    while (left_kg > LEAST_KG) {
        double hot_c = t[n - 1];
        double stretch = hot_c > wanted_c ? (hot_c - cold_c) / (wanted_c - cold_c) : 1.0;
        double moved = least(PORTION_LAYERS, left_kg / (stretch * layer_kg));
        double served_kg = moved * stretch * layer_kg;
        short_kg_k += served_kg * most(0.0, wanted_c - hot_c);
        displace(t, n, moved, cold_c);
        left_kg -= served_kg;
    }
    return short_kg_k;
}

static int pump_runs(const Plant *p, double air_c) {
    return p->pump_heat_w > 0.0 && air_c >= p->pump_cut_out_c;
}

static double heating_power_w(const Plant *p, double allowed_w, double air_c, double wet_bulb_c,
                              double water_c) {
    if (p->burner_w > 0.0) return p->burner_w * p->burner_efficiency;
    if (pump_runs(p, air_c)) {
        double frost = frost_factor(air_c, p->pump_frost_penalty);
        return p->pump_heat_w * capacity_factor(wet_bulb_c, water_c) * frost;
    }
    return least(allowed_w, p->element_w);
}

static double heat_per_input(const Plant *p, double air_c, double wet_bulb_c, double water_c) {
    if (p->burner_w > 0.0) return p->burner_efficiency;
    if (pump_runs(p, air_c)) {
        double frost = frost_factor(air_c, p->pump_frost_penalty);
        return most(MIN_COP, p->pump_cop * cop_factor(wet_bulb_c, water_c) * frost);
    }
    return 1.0;
}

static void update_thermostats(const Plant *p, const double *t, double *state) {
    if (t[p->thermostat_layer] < p->restart_c) state[HEATING] = 1.0;
    double reserve_c = t[p->catch_up_layer];
    if (reserve_c < p->catch_up_c) {
        state[CATCHING_UP] = 1.0;
    } else if (reserve_c > p->catch_up_c + p->deadband_k) {
        state[CATCHING_UP] = 0.0;
    }
}

static double heat(const Plant *p, double *t, int64_t n, double *state, double allowed_w,
                   double catch_up_w, double air_c, double wet_bulb_c, double *heat_j) {
    double target_c = p->setpoint_c;
    int overdue = state[SINCE_HOT_S] > p->sanitise_after_s;
    *heat_j = 0.0;
    if (overdue) target_c = most(target_c, SANITISING_C);
    if (overdue || state[CATCHING_UP] > 0.0) allowed_w = most(allowed_w, catch_up_w);
    if (allowed_w <= 0.0 || !(overdue || state[HEATING] > 0.0)) return 0.0;
    double before_c = mean_of_lower(t, p->condenser_layers);
    *heat_j = heating_power_w(p, allowed_w, air_c, wet_bulb_c, before_c) * p->step_s;
    double room_j = room_below_setpoint(t, n, target_c) * p->layer_heat_j_per_k;
    if (*heat_j >= room_j) {
        *heat_j = room_j;
        state[HEATING] = 0.0;
    }
    t[0] += *heat_j / p->layer_heat_j_per_k;
    mix_inversions(t, n);
    double halfway_c = 0.5 * (before_c + mean_of_lower(t, p->condenser_layers));
    return *heat_j / heat_per_input(p, air_c, wet_bulb_c, halfway_c);
}

static void update_sanitising(const Plant *p, const double *t, double *state) {
    state[SINCE_HOT_S] += p->step_s;
    if (t[p->sanitising_layer] >= SANITISING_C - THERMOMETER_K) {
        state[HOT_FOR_S] += p->step_s;
    } else {
        state[HOT_FOR_S] = 0.0;
    }
    if (state[HOT_FOR_S] >= SANITISING_S) state[SINCE_HOT_S] = 0.0;
}

void simulate_year(const Plant *p, const Drive *d, int64_t steps, double *t, int64_t n,
                   double *state, const Record *r) {
    int is_gas = p->burner_w > 0.0;
    for (int64_t k = 0; k < steps; k++) {
        double cold_c = d->cold_c[k], short_kg_k = 0.0, useful_k = 0.0, heat_j;
        if (d->draw_kg[k] > 0.0 && d->wanted_c[k] > cold_c) {
            double before_k = sum(t, n);
            short_kg_k = draw(t, n, d->draw_kg[k], d->wanted_c[k], cold_c, p->layer_kg);
            useful_k = before_k - sum(t, n);
        }

        update_thermostats(p, t, state);
        double bought_j = heat(p, t, n, state, d->allowed_w[k], d->catch_up_w[k], d->air_c[k],
                               d->wet_bulb_c[k], &heat_j);

        for (int64_t pass = 0; pass < p->conduct_passes; pass++) conduct(t, n, p->layer_exchange);
        double fall_k = lose(t, n, d->around_c[k], p->loss_decay);
        mix_inversions(t, n);
        update_sanitising(p, t, state);

        r->electric_w[k] = is_gas ? 0.0 : bought_j / p->step_s;
        r->gas_w[k] = is_gas ? bought_j / p->step_s : 0.0;
        r->heat_w[k] = heat_j / p->step_s;
        r->delivered_w[k] = useful_k * p->layer_heat_j_per_k / p->step_s;
        r->unmet_w[k] = short_kg_k * WATER_CP / p->step_s;
        r->loss_w[k] = fall_k * p->layer_heat_j_per_k / p->step_s;
        r->top_c[k] = t[n - 1];
        r->mean_c[k] = sum(t, n) / (double)n;
        r->low_c[k] = t[p->sanitising_layer];
    }
}
