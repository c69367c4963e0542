#include "daemon/commands/alarms_test_command.h"

#include <sodium.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <csignal>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <thread>
#include <vector>

#include "daemon/alarms/delivery/delivery_plans.h"
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

bool is_meant(const std::string& plan, const std::string& wish) {
    return wish.empty() || plan == wish || plan.starts_with(wish + "/");
}

std::vector<DeliveryPlan> chosen_plans(const StationSettings& settings, std::vector<DeliveryPlan> plans,
                                       const std::string& wish) {
    if (plans.empty()) {
        throw Failure(kExitUsage, "alarms test: " + settings.file +
                                      " has no [[delivery]]; deploy/station.md says what one holds");
    }
    std::string names;
    for (const DeliveryPlan& plan : plans) names += (names.empty() ? "" : ", ") + plan.name;
    std::erase_if(plans, [&wish](const DeliveryPlan& plan) { return !is_meant(plan.name, wish); });
    if (plans.empty()) {
        throw Failure(kExitUsage, "alarms test: --channel " + wish + ": is not in " + settings.file +
                                      ", which has " + names);
    }
    return plans;
}

struct Tried {
    HandOver outcome;
    double seconds = 0.0;
};

Tried try_plan(DeliveryPlan& plan, const AlarmMessage& message, const Clock& clock) {
    static const std::atomic<bool> kGoOn{false};
    Tried tried;
    const std::int64_t begun_ns = clock.monotonic_ns();
    try {
        tried.outcome = plan.channel->test(message, kGoOn);
    } catch (const std::exception& error) {
        tried.outcome = HandOver::unreachable(error.what());
    }
    tried.seconds = static_cast<double>(clock.monotonic_ns() - begun_ns) / 1e9;
    return tried;
}

} // namespace

void alarms_test(const AlarmsTestOptions& options) {
    // A receiver that hangs up is a line of the outcome, not the end of this process.
    std::signal(SIGPIPE, SIG_IGN);
    const RealClock clock;
    const StationSettings settings = read_station_file(options.station);
    RealFiles files;
    prepare_output_folder(files, options.out);
    Outbox outbox(std::filesystem::path(options.out) / kOutboxFile);
    const auto standing = std::make_shared<StandingAlarms>(outbox.standing());
    std::vector<DeliveryPlan> plans =
        chosen_plans(settings, delivery_plans(settings, standing, clock), options.channel);
    const AlarmMessage message = test_message(settings, clock.utc_ns());

    std::vector<Tried> tried(plans.size());
    std::vector<std::thread> threads;
    for (std::size_t i = 0; i < plans.size(); ++i) {
        threads.emplace_back([&, i] { tried[i] = try_plan(plans[i], message, clock); });
    }
    for (std::thread& thread : threads) thread.join();

    std::vector<std::string> taken;
    std::string failed;
    std::size_t widest = 0;
    for (const DeliveryPlan& plan : plans) widest = std::max(widest, plan.name.size());
    for (std::size_t i = 0; i < plans.size(); ++i) {
        const bool done = tried[i].outcome.result == HandOver::Result::kDone;
        std::printf("%-*s  %-6s  %5.1f s  %s\n", static_cast<int>(widest), plans[i].name.c_str(),
                    done ? "done" : "failed", tried[i].seconds, tried[i].outcome.what.c_str());
        if (done) {
            taken.push_back(plans[i].name);
        } else {
            failed += (failed.empty() ? "" : ", ") + plans[i].name;
        }
    }
    std::fflush(stdout);
    // Only what was taken: a row that waits would be handed over by the daemon's next start.
    outbox.put(message, taken, clock.utc_ns());
    for (const std::string& plan : taken) outbox.done(message.id, plan, clock.utc_ns());
    if (!failed.empty()) {
        throw Failure(kExitFailure, "alarms test: not taken by " + failed +
                                        "; see the lines above, and the tables [[delivery]] in " +
                                        settings.file);
    }
}

} // namespace quietpass
