#include "tests/soak/soak.h"

#include <SQLiteCpp/Database.h>
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <map>
#include <utility>

#include "daemon/alarms/delivery/delivery_plans.h"
#include "daemon/clips/clip_writer.h"
#include "daemon/commands/run_command.h"
#include "daemon/ledger/store_check.h"
#include "daemon/records/store.h"
#include "daemon/records/utc_text.h"
#include "daemon/settings/station_file.h"
#include "tests/soak/account.h"
#include "tests/soak/await.h"
#include "tests/soak/figures.h"
#include "tests/soak/soak_plant.h"
#include "tests/soak/station_text.h"

namespace quietpass::soak {
namespace {

constexpr const char* kHeading =
    "  day  RSS MB anon MB heap MB handles threads store MB WAL MB outbox MB clips MB clips  log kB other MB "
    "passages\n";

void print_figures(const Figures& now) {
    std::printf("%5.1f %7.1f %7.1f %7.1f %7d %7d %8.2f %6.2f %9.2f %8.1f %5zu %7.0f %8.1f %8zu\n", now.day,
                now.rss_mb, now.anonymous_mb, now.heap_mb, now.handles, now.threads, now.store_mb, now.wal_mb,
                now.outbox_mb, now.clips_mb, now.clips, now.log_kb, now.other_mb, now.passages);
    std::fflush(stdout);
}

void print(const char* what, const std::map<std::string, std::size_t>& counts) {
    std::printf("%s:", what);
    for (const auto& [why, count] : counts) std::printf("  %s %zu", why.c_str(), count);
    std::printf("\n");
}

double processor_s() {
    rusage used{};
    getrusage(RUSAGE_SELF, &used);
    const auto seconds = [](const timeval& time) {
        return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
    };
    return seconds(used.ru_utime) + seconds(used.ru_stime);
}

std::vector<std::string> wrong_in_store(const std::filesystem::path& file) {
    std::vector<std::string> lines;
    const Store store(file);
    const std::string errors = store.integrity_errors();
    if (!errors.empty()) lines.push_back("the store: " + errors);
    if (!store.open_shifts().empty()) lines.emplace_back("the store: a shift was left open");
    store.read([&](SQLite::Database& database) {
        const LedgerVerdict verdict = check_store(database);
        if (verdict.misfit) lines.push_back("the ledger: " + words_of(*verdict.misfit));
    });
    return lines;
}

// As after the next start: what still waits goes out now.
std::vector<std::string> wrong_alarms(const std::filesystem::path& out, const StationSettings& settings,
                                      SoakPlant& plant, int crashes) {
    std::vector<std::string> lines;
    const auto waiting = [file = (out / "outbox.db").string()] {
        return SQLite::Database(file, SQLite::OPEN_READONLY, 5000)
            .execAndGet("SELECT count(*) FROM deliveries WHERE state = 'waiting'")
            .getInt();
    };
    const int left = waiting();
    {
        const auto delivery = open_delivery(settings, out, plant.receivers_clock(), {});
        await([&] { return waiting() == 0; }, "alarms wait for a receiver that is there");
    }
    Receiver& receiver = plant.receiver();
    int twice = 0;
    for (const auto& [id, times] : receiver.acknowledged()) twice += times > 1 ? 1 : 0;
    std::printf(
        "alarms: %zu messages acknowledged in %zu requests, %d more than once; %d waited for the next start; "
        "the foreman acknowledged %d\n",
        receiver.acknowledged().size(), receiver.requests(), twice, left, plant.acknowledged());
    if (receiver.acknowledged().empty()) lines.emplace_back("no alarm reached its receiver");
    if (twice > crashes) lines.push_back(std::to_string(twice) + " alarms were acknowledged more than once");
    return lines;
}

// The daemon, started and ended as the plan says.
void live(const Plan& plan, SoakPlant& plant, const RunOptions& options) {
    for (const RunSpan& span : plan.runs) {
        plant.plant_clock().go_to(span.start_s);
        const double left_s = span.end_s - plant.plant_clock().world_s();
        RunOptions run_options = options;
        if (span.crash) {
            plant.crash_at(span.end_s);
        } else {
            run_options.for_s = left_s;
        }
        try {
            run(run_options, plant);
        } catch (const Crash&) {
        }
    }
}

// Seconds of sound a second of the run.
double pace_of(const Plan& plan, double took_s) {
    double heard_s = 0.0;
    for (const Work& work : plan.works) heard_s += work.power_off_s - work.power_on_s;
    return heard_s / took_s;
}

// Clips are let go every so many seconds of the run, which are an hour of the plant at this pace: what comes in
// between two times, and once more for a machine that has other things to do, lies over what may be kept.
double most_clips_mb(double pace) {
    const double between_s = std::chrono::duration<double>(ClipWriterOptions{}.house_every).count();
    constexpr double kMadeAnHour_mb = 10.0; // 110 animals an hour, one in five with a clip
    return kClips_mb + 5.0 + 2.0 * kMadeAnHour_mb * between_s * pace / 3600.0;
}

void print_pace(const Plan& plan, double took_s) {
    const double heard_s = pace_of(plan, took_s) * took_s;
    const double month_s = plan.runs.back().end_s - plan.runs.front().start_s;
    std::printf(
        "%.1f days, %.1f h of them with sound, in %.0f s (%.0f s of processor): sound at %.0f times real "
        "time\n",
        month_s / 86400.0, heard_s / 3600.0, took_s, processor_s(), heard_s / took_s);
}

void print_faults(const SoakPlant& plant) {
    std::map<std::string, std::size_t> counts;
    for (std::size_t kind = 1; kind < kFaultKinds; ++kind) {
        counts[std::string(name_of(static_cast<FaultKind>(kind)))] =
            static_cast<std::size_t>(plant.injected()[kind]);
    }
    print("faults", counts);
}

void print_account(const Account& account) {
    std::printf("animals %zu: scored %zu\n", account.animals, account.scored);
    print("  excluded", account.excluded);
    print("  not seen", account.not_seen);
    std::printf("passages %zu\n", account.passages);
    print("  no animal's entry", account.no_animals);
    print("gaps", account.gaps);
    std::printf("vocal animals scored %zu, found %zu; silent ones taken for vocal %zu\n",
                account.vocal_scored, account.vocal_found, account.vocal_false);
    std::printf("digest %s\n", account.digest.c_str());
}

} // namespace

SoakResult soak(const SoakWish& wish) {
    const std::filesystem::path folder = wish.folder;
    const std::filesystem::path out = folder / "out";
    std::filesystem::remove_all(out);
    std::filesystem::remove(folder / "log");
    std::filesystem::create_directories(folder);
    const std::filesystem::path station_file = folder / "station.toml";
    RealFiles().write(folder / "secret", "0123456789abcdef0123456789abcdef\n");
    std::filesystem::permissions(folder / "secret", std::filesystem::perms::owner_read);
    RealFiles().write(station_file, station_text("http://127.0.0.1:9/alarms"));
    const StationSettings settings = read_station_file(station_file.string());

    std::vector<Reel> reels;
    for (const std::string& reel : wish.reels) reels.emplace_back(reel, settings);
    std::vector<Reel*> pointers;
    for (Reel& reel : reels) pointers.push_back(&reel);
    // A Monday, and a month in which the clocks go back.
    const std::int64_t zero_utc_ns = utc_from_text("2026-10-12T06:00:00Z").value();
    const Plan plan = make_plan(wish.plan, pointers, Schedule(settings.timezone, settings.shifts),
                                zero_utc_ns, settings.contacts.size());
    SoakPlant plant(plan, pointers, out, station_file, zero_utc_ns, wish.plan.seed);
    plant.set_station(station_text(plant.receiver().url()));

    std::printf("%zu animals, %zu faults, %zu runs of the daemon\n", plan.animals.size(), plan.faults.size(),
                plan.runs.size());
    std::fputs(kHeading, stdout);
    std::vector<Figures> days;
    plant.on_day_end = [&](std::size_t /*day*/) {
        plant.receiver().tidy();
        days.push_back(figures_now(plant.plant_clock().world_s() / 86400.0, out, folder / "log"));
        print_figures(days.back());
    };
    RunOptions options;
    options.station = station_file.string();
    options.out = out.string();
    options.log = (folder / "log").string();
    const auto begun = std::chrono::steady_clock::now();
    live(plan, plant, options);
    const double took_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();

    print_pace(plan, took_s);
    print_faults(plant);
    const Account account = account_of(plan, plant.sessions(), out / "records.db");
    print_account(account);
    const auto crashes =
        std::count_if(plan.runs.begin(), plan.runs.end(), [](const RunSpan& span) { return span.crash; });
    std::vector<std::string> wrong = account.unaccounted;
    FlatLimits limits;
    limits.clips_mb = most_clips_mb(pace_of(plan, took_s));
    for (const auto& more :
         {not_flat(days, limits), wrong_in_store(out / "records.db"),
          wrong_alarms(out, read_station_file(station_file.string()), plant, static_cast<int>(crashes))}) {
        wrong.insert(wrong.end(), more.begin(), more.end());
    }
    if (account.scored * 2 < account.animals)
        wrong.emplace_back("fewer than half of the animals were scored");
    return {std::move(wrong), account.digest};
}

} // namespace quietpass::soak
