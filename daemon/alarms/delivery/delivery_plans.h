// From the station file's [[delivery]] tables to channels. Secrets are read and programs looked for here, so
// that what is missing stops the start and not the first alarm. Each person that a mail goes to has a
// channel, named NAME/ADDRESS.
//
// Errors: Failure (exit 2), one line.
#pragma once

#include <filesystem>
#include <memory>
#include <vector>

#include "daemon/alarms/delivery/delivery.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

std::vector<DeliveryPlan> delivery_plans(const StationSettings& settings,
                                         const std::shared_ptr<const StandingAlarms>& standing,
                                         const Clock& clock);

// The whole: channels and the outbox in that folder, which must be there. settings and the clock: see
// Delivery.
std::unique_ptr<Delivery> open_delivery(const StationSettings& settings, const std::filesystem::path& folder,
                                        const Clock& clock, const Delivery::Say& say);

} // namespace quietpass
