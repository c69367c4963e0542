#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "daemon/settings/station_file.h"
#include "tests/settings/station_texts.h"
#include "tests/test_folder.h"

using namespace quietpass;

TEST_CASE("a whole station file is read key by key", "[settings]") {
    const TestFolder folder;
    const std::string path = folder.write("s.toml", kWhole);
    const StationSettings settings = read_station_file(path);
    CHECK(settings.file == path);
    CHECK(settings.name == "box-2");
    CHECK(settings.species == Species::kCattle);
    CHECK(settings.timezone == "America/Denver");
    CHECK(settings.profile == folder.path().string() + "/profiles/mine.toml");

    CHECK(settings.restraint.kind == RestraintKind::kBox);
    CHECK(settings.restraint.head_holder);
    CHECK(settings.restraint.at_stun_s == 0.5);
    CHECK(settings.restraint.shortest_s == 2.0);
    CHECK(settings.restraint.longest_s == 240.0);
    CHECK(settings.restraint.after_stun_s == 25.5);
    CHECK(settings.restraint.entry_before_s == 15.0);

    REQUIRE(settings.microphones.size() == 2);
    CHECK(settings.microphones[0].name == "head");
    CHECK(settings.microphones[0].device == "hw:CARD=USB");
    CHECK(settings.microphones[0].zone == MicrophoneZone::kStun);
    CHECK(settings.microphones[1].device.empty());
    CHECK(settings.microphones[1].zone == MicrophoneZone::kAll);

    REQUIRE(settings.contacts.size() == 2);
    CHECK(settings.contacts[0].role == Role::kEntered);
    CHECK(settings.contacts[0].name == "entered");
    CHECK(settings.contacts[0].input == "modbus://127.0.0.1:1502/unit/1/discrete/0");
    CHECK(settings.contacts[0].debounce_s == Approx(0.020));
    CHECK_FALSE(settings.contacts[0].inverted);
    CHECK(settings.contacts[1].role == Role::kStunned);
    CHECK(settings.contacts[1].name == "captive bolt");
    CHECK(settings.contacts[1].debounce_s == Approx(0.0075));
    CHECK(settings.contacts[1].inverted);
    CHECK(settings.contacts[1].stuck_after_s == 90.0);

    CHECK(settings.health.silent_below_db == -75.0);
    CHECK(settings.health.silent_after_s == 3.0);
    CHECK(settings.health.clipped_share == 0.2);
    CHECK(settings.scoring.limit_percent == 5.0);
    CHECK(settings.scoring.basis == "a guide, an edition");
    CHECK(settings.scoring.squeal_at_stun_limit_percent == 1.0);

    REQUIRE(settings.shifts.size() == 2);
    CHECK(settings.shifts[0].name == "early");
    CHECK(settings.shifts[0].start_minute == 360);
    CHECK(settings.shifts[0].end_minute == 870);
    CHECK(settings.shifts[0].weekdays == std::vector<unsigned>{0, 1});
    CHECK(settings.shifts[1].weekdays.empty());
}

TEST_CASE("a station file that says the least has the defaults for the rest", "[settings]") {
    const TestFolder folder;
    const StationSettings settings = read_station_file(folder.write("s.toml", kLeast));
    const StationSettings defaults;
    CHECK(settings.profile.empty());
    CHECK_FALSE(settings.microphones[0].reference);
    CHECK(settings.health.learn_minutes == defaults.health.learn_minutes);
    CHECK(settings.health.covered_loss_db == defaults.health.covered_loss_db);
    CHECK(settings.restraint.longest_s == defaults.restraint.longest_s);
    CHECK(settings.contacts[0].debounce_s == Approx(ContactSettings().debounce_s));
    CHECK(settings.contacts[0].stuck_after_s == ContactSettings().stuck_after_s);
    CHECK(settings.health.clipped_share == defaults.health.clipped_share);
    CHECK(settings.shifts.empty());
    CHECK(settings.breaks.empty());
    CHECK(settings.noises.equipment_after_s == defaults.noises.equipment_after_s);
}

TEST_CASE("a station file says what noises are the equipment's, and when breaks are", "[settings]") {
    const TestFolder folder;
    const StationSettings settings = read_station_file(
        folder.write("s.toml", kLeast + std::string("[noises]\nequipment_before_s = 0.5\n"
                                                    "equipment_after_s = 1.5\n"
                                                    "[[break]]\nname = \"noon\"\nstart = \"12:00\"\n"
                                                    "end = \"12:30\"\n")));
    CHECK(settings.noises.equipment_before_s == 0.5);
    CHECK(settings.noises.equipment_after_s == 1.5);
    REQUIRE(settings.breaks.size() == 1);
    CHECK(settings.breaks[0].name == "noon");
    CHECK(settings.breaks[0].end_minute == 750);
}

TEST_CASE("where microphones hang is read, and which of them share a clock", "[settings]") {
    const TestFolder folder;
    const std::string text = with(kLeast, "kind = \"box\"\n", "kind = \"box\"\nentrance_m = 2.5\n") +
                             "[[microphone]]\nname = \"a\"\ndevice = \"two\"\nup_race_m = -0.5\n"
                             "[[microphone]]\nname = \"b\"\ndevice = \"two\"\nup_race_m = 6\n"
                             "[[microphone]]\nname = \"c\"\ndevice = \"three\"\n";
    const StationSettings settings = read_station_file(folder.write("s.toml", text));
    CHECK(settings.restraint.entrance_m == 2.5);
    REQUIRE(settings.microphones.size() == 4);
    CHECK_FALSE(settings.microphones[0].up_race_m);
    CHECK(settings.microphones[1].up_race_m == -0.5);
    CHECK(settings.microphones[2].up_race_m == 6.0);
    CHECK(settings.microphones[0].clock != settings.microphones[1].clock);
    CHECK(settings.microphones[1].clock == settings.microphones[2].clock);
    CHECK(settings.microphones[2].clock != settings.microphones[3].clock);
    CHECK(failure_of(with(text, "up_race_m = 6", "up_race_m = 101")) ==
          "s.toml:22: microphone.up_race_m: expected a number of metres from -20 to 100, found 101");
    CHECK(failure_of(with(text, "up_race_m = 6", "up_race = 6")) ==
          "s.toml:22: microphone.up_race: unknown key; did you mean up_race_m?");
    CHECK(failure_of(with(text, "entrance_m = 2.5", "entrance_m = -1")) ==
          "s.toml:7: restraint.entrance_m: expected a number of metres from 0 to 50, found -1");
}

TEST_CASE("from when on a call is a waiting animal's is read, and has defaults", "[settings]") {
    const TestFolder folder;
    const WhoseCallSettings least = read_station_file(folder.write("s.toml", kLeast)).whose_call;
    CHECK(least.louder_at_entrance_db == 1.0);
    CHECK(least.louder_at_far_db == 3.0);
    CHECK(least.louder_alone_db == 6.0);
    CHECK(least.delay_over_noise == 4.0);
    CHECK(least.delay_over_rival == 1.3);
    CHECK(least.beyond_middle_m == 0.35);
    CHECK(least.beyond_entrance_m == 1.0);
    CHECK(least.apart_m == 2.0);

    const std::string text = kLeast +
                             "[whose_call]\n"
                             "louder_at_entrance_db = 2\nlouder_at_far_db = 4\nlouder_alone_db = 9\n"
                             "delay_over_noise = 5\ndelay_over_rival = 1.5\nbeyond_middle_m = 0.5\n"
                             "beyond_entrance_m = 1.5\napart_m = 3\n";
    const WhoseCallSettings all = read_station_file(folder.write("t.toml", text)).whose_call;
    CHECK(all.louder_at_entrance_db == 2.0);
    CHECK(all.louder_at_far_db == 4.0);
    CHECK(all.louder_alone_db == 9.0);
    CHECK(all.delay_over_noise == 5.0);
    CHECK(all.delay_over_rival == 1.5);
    CHECK(all.beyond_middle_m == 0.5);
    CHECK(all.beyond_entrance_m == 1.5);
    CHECK(all.apart_m == 3.0);

    // clang-format off
    const Mistake mistakes[] = {
        {"entrance_db = 2", "entrance_db = -1", "s.toml:15: whose_call.louder_at_entrance_db: expected a number of decibels from 0 to 60, found -1"},
        {"far_db = 4", "far_db = 1.5", "s.toml:16: whose_call.louder_at_far_db: expected louder_at_far_db to be at least louder_at_entrance_db, found 1.5 and 2"},
        {"alone_db = 9", "alone_db = 3", "s.toml:17: whose_call.louder_alone_db: expected louder_alone_db to be at least louder_at_far_db, found 3 and 4"},
        {"louder_at_far_db = 4\nlouder_alone_db = 9", "louder_at_far_db = 8", "s.toml:16: whose_call.louder_at_far_db: expected louder_alone_db to be at least louder_at_far_db, found 6 and 8; give louder_alone_db too"},
        {"noise = 5", "noise = 0.5", "s.toml:18: whose_call.delay_over_noise: expected a number of times from 1 to 100, found 0.5"},
        {"rival = 1.5", "rival = \"no\"", "s.toml:19: whose_call.delay_over_rival: expected a number of times from 1 to 100, found \"no\""},
        {"middle_m = 0.5", "middle_m = 11", "s.toml:20: whose_call.beyond_middle_m: expected a number of metres from 0 to 10, found 11"},
        {"beyond_entrance_m = 1.5", "beyond_entrance_m = 51", "s.toml:21: whose_call.beyond_entrance_m: expected a number of metres from 0 to 50, found 51"},
        {"apart_m = 3", "apart_m = 0", "s.toml:22: whose_call.apart_m: expected a number of metres from 0.5 to 50, found 0"},
        {"apart_m = 3", "apart = 3", "s.toml:22: whose_call.apart: unknown key; did you mean apart_m?"},
    };
    // clang-format on
    for (const Mistake& mistake : mistakes)
        CHECK(failure_of(with(text, mistake.from, mistake.to)) == mistake.message);
}

TEST_CASE("a station of sheep needs no scoring table", "[settings]") {
    const TestFolder folder;
    const std::string sheep = with(kLeast, "cattle", "sheep");
    CHECK(read_station_file(folder.write("s.toml", sheep.substr(0, sheep.find("[scoring]")))).species ==
          Species::kSheep);
}

TEST_CASE("several prods may be wired one by one", "[settings]") {
    const TestFolder folder;
    const std::string text = kLeast + "[[contact]]\nrole = \"prodded\"\nname = \"left prod\"\n" +
                             "[[contact]]\nrole = \"prodded\"\nname = \"right prod\"\n";
    CHECK(read_station_file(folder.write("s.toml", text)).contacts.size() == 3);
}

TEST_CASE("the hash is the SHA-256 of the file's bytes", "[settings]") {
    // Computed with sha256sum (coreutils 9.1).
    const TestFolder folder;
    CHECK(read_station_file(folder.write("s.toml", kLeast)).sha256 ==
          "7f9fa09abf809aedede2907102cb472faaba65a412b51f471b2b4e7919405ed3");
}

TEST_CASE("a microphone's sensitivity and the limits of its health are settings", "[settings]") {
    const TestFolder folder;
    const std::string given = with(
        with(kWhole, "device = \"hw:CARD=USB\"", "sensitivity_db_spl_fs = 118.5"), "clipped_share = 0.2",
        "work_s = 90\nlearn_minutes = 20\nhistory_hours = 4\nfault_after_s = 45\nhum_over_rest_db = 1\n"
        "hum_rise_db = 2\nwind_over_rest_db = 3\nwind_rise_db = 4\ncovered_loss_db = 5\nlevel_far_db = 6\n"
        "calibration_drift_db = 0.7");
    const StationSettings settings = read_station_file(folder.write("s.toml", given));
    REQUIRE(settings.microphones[0].reference);
    CHECK(settings.microphones[0].reference->sensitivity_db_spl_fs == 118.5);
    CHECK(settings.microphones[0].reference->calibrated_at.empty());
    CHECK_FALSE(settings.microphones[1].reference);
    const HealthSettings& health = settings.health;
    CHECK(health.work_s == 90.0);
    CHECK(health.learn_minutes == 20.0);
    CHECK(health.history_hours == 4.0);
    CHECK(health.fault_after_s == 45.0);
    CHECK(health.hum_over_rest_db == 1.0);
    CHECK(health.hum_rise_db == 2.0);
    CHECK(health.wind_over_rest_db == 3.0);
    CHECK(health.wind_rise_db == 4.0);
    CHECK(health.covered_loss_db == 5.0);
    CHECK(health.level_far_db == 6.0);
    CHECK(health.calibration_drift_db == 0.7);
    CHECK(failure_of(with(kWhole, "device = \"hw:CARD=USB\"", "sensitivity_db_spl_fs = 12")) ==
          "s.toml:16: microphone.sensitivity_db_spl_fs: expected a number of decibels from 40 to 220, found "
          "12");
    CHECK(failure_of(with(kWhole, "clipped_share = 0.2", "fault_after_s = 300")) ==
          "s.toml:34: health.fault_after_s: expected a number of seconds from 5 to 110, found 300");
}
