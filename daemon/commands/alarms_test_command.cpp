#include "daemon/commands/alarms_test_command.h"

#include <sodium.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <thread>
#include <vector>

#include "daemon/alarms/delivery/delivery_lanes.h"
#include "daemon/clock.h"
#include "daemon/failure.h"
#include "daemon/records/files.h"
#include "daemon/records/utc_text.h"
#include "daemon/settings/station_file.h"

namespace quietpass {

namespace {

// Ends in chance, so that two tests in one millisecond are two messages.
std::string test_id(const std::string& at) {
    std::array<unsigned char, 8> chance{};
    randombytes_buf(chance.data(), chance.size());
    std::array<char, 2 * chance.size() + 1> hex{};
    sodium_bin2hex(hex.data(), hex.size(), chance.data(), chance.size());
    return "test-" + at + "-" + hex.data();
}

AlarmMessage test_message(const StationSettings& settings, std::int64_t utc_ns) {
    AlarmMessage message;
    message.id = test_id(utc_text(utc_ns));
    message.alarm = message.id;
    message.cause = "test";
    message.event = "test";
    message.station = settings.name;
    message.utc_ns = utc_ns;
    message.severity = "soon";
    message.count = 1;
    message.headline = "Test of the alarms";
    message.text =
        "This is a test of the way that alarms of this station take. Nothing has happened and nothing needs "
        "to "
        "be done.";
    return message;
}

bool is_meant(const std::string& lane, const std::string& wish) {
    return wish.empty() || lane == wish || lane.starts_with(wish + "/");
}

std::vector<DeliveryLane> chosen_lanes(const StationSettings& settings, std::vector<DeliveryLane> lanes,
                                       const std::string& wish) {
    if (lanes.empty()) {
        throw Failure(kExitUsage, "alarms test: " + settings.file +
                                      " has no [[delivery]]; deploy/station.md says what one holds");
    }
    std::string names;
    for (const DeliveryLane& lane : lanes) names += (names.empty() ? "" : ", ") + lane.name;
    std::erase_if(lanes, [&wish](const DeliveryLane& lane) { return !is_meant(lane.name, wish); });
    if (lanes.empty()) {
        throw Failure(kExitUsage, "alarms test: --channel " + wish + ": is not in " + settings.file +
                                      ", which has " + names);
    }
    return lanes;
}

struct Tried {
    HandOver outcome;
    double seconds = 0.0;
};

Tried try_lane(DeliveryLane& lane, const AlarmMessage& message, const Clock& clock) {
    static const std::atomic<bool> kGoOn{false};
    Tried tried;
    const std::int64_t begun_ns = clock.monotonic_ns();
    try {
        tried.outcome = lane.channel->test(message, kGoOn);
    } catch (const std::exception& error) {
        tried.outcome = HandOver::unreachable(error.what());
    }
    tried.seconds = static_cast<double>(clock.monotonic_ns() - begun_ns) / 1e9;
    return tried;
}

} // namespace

void alarms_test(const AlarmsTestOptions& options) {
    const RealClock clock;
    const StationSettings settings = read_station_file(options.station);
    RealFiles files;
    prepare_output_folder(files, options.out);
    Outbox outbox(std::filesystem::path(options.out) / kOutboxFile);
    const auto standing = std::make_shared<StandingAlarms>(outbox.standing());
    std::vector<DeliveryLane> lanes =
        chosen_lanes(settings, delivery_lanes(settings, standing, clock), options.channel);
    const AlarmMessage message = test_message(settings, clock.utc_ns());

    std::vector<Tried> tried(lanes.size());
    std::vector<std::thread> threads;
    for (std::size_t i = 0; i < lanes.size(); ++i) {
        threads.emplace_back([&, i] { tried[i] = try_lane(lanes[i], message, clock); });
    }
    for (std::thread& thread : threads) thread.join();

    std::vector<std::string> taken;
    std::string failed;
    std::size_t widest = 0;
    for (const DeliveryLane& lane : lanes) widest = std::max(widest, lane.name.size());
    for (std::size_t i = 0; i < lanes.size(); ++i) {
        const bool done = tried[i].outcome.result == HandOver::Result::kDone;
        std::printf("%-*s  %-6s  %5.1f s  %s\n", static_cast<int>(widest), lanes[i].name.c_str(),
                    done ? "done" : "failed", tried[i].seconds, tried[i].outcome.what.c_str());
        if (done) {
            taken.push_back(lanes[i].name);
        } else {
            failed += (failed.empty() ? "" : ", ") + lanes[i].name;
        }
    }
    std::fflush(stdout);
    // Only what was taken: a row that waits would be handed over by the daemon's next start.
    outbox.put(message, taken, clock.utc_ns());
    for (const std::string& lane : taken) outbox.done(message.id, lane, clock.utc_ns());
    if (!failed.empty()) {
        throw Failure(kExitFailure, "alarms test: not taken by " + failed +
                                        "; see the lines above, and the tables [[delivery]] in " +
                                        settings.file);
    }
}

} // namespace quietpass
