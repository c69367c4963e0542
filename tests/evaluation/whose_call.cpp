// whose-call SHIFT --near M --far M [--entrance M] [--band LOW-HIGH] [--two-clocks] [--rows]: what
// OriginFinder and judge_origin make of each true call of a made shift, given the spans that the truth says:
// the rule by itself, without what the ears miss. SHIFT is a folder of scenario-builder with two channels,
// the one at the restraint first; M are metres up the race. Prints one line a kind of call, or with --rows
// one a call.

#include <CLI/CLI.hpp>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <map>
#include <sstream>
#include <vector>

#include "daemon/capture/file_source.h"
#include "daemon/failure.h"
#include "daemon/hearing/origin_finder.h"
#include "daemon/hearing/sound_memory.h"
#include "tests/scenario/csv_rows.h"

using namespace quietpass;

namespace {

struct TrueCall {
    double start_s = 0.0;
    double end_s = 0.0;
    std::string phase;
    std::string place_m;
    double snr_db = 0.0;
};

std::vector<TrueCall> true_calls(const std::string& path) {
    std::ifstream file(path);
    std::ostringstream text;
    text << file.rdbuf();
    std::vector<TrueCall> calls;
    for (const auto& row : scenario::csv_rows(text.str())) {
        calls.push_back({std::stod(row.at("start_s")), std::stod(row.at("end_s")), row.at("phase"),
                         row.at("place_m"), std::stod(row.at("snr_db"))});
    }
    return calls;
}

struct Count {
    int calls = 0;
    int waiting = 0;
    int restraint = 0;
    int unknown = 0;
};

} // namespace

int main(int argc, char** argv) {
    CLI::App app("What the rule for whose call it is makes of the true calls of a made shift.");
    std::string shift;
    double low_hz = 60.0;
    double high_hz = 4000.0;
    bool rows = false;
    bool two_clocks = false;
    MicrophonePair pair{0, 1, 0.0, 7.0, 3.0, true};
    app.add_option("shift", shift)->required();
    app.add_option("--near", pair.near_m);
    app.add_option("--far", pair.far_m);
    app.add_option("--entrance", pair.entrance_m);
    app.add_option("--low", low_hz);
    app.add_option("--high", high_hz);
    app.add_flag("--two-clocks", two_clocks);
    app.add_flag("--rows", rows);
    CLI11_PARSE(app, argc, argv);
    pair.one_clock = !two_clocks;
    try {
        FileSource audio(shift + "/audio.wav");
        SoundMemory near(audio.sample_rate_hz(), 60.0);
        SoundMemory far(audio.sample_rate_hz(), 60.0);
        OriginFinder finder(pair, low_hz, high_hz);
        std::map<std::string, Count> counts;
        Stretch stretch;
        double heard_s = 0.0;
        if (rows) {
            std::puts(
                "start_s\tphase\tplace_m\tsnr_db\torigin\tlouder_db\tclearer_db\tnear_clear_db\tfar_clear_"
                "db\t"
                "waiting_ms\twaiting_height\trestraint_ms\trestraint_height\tspread");
        }
        for (const TrueCall& call : true_calls(shift + "/truth_calls.csv")) {
            while (heard_s < call.end_s + 1.0 && audio.next(stretch) &&
                   stretch.kind == Stretch::Kind::kSamples) {
                near.hear(stretch.channel(0));
                far.hear(stretch.channel(1));
                heard_s = static_cast<double>(stretch.first_index + stretch.count) / audio.sample_rate_hz();
            }
            std::vector<float> at_near;
            std::vector<float> at_far;
            const double from_s = std::max(0.0, call.start_s - 3.0);
            std::optional<OriginEvidence> evidence;
            if (near.excerpt(from_s, call.end_s, at_near) && far.excerpt(from_s, call.end_s, at_far)) {
                evidence = finder.measure(at_near, at_far,
                                          static_cast<std::size_t>((call.start_s - from_s) * 16000.0));
            }
            const Origin origin = evidence ? judge_origin(pair, *evidence).origin : Origin::kUnknown;
            Count& count = counts[call.phase];
            ++count.calls;
            ++(origin == Origin::kWaiting     ? count.waiting
               : origin == Origin::kRestraint ? count.restraint
                                              : count.unknown);
            if (rows && evidence) {
                const OriginEvidence& e = *evidence;
                std::printf("%.3f\t%s\t%s\t%.1f\t%s\t%.1f\t%.1f\t%.1f\t%.1f\t%.2f\t%.3f\t%.2f\t%.3f\t%.4f\n",
                            call.start_s, call.phase.c_str(), call.place_m.c_str(), call.snr_db,
                            origin == Origin::kWaiting     ? "waiting"
                            : origin == Origin::kRestraint ? "restraint"
                                                           : "unknown",
                            e.louder_db, e.clearer_db, e.near_clear_db, e.far_clear_db,
                            1000.0 * e.waiting_delay_s, e.waiting_height, 1000.0 * e.restraint_delay_s,
                            e.restraint_height, e.spread);
            }
        }
        if (rows) return 0;
        for (const auto& [phase, count] : counts) {
            std::printf("%-10s %4d calls: %4d waiting, %4d restraint, %4d in doubt\n", phase.c_str(),
                        count.calls, count.waiting, count.restraint, count.unknown);
        }
    } catch (const Failure& failure) {
        std::fprintf(stderr, "whose-call: %s\n", failure.what());
        return failure.exit_code();
    }
    return 0;
}
