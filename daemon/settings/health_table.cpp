#include "daemon/settings/health_table.h"

namespace quietpass {

void read_health(StrictTable& table, HealthSettings& health) {
    health.silent_below_db =
        table.number_or("silent_below_db", {-200.0, 0.0, "a number of decibels"}, health.silent_below_db);
    health.silent_after_s =
        table.number_or("silent_after_s", {0.0, 3600.0, "a number of seconds", true}, health.silent_after_s);
    health.clipped_share =
        table.number_or("clipped_share", {0.0, 1.0, "a share", true}, health.clipped_share);
    health.work_s = table.number_or("work_s", {0.0, 86400.0, "a number of seconds", true}, health.work_s);
    health.learn_minutes =
        table.number_or("learn_minutes", {1.0, 1440.0, "a number of minutes"}, health.learn_minutes);
    health.history_hours =
        table.number_or("history_hours", {0.1, 1000.0, "a number of hours"}, health.history_hours);
    health.fault_after_s =
        table.number_or("fault_after_s", {5.0, 110.0, "a number of seconds"}, health.fault_after_s);
    const auto decibels = [&](const char* key, double& value) {
        value = table.number_or(key, {0.0, 100.0, "a number of decibels", true}, value);
    };
    decibels("hum_over_rest_db", health.hum_over_rest_db);
    decibels("hum_rise_db", health.hum_rise_db);
    decibels("wind_over_rest_db", health.wind_over_rest_db);
    decibels("wind_rise_db", health.wind_rise_db);
    decibels("covered_loss_db", health.covered_loss_db);
    decibels("level_far_db", health.level_far_db);
    decibels("calibration_drift_db", health.calibration_drift_db);
    table.finish();
}

} // namespace quietpass
