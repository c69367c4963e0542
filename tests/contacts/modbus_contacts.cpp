// modbus-contacts: plays a contacts.csv as a Modbus TCP device on loopback, in step with a microphone that
// plays the sound of the same shift. See --help.
//
// Standard output: "listening on 127.0.0.1:PORT" once it can be connected to, "started" when time 0 has come,
// "done" at the end.
#include <poll.h>
#include <unistd.h>
#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <limits>
#include <string>
#include <vector>

#include "daemon/clock.h"
#include "daemon/contacts/addresses/modbus_address.h"
#include "daemon/failure.h"
#include "daemon/settings/station_file.h"
#include "tests/contacts/contact_player.h"
#include "tests/contacts/modbus_server.h"

namespace quietpass {
namespace {

using std::chrono_literals::operator""ms;

struct Options {
    std::string station;
    std::string contacts;
    int port = -1;
    double speed = 1.0;
    std::string started_file;
    bool start_on_line = false;
    bool start_on_connection = false;
    double offset_s = 0.0;
    double linger_s = 5.0;
    double wait_at_most_s = 120.0;
    std::vector<std::string> mutes;
    std::vector<std::string> downs;
    std::vector<double> drops;
};

// When the recording's time 0 was, and how fast it goes.
struct Start {
    std::int64_t monotonic_ns = 0;
    double speed = 1.0;
    double length_s = 0.0;
};

// "T:D", both in seconds.
std::pair<double, double> span_from(const std::string& text) {
    double at_s = 0.0;
    double for_s = 0.0;
    int used = 0;
    if (std::sscanf(text.c_str(), "%lf:%lf%n", &at_s, &for_s, &used) != 2 ||
        used != static_cast<int>(text.size()) || !(for_s >= 0.0) || !std::isfinite(at_s + for_s)) {
        throw Failure(kExitUsage, "modbus-contacts: expected START:LENGTH in seconds, found " + text);
    }
    return {at_s, for_s};
}

bool line_came() {
    pollfd input{STDIN_FILENO, POLLIN, 0};
    std::string line;
    return poll(&input, 1, 0) > 0 && std::getline(std::cin, line);
}

// Whether time 0 has come.
bool has_started(const Options& options, const ModbusServer& server, const Clock& clock, Start& start) {
    if (!options.started_file.empty()) {
        // One line of the test microphone (tests/capture): monotonic ns of its first sample, speed, rate,
        // frames.
        std::ifstream file(options.started_file);
        double rate_hz = 0.0;
        double frames = 0.0;
        if (!(file >> start.monotonic_ns >> start.speed >> rate_hz >> frames) || !(rate_hz > 0.0))
            return false;
        start.length_s = frames / rate_hz;
        return true;
    }
    if (options.start_on_line && !line_came()) return false;
    if (options.start_on_connection && server.connections() == 0) return false;
    start = {clock.monotonic_ns(), options.speed, 0.0};
    return true;
}

void play(const Options& options) {
    const StationSettings settings = read_station_file(options.station);
    const auto first = modbus_address_from(settings.contacts.front().input);
    ModbusServer server(options.port >= 0 || !first ? std::max(options.port, 0) : first->port);
    ContactPlayer player(settings, options.contacts, server);
    for (const std::string& mute : options.mutes) {
        const auto [at_s, for_s] = span_from(mute);
        player.mute(at_s, for_s);
    }
    for (const std::string& down : options.downs) {
        const auto [at_s, for_s] = span_from(down);
        player.down(at_s, for_s);
    }
    for (const double at_s : options.drops) player.drop(at_s);
    std::cout << "listening on 127.0.0.1:" << server.port() << std::endl;

    const RealClock clock;
    const std::int64_t ready_ns = clock.monotonic_ns();
    Start start;
    while (!has_started(options, server, clock, start)) {
        if (static_cast<double>(clock.monotonic_ns() - ready_ns) > options.wait_at_most_s * 1e9) {
            throw Failure(kExitFailure, "modbus-contacts: nothing started it in time (--wait-at-most)");
        }
        server.serve(2ms);
    }
    std::cout << "started" << std::endl;

    const double end_s = std::max(player.last_s(), start.length_s) + options.linger_s;
    for (;;) {
        const double elapsed_s = static_cast<double>(clock.monotonic_ns() - start.monotonic_ns) / 1e9;
        const double now_s = options.offset_s + elapsed_s * start.speed;
        player.play_until(now_s);
        if (now_s >= end_s) break;
        const double wait_s = (std::min(player.next_s(), end_s) - now_s) / start.speed;
        const auto wait =
            std::chrono::nanoseconds(static_cast<std::int64_t>(std::clamp(wait_s, 0.0, 0.05) * 1e9));
        server.serve(wait);
    }
    std::cout << "done" << std::endl;
}

int run(int argc, char** argv) {
    Options options;
    CLI::App app{
        "Plays a contacts.csv as a Modbus TCP device on 127.0.0.1. Times are seconds of the recording."};
    app.add_option("--station", options.station, "station file: which contact is which input")->required();
    app.add_option("--contacts", options.contacts, "contacts.csv to play; the last one given")
        ->required()
        ->take_last();
    app.add_option("--port", options.port,
                   "0: any free one (default: the port of the station's first contact)")
        ->check(CLI::Range(0, 65535));
    app.add_option("--speed", options.speed, "so many times faster than it happened")
        ->check(CLI::Range(0.001, 1000.0));
    auto* const file = app.add_option("--started-file", options.started_file,
                                      "start with the test microphone that writes this file, at its speed");
    auto* const line =
        app.add_flag("--start-on-line", options.start_on_line, "start at a line on standard input");
    auto* const connection = app.add_flag("--start-on-connection", options.start_on_connection,
                                          "start when the first client connects");
    file->excludes(line)->excludes(connection);
    line->excludes(connection);
    app.add_option("--offset", options.offset_s, "start so far into the recording");
    app.add_option("--linger", options.linger_s,
                   "stay so long after the last change and the end of the sound");
    app.add_option("--wait-at-most", options.wait_at_most_s, "give up when nothing started it, real seconds");
    app.add_option("--mute", options.mutes, "START:LENGTH, take requests and never answer");
    app.add_option("--down", options.downs, "START:LENGTH, refuse connections");
    app.add_option("--drop", options.drops, "close all connections at this time");
    try {
        app.parse(argc, argv);
        play(options);
        return 0;
    } catch (const CLI::ParseError& error) {
        if (error.get_exit_code() == 0) return app.exit(error);
        std::cerr << "modbus-contacts: " << error.what() << "; see --help\n";
        return kExitUsage;
    } catch (const Failure& failure) {
        std::cerr << failure.what() << '\n';
        return failure.exit_code();
    }
}

} // namespace
} // namespace quietpass

int main(int argc, char** argv) {
    return quietpass::run(argc, argv);
}
