#include "daemon/commands/check_command.h"

#include <algorithm>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "daemon/calibration/calibration_book.h"
#include "daemon/checks/computer.h"
#include "daemon/checks/evidence.h"
#include "daemon/checks/inputs.h"
#include "daemon/checks/outside.h"
#include "daemon/clock.h"
#include "daemon/commands/page_start_check.h"
#include "daemon/commands/run_lock.h"
#include "daemon/commands/settings_in_force.h"
#include "daemon/failure.h"
#include "daemon/tables/table_text.h"

namespace quietpass {

namespace {

constexpr std::size_t kIndent = 6;

void add(CheckLines& lines, CheckLines more) {
    std::move(more.begin(), more.end(), std::back_inserter(lines));
}

CheckLine settings_line(const SettingsInForce& in_force) {
    const StationSettings& settings = in_force.settings;
    std::string words = settings.name + ", " + std::string(name_of(settings.species)) + ", " +
                        std::to_string(settings.microphones.size()) + " microphone(s), " +
                        std::to_string(settings.contacts.size()) + " contact(s)";
    if (in_force.profile) {
        words += ", profile " + in_force.profile->profile.name + " " + in_force.profile->profile.version;
    }
    return {CheckState::kGood, "station file", words, ""};
}

CheckLines check_station(const CheckOptions& options, const SettingsInForce& in_force) {
    const StationSettings& settings = in_force.settings;
    const std::filesystem::path out = options.out;
    const RealClock clock;
    const std::int64_t now_ns = clock.utc_ns();
    const bool runs = folder_is_held(options.out);
    CheckLines lines = {settings_line(in_force)};
    lines.push_back({runs ? CheckState::kGood : CheckState::kLook, "daemon",
                     runs ? "listens" : "does not run",
                     runs ? "" : "start it: `quietpass run`, or its service"});
    add(lines, check_clock());
    if (std::filesystem::exists(out)) {
        add(lines, check_disk(settings, out));
        add(lines, check_permissions(settings, out));
        add(lines, check_records(settings, out, now_ns));
    } else {
        lines.push_back(
            {CheckState::kLook, "records", options.out + " is not there yet", "`quietpass run` makes it"});
    }
    if (runs) {
        add(lines, check_heard(settings, out, now_ns));
    } else if (!options.no_inputs) {
        add(lines, check_microphones(settings, clock));
        add(lines, check_contacts(settings, clock));
    }
    add(lines, check_deliveries(settings));
    add(lines, check_certificate(settings, out, now_ns));
    add(lines, runs ? check_page(settings) : check_page_start(settings.page, out));
    return lines;
}

// "good  disk: 74210 MB are free …", what to do below it.
void print(const CheckLine& line) {
    std::string state(name_of(line.state));
    state.resize(kIndent, ' ');
    std::fputs(wrapped(state + line.what + ": " + line.words, kIndent).c_str(), stdout);
    if (line.to_do.empty()) return;
    std::fputs(wrapped(std::string(kIndent, ' ') + "> " + line.to_do, 2).c_str(), stdout);
}

void print_json(const CheckLines& lines, const std::string& worst) {
    nlohmann::ordered_json checks = nlohmann::ordered_json::array();
    for (const CheckLine& line : lines) {
        checks.push_back(
            {{"state", name_of(line.state)}, {"what", line.what}, {"words", line.words}, {"do", line.to_do}});
    }
    const nlohmann::ordered_json all = {{"worst", worst}, {"checks", std::move(checks)}};
    std::puts(all.dump(2, ' ', false, nlohmann::json::error_handler_t::replace).c_str());
}

} // namespace

int check(const CheckOptions& options) {
    CheckLines lines;
    int code = 0;
    try {
        SettingsInForce in_force = settings_in_force(options.station, options.out);
        use_calibrations(in_force.settings,
                         read_calibrations(std::filesystem::path(options.out) / kCalibrationsFile),
                         std::nullopt);
        lines = check_station(options, in_force);
    } catch (const Failure& wrong) {
        lines = {{CheckState::kBad, "station file", wrong.what(), "mend it, then check again"}};
        code = wrong.exit_code();
    }
    const auto worst = std::max_element(lines.begin(), lines.end(), [](const auto& one, const auto& other) {
        return one.state < other.state;
    });
    if (code == 0 && worst->state == CheckState::kBad) code = kExitFailure;
    if (options.json) {
        print_json(lines, std::string(name_of(worst->state)));
    } else {
        for (const CheckLine& line : lines) print(line);
    }
    return code;
}

} // namespace quietpass
