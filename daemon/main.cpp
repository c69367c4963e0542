// The subcommands and their options; the work is in daemon/commands/.

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <exception>
#include <memory>
#include <string>
#include <vector>

#include "classifiers/one_line.h"
#include "daemon/build_facts.h"
#include "daemon/commands/alarms_command.h"
#include "daemon/commands/alarms_test_command.h"
#include "daemon/commands/backup_command.h"
#include "daemon/commands/calibrate_command.h"
#include "daemon/commands/case_command.h"
#include "daemon/commands/change_command.h"
#include "daemon/commands/check_command.h"
#include "daemon/commands/clips_command.h"
#include "daemon/commands/detect_command.h"
#include "daemon/commands/devices_command.h"
#include "daemon/commands/evaluate_command.h"
#include "daemon/commands/export_command.h"
#include "daemon/commands/factors_command.h"
#include "daemon/commands/finding_command.h"
#include "daemon/commands/handaudit_command.h"
#include "daemon/commands/journal_commands.h"
#include "daemon/commands/key_command.h"
#include "daemon/commands/passages_command.h"
#include "daemon/commands/report_command.h"
#include "daemon/commands/run_command.h"
#include "daemon/commands/score_command.h"
#include "daemon/commands/tune_command.h"
#include "daemon/commands/users_command.h"
#include "daemon/commands/verify_command.h"
#include "daemon/failure.h"
#include "daemon/tables/wrapped_help.h"

namespace {

using namespace quietpass;

constexpr const char* kCaution =
    "quietpass measures. It is never a safety device and replaces no trained\n"
    "person. Local law, the official veterinarian and the equipment maker's\n"
    "instructions come first.";

// CLI11 has its own exit codes and several lines; the house has one line and exit 2.
int usage_failure(const CLI::App& app, const CLI::ParseError& error) {
    std::string line = error.what();
    std::replace(line.begin(), line.end(), '\n', ' ');
    std::string command = "quietpass";
    for (auto subs = app.get_subcommands(); !subs.empty(); subs = subs.front()->get_subcommands())
        command += " " + subs.front()->get_name();
    std::fprintf(stderr, "%s: %s; see `%s --help`\n", command.c_str(), in_one_line(line).c_str(),
                 command.c_str());
    return kExitUsage;
}

void add_jobs(CLI::App& command, int& jobs, const std::string& what) {
    command.add_option("--jobs", jobs, what)->check(CLI::Range(0, 1024))->capture_default_str();
}

void add_run(CLI::App& app, RunOptions& options) {
    CLI::App* run = app.add_subcommand("run", "Listen at a station: the daemon");
    run->add_option("--station", options.station, "Station file (TOML)")->required();
    run->add_option("--out", options.out, "Folder for the records")->required();
    run->add_option("--log", options.log,
                    "Log file; without it the log goes to standard error, for the journal");
    run->add_option("--for", options.for_s, "Stop after this many seconds of audio")
        ->check(CLI::PositiveNumber);
    run->add_option(
           "--speed", options.speed,
           "For demonstrations: the microphone and the contacts play this many times faster than real time")
        ->check(CLI::Range(1.0, 100.0));
    run->add_flag("--show", options.show, "Print each passage on standard output as it is decided");
    run->callback([&options] { quietpass::run(options); });
}

void add_score(CLI::App& app, ScoreOptions& options) {
    CLI::App* score = app.add_subcommand("score", "Score recorded audio and contacts");
    score->footer(
        "The files are the microphones of one shift: all begin at the same time and\n"
        "are heard side by side. The result is the same for any number of jobs.");
    score->add_option("--station", options.station, "Station file (TOML)")->required();
    score
        ->add_option("--audio", options.audio,
                     "Audio file; each channel is a microphone.\n"
                     "Repeatable")
        ->required();
    score->add_option("--contacts", options.contacts, "contacts.csv: time_s,input,state")->required();
    score
        ->add_option("--out", options.out,
                     "Folder for calls.csv, passages.csv, shift.json,\n"
                     "shift.db")
        ->required();
    score->add_flag("--clips", options.clips,
                    "Also the clips that `run` would have kept, by\nthe station file's [clips]");
    score->add_option("--start", options.start, "UTC time of the first sample, as 2026-03-02T13:00:00Z");
    score->add_option("--calibrations", options.calibrations,
                      "calibrations.csv; without it the one in --out");
    add_jobs(*score, options.jobs, "Microphones heard at a time; 0: one a processor");
    score->callback([&options] { quietpass::score(options); });
}

void add_calibrate(CLI::App& app, CalibrateOptions& options) {
    CLI::App* calibrate = app.add_subcommand("calibrate", "Measure a microphone with a calibrator");
    calibrate->footer(
        "Put a calibrator of 94 or 114 dB at 1 kHz on the microphone, switch it on, then\n"
        "start this. Levels are dB SPL from the next start of `run` on. A row with date,\n"
        "serial number and drift is added to calibrations.csv; none is ever changed.");
    calibrate->add_option("--station", options.station, "Station file (TOML)")->required();
    calibrate->add_option("--out", options.out, "Folder of the records, where calibrations.csv is")
        ->required();
    calibrate->add_option("--microphone", options.microphone, "Its name, where the station has several");
    calibrate->add_option("--level", options.level_db, "The calibrator's level, dB SPL (94)")
        ->check(CLI::Range(70.0, 130.0));
    calibrate->add_option("--serial", options.serial, "The calibrator's serial number");
    calibrate->add_option("--audio", options.audio, "Recording of the tone; without it the device");
    calibrate->add_option("--channel", options.channel, "Channel of the recording; the first is 1")
        ->check(CLI::PositiveNumber);
    calibrate->add_option("--at", options.at, "UTC of the recording, as 2026-03-02T13:00:00Z");
    calibrate->add_option("--steady", options.steady_s, "Seconds of steady tone (5)")
        ->check(CLI::Range(2.0, 60.0));
    calibrate->add_option("--within", options.patience_s, "Seconds to wait for it (60)")
        ->check(CLI::Range(3.0, 3600.0));
    calibrate->callback([&options] { quietpass::calibrate(options); });
}

void add_check(CLI::App& app, CheckOptions& options, int& exit_code) {
    CLI::App* check = app.add_subcommand("check", "How a station is: each thing good, or what to do");
    check->footer(
        "good: as it should be. look: it works, a person should look at it. bad:\n"
        "something is not recorded, not told or not proven; the exit code is then 1.\n"
        "While the daemon runs, microphones and contacts are told from its records.");
    check->add_option("--station", options.station, "Station file (TOML)")->required();
    check->add_option("--out", options.out, "Folder of the records")->required();
    check->add_flag("--no-inputs", options.no_inputs, "Open no microphone and no contact");
    check->add_flag("--json", options.json, "As JSON");
    check->callback([&options, &exit_code] { exit_code = quietpass::check(options); });
}

void add_detect(CLI::App& app, DetectOptions& options) {
    CLI::App* detect = app.add_subcommand("detect", "List the calls in audio files");
    detect->add_option("--species", options.species, "cattle or pig")->required();
    detect->add_option("--profile", options.profile, "Profile to judge by instead of the shipped one");
    add_jobs(*detect, options.jobs,
             "Files, or channels of one, heard at a time;\n"
             "0: one a processor");
    detect->add_option("files", options.files, "Audio files")->required();
    detect->footer(
        "Files are heard apart from each other; their calls come in the order of the\n"
        "files. One that can't be read is a line on standard error, and the others are\n"
        "heard all the same.");
    detect->callback([&options] { quietpass::detect(options); });
}

void add_evaluate(CLI::App& app, EvaluateOptions& options) {
    CLI::App* evaluate = app.add_subcommand("evaluate", "Measure the ears against a known truth");
    evaluate->add_option("--shift", options.shifts,
                         "Folder of a scored shift, its truth.csv there\n"
                         "or in the folder above. Repeatable");
    evaluate->add_option("--truth", options.truth,
                         "Truth of the one shift (CSV):\n"
                         "entered_s or passage, and vocal");
    evaluate
        ->add_option("--entry-within", options.entry_within_s,
                     "Most seconds between the truth's and the\n"
                     "record's time of one entry")
        ->check(CLI::PositiveNumber)
        ->capture_default_str();
    evaluate->add_option("--clips", options.clips, "Folder of labelled clips, as `tune` takes it");
    evaluate->add_option("--manifest", options.manifest, "Instead of the folder's MANIFEST.tsv");
    evaluate->add_option("--labels", options.labels, "Spans in clips, as for `tune`. Repeatable");
    evaluate->add_option("--species", options.species, "Of the clips: cattle or pig");
    evaluate->add_option("--profile", options.profile, "Judges the clips instead of the shipped one");
    evaluate
        ->add_option("--profile-of-fold", options.of_folds,
                     "Profiles of folds 0, 1 … (commas between): each\n"
                     "judges the recordings of its fold, numbered as\n"
                     "by `tune --folds N --leave-out`")
        ->delimiter(',')
        ->allow_extra_args(false);
    evaluate->add_option("--rates", options.rates,
                         "How well the ears hear, to correct percentages:\n"
                         "an evaluation.json, or four counts as in\n"
                         "88/150,447/450 (heard/vocal,left alone/quiet)");
    evaluate->add_option("--seed", options.seed, "Of the intervals by recording")->capture_default_str();
    add_jobs(*evaluate, options.jobs, "Clips heard at a time; 0: one a processor");
    evaluate->add_option("--out", options.out, "Folder for CSV files and evaluation.json");
    evaluate->callback([&options] { quietpass::evaluate(options); });
}

void add_alarms_test(CLI::App& alarms, AlarmsTestOptions& options) {
    CLI::App* test = alarms.add_subcommand("test", "Send a test message to each channel");
    test->footer(
        "A line a channel: its name, done or failed, how long it took, what the\n"
        "receiver said. A lamp is switched on for a moment.");
    test->add_option("--station", options.station, "Station file (TOML)")->required();
    test->add_option("--out", options.out, "Folder of the records")->required();
    test->add_option("--channel", options.channel, "Only this one, by its name");
    test->callback([&options] { quietpass::alarms_test(options); });
}

void add_alarms(CLI::App& app, AlarmsOptions& options, AlarmsTestOptions& test_options) {
    CLI::App* alarms = app.add_subcommand("alarms", "List, acknowledge and clear alarms");
    alarms->require_subcommand(1);
    const auto add = [&](const char* name, const char* what, void (*command)(const AlarmsOptions&)) {
        CLI::App* sub = alarms->add_subcommand(name, what);
        sub->add_option("--out", options.out, "Folder of the records")->required();
        sub->callback([&options, command] { command(options); });
        return sub;
    };
    const auto add_form = [&](CLI::App* sub) {
        CLI::Option* csv = sub->add_flag("--csv", options.csv, "As CSV");
        sub->add_flag("--json", options.json, "As JSON")->excludes(csv);
    };
    const auto add_which = [&](CLI::App* sub) {
        sub->add_option("alarm", options.alarms, "Numbers of alarms, as `alarms list` shows them")
            ->required()
            ->check(CLI::PositiveNumber);
    };
    CLI::App* list = add("list", "Those that are open", list_alarms);
    list->add_flag("--all", options.all, "Cleared ones too");
    add_form(list);
    CLI::App* show = add("show", "All of one or more", show_alarms);
    add_which(show);
    add_form(show);
    for (CLI::App* sub : {add("ack", "Acknowledge: somebody sees to it", acknowledge_alarms),
                          add("clear", "Clear: it is over", clear_alarms)}) {
        add_which(sub);
        sub->add_option("--by", options.by, "Who; without it the login name");
    }
    add_alarms_test(*alarms, test_options);
}

int run_main(int argc, char** argv) {
    CLI::App app{std::string("Counts vocalizations of cattle and pigs in the restrainer, for every\n"
                             "animal of every shift.\n") +
                     kCaution,
                 "quietpass"};
    app.formatter(std::make_shared<WrappedHelp>());
    app.require_subcommand(1);
    app.set_version_flag("--version", std::string("quietpass ") + kVersion);

    RunOptions run_options;
    ScoreOptions score_options;
    CalibrateOptions calibrate_options;
    DetectOptions detect_options;
    EvaluateOptions evaluate_options;
    AlarmsOptions alarms_options;
    AlarmsTestOptions alarms_test_options;
    CheckOptions check_options;
    int exit_code = 0;
    add_run(app, run_options);
    add_score(app, score_options);
    add_calibrate(app, calibrate_options);
    add_check(app, check_options, exit_code);
    add_detect(app, detect_options);
    add_evaluate(app, evaluate_options);
    add_alarms(app, alarms_options, alarms_test_options);
    add_clips(app);
    add_passages(app);
    add_factors(app);
    add_lot(app);
    add_note(app);
    add_change(app);
    add_handaudit(app);
    add_verify(app);
    add_key(app);
    add_backup(app);
    add_restore(app);
    add_finding_command(app);
    add_case_command(app);
    add_report(app);
    add_export(app);
    add_users_command(app);
    app.add_subcommand("devices", "List the microphones that can be named in a station file")
        ->callback(list_devices);
    CLI::App* tune_app = app.add_subcommand("tune", "Train a profile from labelled recordings");
    tune_app->prefix_command();
    tune_app->set_help_flag();
    tune_app->callback([tune_app] { quietpass::tune(tune_app->remaining()); });

    try {
        app.parse(argc, argv);
    } catch (const CLI::Success& wish) {
        return app.exit(wish);
    } catch (const CLI::ParseError& error) {
        return usage_failure(app, error);
    }
    return exit_code;
}

} // namespace

int main(int argc, char** argv) {
    try {
        return run_main(argc, argv);
    } catch (const quietpass::Failure& failure) {
        std::fprintf(stderr, "quietpass: %s\n", failure.what());
        return failure.exit_code();
    } catch (const std::exception& error) {
        std::fprintf(stderr, "quietpass: %s\n", in_one_line(error.what()).c_str());
        return quietpass::kExitFailure;
    }
}
