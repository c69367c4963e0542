// What a check says of the folder with the records: its disk, who may read it, what is in it.

#include <sys/stat.h>

#include <catch2/catch.hpp>

#include "daemon/checks/computer.h"
#include "daemon/checks/evidence.h"
#include "daemon/records/utc_text.h"
#include "tests/records/made_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

const CheckLine& of(const CheckLines& lines, const std::string& what) {
    for (const CheckLine& line : lines) {
        if (line.what == what) return line;
    }
    FAIL("no line of " << what);
    return lines.front();
}

} // namespace

TEST_CASE("A disk with less free than the alarm's or the clips' bound is bad, before the alarm is raised") {
    const TestFolder folder;
    StationSettings settings;
    settings.alarms.disk_low_mb = 0.0;
    settings.clips.min_free_mb = 0.0;
    CHECK(check_disk(settings, folder.path()).at(0).state == CheckState::kGood);
    settings.clips.min_free_mb = 1e12;
    CHECK(check_disk(settings, folder.path()).at(0).to_do.find("no clip") != std::string::npos);
    settings.alarms.disk_low_mb = 1e12;
    CHECK(check_disk(settings, folder.path()).at(0).to_do.find("disk_low") != std::string::npos);
    CHECK(check_disk(settings, folder / "nowhere").at(0).state == CheckState::kBad);
}

TEST_CASE("Secrets that others may read and folders that anybody may write are bad") {
    const TestFolder folder;
    const StationSettings settings;
    CHECK(check_permissions(settings, folder.path()).at(0).state == CheckState::kGood);
    const std::string accounts = folder.write("users.db", "x");
    chmod(accounts.c_str(), 0640);
    const CheckLines lines = check_permissions(settings, folder.path());
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].state == CheckState::kBad);
    CHECK(lines[0].to_do == "chmod 600 " + accounts);
    chmod(accounts.c_str(), 0600);
    chmod(folder.path().c_str(), 0777);
    CHECK(check_permissions(settings, folder.path()).at(0).words.find("anybody") != std::string::npos);
}

TEST_CASE("The clock's line says how it is set, or that it can't be told") {
    const CheckLine line = check_clock().at(0);
    INFO(line.words);
    CHECK(line.what == "clock");
    CHECK(line.to_do.empty() == (line.state == CheckState::kGood));
}

TEST_CASE("Records are told with the ledger's length and signature; a microphone long unheard is bad") {
    const TestFolder folder;
    StationSettings settings;
    settings.microphones = {{.name = "head", .device = "", .up_race_m = {}, .reference = {}}};
    settings.contacts.resize(1);
    settings.contacts[0].role = Role::kStunned;
    settings.contacts[0].name = "gun";
    CHECK(of(check_records(settings, folder.path(), 0), "records").state == CheckState::kLook);
    const std::int64_t start_ns = *utc_from_text("2026-03-02T13:00:00Z");
    constexpr std::int64_t kMinute_ns = 60'000'000'000;
    {
        MadeStore made(folder / "records.db");
        const std::int64_t shift_id = made.shift("2026-03-02T13:00:00Z");
        made.add(3);
        MinuteRow row;
        row.shift_id = shift_id;
        row.minute.microphone = "head";
        row.minute.end_s = 60.0;
        row.minute.heard_s = 60.0;
        row.minute.worked_s = 60.0;
        row.minute.level_db = -31.0;
        row.utc = StationUtc{start_ns, 1e9};
        made.store().write(std::vector<StoreRow>{row});
    }
    const CheckLines records = check_records(settings, folder.path(), start_ns);
    CHECK(of(records, "records").state == CheckState::kGood);
    CHECK(of(records, "key").state == CheckState::kLook); // nothing signed yet
    const CheckLine heard =
        of(check_heard(settings, folder.path(), start_ns + 2 * kMinute_ns), "microphone head");
    CHECK(heard.state == CheckState::kGood);
    CHECK(heard.words == "-31 dB re full scale over its last minute");
    CHECK(of(check_heard(settings, folder.path(), start_ns + 10 * kMinute_ns), "microphone head").state ==
          CheckState::kBad);
    CHECK(of(check_heard(settings, folder.path(), start_ns), "contact gun").words.find("changed") !=
          std::string::npos);

    folder.write("records.db", "this is no store, it is some text that stands in its place");
    CHECK(of(check_records(settings, folder.path(), start_ns), "records").state == CheckState::kBad);
}
