// The computer in trouble around the daemon: no processor, no file handles, a store that another process
// holds, a microphone that says nothing any more. What was heard stays counted, what was not is a gap that
// says so.

#include <signal.h>
#include <sys/resource.h>

#include <SQLiteCpp/SQLiteCpp.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <thread>

#include "daemon/records/store.h"
#include "tests/end_to_end/plant.h"
#include "tests/web/http_client.h"
#include "tests/web/raw_socket.h"

using namespace quietpass::test;

namespace {

// Late edges of a busy machine, eight times as late here.
constexpr double kNear_s = 1.0;

// Entries of the shift that is played, seconds.
std::vector<double> entries_of(const std::string& shift) {
    std::vector<double> entries_s;
    for (const std::string& line : lines_of(text_of(made_shift(shift) / "truth.csv"))) {
        if (std::isdigit(static_cast<unsigned char>(line[0])) != 0)
            entries_s.push_back(std::stod(line.substr(line.find(',') + 1)));
    }
    return entries_s;
}

std::vector<quietpass::Passage> passages_of(const Plant& plant) {
    const quietpass::Store store(plant.folder / "out" / "records.db");
    std::vector<quietpass::Passage> all;
    for (const auto& shift : store.shifts()) {
        const auto rows = store.read_shift(shift.shift_id);
        if (rows) all.insert(all.end(), rows->passages.begin(), rows->passages.end());
    }
    return all;
}

// Each animal of the truth up to until_s is there once, scored or left out with its reason, and nobody else;
// but one that came while the contacts were not known, which a gap says.
void all_accounted_for(const Plant& plant, double until_s) {
    const quietpass::Store store(plant.folder / "out" / "records.db");
    REQUIRE(store.shifts().size() == 1);
    const auto rows = store.read_shift(store.shifts()[0].shift_id);
    REQUIRE(rows);
    const auto unknown = [&](double time_s) {
        return std::any_of(rows->gaps.begin(), rows->gaps.end(), [&](const auto& gap) {
            return gap.cause == quietpass::GapCause::kContactsLost && gap.start_s - kNear_s < time_s &&
                   time_s < gap.end_s + kNear_s;
        });
    };
    std::string seen;
    for (const auto& passage : rows->passages)
        seen += " " + std::to_string(passage.entered_s) + " " + passage.excluded;
    for (const auto& gap : rows->gaps) {
        seen += " [" + std::string(name_of(gap.cause)) + " " + std::to_string(gap.start_s) + " " +
                std::to_string(gap.end_s) + "]";
    }
    std::size_t known = 0;
    for (const double entered_s : entries_of("short")) {
        if (entered_s > until_s || unknown(entered_s)) continue;
        ++known;
        const auto here = std::count_if(
            rows->passages.begin(), rows->passages.end(),
            [&](const auto& passage) { return std::abs(passage.entered_s - entered_s) < kNear_s; });
        INFO("the animal that entered at " << entered_s << " s; seen:" << seen);
        CHECK(here == 1);
    }
    CHECK(known >= 2);
    for (const auto& passage : rows->passages) {
        if (!passage.covered) CHECK_FALSE(passage.excluded.empty());
    }
}

std::string edges_written(const Plant& plant) {
    std::string text;
    std::error_code none;
    for (const auto& entry : std::filesystem::directory_iterator(plant.folder / "out", none)) {
        if (entry.path().extension() == ".csv") text += text_of(entry.path());
    }
    return text;
}

double not_heard_s(const Plant& plant) {
    double sum_s = 0.0;
    const auto record = plant.shift_record();
    for (const auto& [cause, seconds] : record["microphones"][0]["not_heard_s"].items())
        sum_s += seconds.get<double>();
    return sum_s;
}

} // namespace

// In real time, for how late things come is the matter here.
TEST_CASE(
    "A daemon that got no processor for half a minute states what it missed, and is right again at once") {
    const Plant plant("", {}, "short", "1");
    Background daemon(plant.run_words("66"), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return edges_written(plant).find("entered,1") != std::string::npos; }));
    daemon.signal(SIGSTOP);
    // Nothing that could be awaited happens meanwhile.
    std::this_thread::sleep_for(std::chrono::seconds(30));
    daemon.signal(SIGCONT);
    CHECK(daemon.wait() == 0);
    INFO(daemon.err() << plant.log());
    all_accounted_for(plant, 62.0);
    CHECK(not_heard_s(plant) < 32.0);
    // The animals that were in while nobody read the contacts are not scored.
    const auto passages = passages_of(plant);
    CHECK(plant.shift_record()["passages"] == passages.size());
    const auto lost = std::count_if(passages.begin(), passages.end(),
                                    [](const auto& passage) { return passage.excluded == "contacts_lost"; });
    CHECK(lost >= 1);
    CHECK(lost <= 2);
}

TEST_CASE("A microphone whose callbacks stop without a word is opened anew; what was not heard is a gap") {
    // From second 30 on nothing comes for four, then all of it at once.
    const Plant plant("stall 1440000 4", {}, "short", "1");
    const Outcome outcome = run_program(plant.run_words("66"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    CHECK(plant.log().find("sound is lost") != std::string::npos);
    CHECK(plant.log().find("heard again after") != std::string::npos);
    all_accounted_for(plant, 62.0);
    CHECK(not_heard_s(plant) > 1.0);
    CHECK(not_heard_s(plant) < 9.0); // back within five seconds
}

TEST_CASE("While another process holds the store animals are counted, and written when it is free again") {
    const Plant plant;
    Background daemon(plant.run_words("99"), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 1; }));
    {
        SQLite::Database other((plant.folder / "out" / "records.db").string(), SQLite::OPEN_READWRITE,
                               10'000);
        other.exec("BEGIN IMMEDIATE");
        const std::size_t shown = Plant::passages_shown(daemon);
        CHECK(wait_until([&] { return Plant::passages_shown(daemon) > shown; }));
        other.exec("ROLLBACK");
    }
    CHECK(daemon.wait() == 0);
    INFO(daemon.err() << plant.log());
    all_accounted_for(plant, 80.0);
    const quietpass::Store store(plant.folder / "out" / "records.db");
    CHECK(store.integrity_errors().empty());
    CHECK(plant.shift_record()["passages"] == passages_of(plant).size());
}

TEST_CASE(
    "Out of file handles the page turns clients away, counting goes on, and the page is back afterwards") {
    const Plant plant;
    write_text(plant.folder / "station.toml",
               text_of(plant.folder / "station.toml") + "\n[page]\nport = 0\n");
    Background daemon(plant.run_words("99"), plant.environment(), plant.folder / "o", plant.folder / "e");
    const std::string mark = "page: http://127.0.0.1:";
    REQUIRE(wait_until([&] { return plant.log().find(mark) != std::string::npos; }));
    const int port = std::stoi(plant.log().substr(plant.log().find(mark) + mark.size()));
    HttpClient client("http://127.0.0.1:" + std::to_string(port));
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 1; }));
    CHECK(client.get("/healthz").status == 200);

    const std::filesystem::directory_iterator handles("/proc/" + std::to_string(daemon.pid()) + "/fd");
    const auto open = static_cast<rlim_t>(std::distance(begin(handles), end(handles)));
    rlimit files{};
    REQUIRE(prlimit(daemon.pid(), RLIMIT_NOFILE, nullptr, &files) == 0);
    const rlim_t before = files.rlim_cur;
    files.rlim_cur = open + 1;
    REQUIRE(prlimit(daemon.pid(), RLIMIT_NOFILE, &files, nullptr) == 0);
    std::vector<std::unique_ptr<RawSocket>> many;
    for (int i = 0; i < 20; ++i) many.push_back(std::make_unique<RawSocket>(port));
    const std::size_t shown = Plant::passages_shown(daemon);
    CHECK(wait_until([&] { return Plant::passages_shown(daemon) > shown; }));
    many.clear();
    files.rlim_cur = before;
    REQUIRE(prlimit(daemon.pid(), RLIMIT_NOFILE, &files, nullptr) == 0);
    CHECK(wait_until([&] { return client.get("/healthz").status == 200; }));
    CHECK(daemon.wait() == 0);
    INFO(daemon.err() << plant.log());
    all_accounted_for(plant, 80.0);
    CHECK(not_heard_s(plant) == 0.0);
}
