// history-builder: made_history.h as a program.
#include <CLI/CLI.hpp>
#include <cstdio>

#include "daemon/commands/provenance.h"
#include "daemon/failure.h"
#include "daemon/settings/station_file.h"
#include "tests/history/made_history.h"

using namespace quietpass;

int main(int argc, char** argv) {
    CLI::App app{"Writes an invented history of a station into a new record store, fast."};
    std::string station_file;
    std::string out;
    HistoryPlan plan;
    bool without_edges = false;
    app.add_option("station", station_file, "Station file with a plan of shifts")->required();
    app.add_option("--out", out, "Folder for records.db")->required();
    app.add_option("--first", plan.first, "Where it begins, UTC")->capture_default_str();
    app.add_option("--days", plan.days, "How many days")->capture_default_str();
    app.add_option("--per-hour", plan.animals_per_hour, "Animals an hour of a shift")->capture_default_str();
    app.add_option("--vocal", plan.vocal_share, "Share of vocal animals, about")->capture_default_str();
    app.add_option("--seed", plan.seed)->capture_default_str();
    app.add_flag("--without-edges", without_edges, "No contact edges");
    CLI11_PARSE(app, argc, argv);
    plan.edges = !without_edges;
    try {
        const StationSettings station = read_station_file(station_file);
        if (station.shifts.empty())
            throw Failure(kExitUsage, station_file + ": has no [[shift]]; a history needs a plan of shifts");
        std::filesystem::create_directories(out);
        std::int64_t shifts = 0;
        std::int64_t made = 0;
        make_history(station, provenance_of(station, nullptr), plan,
                     Store(std::filesystem::path(out) / "records.db"), [&](std::int64_t passages) {
                         ++shifts;
                         made = passages;
                     });
        std::printf("%lld shifts, %lld passages\n", static_cast<long long>(shifts),
                    static_cast<long long>(made));
        return 0;
    } catch (const Failure& failure) {
        std::fprintf(stderr, "history-builder: %s\n", failure.what());
        return failure.exit_code();
    }
}
