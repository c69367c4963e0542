#include "daemon/settings/station_file.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "daemon/failure.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

// What reading this text fails with; the folder's path is left out.
std::string failure_of(const std::string& text) {
    const TestFolder folder;
    const std::string path = folder.write("s.toml", text);
    try {
        read_station_file(path);
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitUsage);
        const std::string what = failure.what();
        CHECK(what.find('\n') == std::string::npos);
        REQUIRE(what.starts_with(path));
        return what.substr(folder.path().string().size() + 1);
    }
    return "no failure";
}

// The whole of a station, a line a key; line numbers below count in it.
const std::string kWhole = R"([station]
name = "box-2"
species = "cattle"
timezone = "America/Denver"
profile = "profiles/mine.toml"
[restraint]
kind = "box"
head_holder = true
at_stun_s = 0.5
shortest_s = 2
longest_s = 240
after_stun_s = 25.5
entry_before_s = 15
[[microphone]]
name = "head"
device = "hw:CARD=USB"
zone = "stun"
[[microphone]]
name = "race"
[[contact]]
role = "entered"
input = "modbus://127.0.0.1:1502/unit/1/discrete/0"
debounce_ms = 20
[[contact]]
role = "stunned"
name = "captive bolt"
input = "modbus://plc.example:502/unit/7/coil/12"
debounce_ms = 7.5
inverted = true
stuck_after_s = 90
[health]
silent_below_db = -75
silent_after_s = 3
clipped_share = 0.2
[scoring]
limit_percent = 5
basis = "a guide, an edition"
[[shift]]
name = "early"
start = "06:00"
end = "14:30"
days = ["mon", "sun"]
[[shift]]
name = "late"
start = "22:00"
end = "06:00"
)";

// The least a station can say.
const std::string kLeast = R"([station]
name = "box-2"
species = "cattle"
timezone = "UTC"
[restraint]
kind = "box"
[[microphone]]
name = "head"
[[contact]]
role = "entered"
[scoring]
limit_percent = 5.0
basis = "a guide, an edition"
)";

std::string with(std::string text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

struct Mistake {
    const char* from;
    const char* to;
    const char* message;
};

} // namespace

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

TEST_CASE("each mistake in a station file is named with its line, its key and what was expected",
          "[settings]") {
    // clang-format off
    const Mistake mistakes[] = {
        {"name = \"box-2\"\n", "", "s.toml:1: station.name: is missing: expected a name of the station"},
        {"\"box-2\"", "\"\"", "s.toml:2: station.name: expected a name of the station, found \"\""},
        {"\"box-2\"", "2", "s.toml:2: station.name: expected a name of the station, found 2"},
        {"\"box-2\"", "\"a,b\"", "s.toml:2: station.name: expected a name without commas and quotes, found \"a,b\""},
        {"\"box-2\"", "\"a\\nb\"", "s.toml:2: station.name: expected a name of the station, found a line break or a control character in it"},
        {"species = \"cattle\"\n", "", "s.toml:1: station.species: is missing: expected \"cattle\", \"pig\" or \"sheep\""},
        {"\"cattle\"", "\"goat\"", "s.toml:3: station.species: expected \"cattle\", \"pig\" or \"sheep\", found \"goat\""},
        {"\"cattle\"", "\"catle\"", "s.toml:3: station.species: expected \"cattle\", \"pig\" or \"sheep\", found \"catle\"; did you mean \"cattle\"?"},
        {"\"cattle\"", "[\"cattle\"]", "s.toml:3: station.species: expected \"cattle\", \"pig\" or \"sheep\", found a list"},
        {"\"America/Denver\"", "\"America/Dever\"", "s.toml:4: station.timezone: expected the name of a time zone, like \"America/Denver\", found \"America/Dever\"; did you mean \"America/Denver\"?"},
        {"\"America/Denver\"", "\"the middle of nowhere\"", "s.toml:4: station.timezone: expected the name of a time zone, like \"America/Denver\", found \"the middle of nowhere\""},
        {"\"profiles/mine.toml\"", "true", "s.toml:5: station.profile: expected the path of a profile, found true"},
        {"profile =", "profil =", "s.toml:5: station.profil: unknown key; did you mean profile?"},
        {"profile =", "colour =", "s.toml:5: station.colour: unknown key; expected one of name, species, timezone, profile"},
        {"[restraint]", "[restrain]", "s.toml:6: restrain: unknown key; did you mean restraint?"},
        {"kind = \"box\"\n", "", "s.toml:6: restraint.kind: is missing: expected \"box\" or \"conveyor\""},
        {"\"box\"", "\"crate\"", "s.toml:7: restraint.kind: expected \"box\" or \"conveyor\", found \"crate\""},
        {"= true", "= \"yes\"", "s.toml:8: restraint.head_holder: expected true or false, found \"yes\""},
        {"at_stun_s = 0.5", "at_stun_s = -0.5", "s.toml:9: restraint.at_stun_s: expected a number of seconds from 0 to 60, found -0.5"},
        {"at_stun_s = 0.5", "at_stun_s = \"0.5\"", "s.toml:9: restraint.at_stun_s: expected a number of seconds from 0 to 60, found \"0.5\""},
        {"at_stun_s = 0.5", "at_stun_s = nan", "s.toml:9: restraint.at_stun_s: expected a number of seconds from 0 to 60, found nan"},
        {"at_stun_s = 0.5", "at_stun_s = inf", "s.toml:9: restraint.at_stun_s: expected a number of seconds from 0 to 60, found inf"},
        {"at_stun_s = 0.5", "at_stun_s = 1979-05-27", "s.toml:9: restraint.at_stun_s: expected a number of seconds from 0 to 60, found a date or time"},
        {"at_stun_s", "at_stun_ms", "s.toml:9: restraint.at_stun_ms: unknown key; did you mean at_stun_s?"},
        {"shortest_s = 2", "shortest_s = -1", "s.toml:10: restraint.shortest_s: expected a number of seconds from 0 to 3600, found -1"},
        {"longest_s = 240", "longest_s = 2", "s.toml:11: restraint.longest_s: expected a number of seconds above 2 and up to 86400, found 2"},
        {"shortest_s = 2\nlongest_s = 240", "shortest_s = 400", "s.toml:10: restraint.shortest_s: expected a longest_s above it to be given too"},
        {"after_stun_s = 25.5", "after_stun_s = -1", "s.toml:12: restraint.after_stun_s: expected a number of seconds from 0 to 3600, found -1"},
        {"entry_before_s = 15", "entry_before_s = 1e9", "s.toml:13: restraint.entry_before_s: expected a number of seconds from 0 to 3600, found 1e+09"},
        {"name = \"head\"\n", "", "s.toml:14: microphone.name: is missing: expected a name of the microphone"},
        {"[[microphone]]", "[microphones]", "s.toml:14: microphones: unknown key; did you mean microphone?"},
        {"\"hw:CARD=USB\"", "3", "s.toml:16: microphone.device: expected the name of a device, as `quietpass devices` lists them, found 3"},
        {"\"stun\"", "\"stunned\"", "s.toml:17: microphone.zone: expected \"all\", \"entry\" or \"stun\", found \"stunned\""},
        {"\"race\"", "\"head\"", "s.toml:19: microphone.name: a second microphone named \"head\""},
        {"role = \"entered\"\n", "", "s.toml:20: contact.role: is missing: expected \"entered\", \"body_held\", \"held\", \"stunned\", \"cut\", \"released\", \"prodded\" or \"stopped\""},
        {"\"entered\"", "\"enterd\"", "s.toml:21: contact.role: expected \"entered\", \"body_held\", \"held\", \"stunned\", \"cut\", \"released\", \"prodded\" or \"stopped\", found \"enterd\"; did you mean \"entered\"?"},
        {"discrete/0", "digital/0", "s.toml:22: contact.input: expected modbus://host:port/unit/U/discrete/N (or …/coil/N), found \"modbus://127.0.0.1:1502/unit/1/digital/0\""},
        {"debounce_ms = 20", "debounce_ms = 5001", "s.toml:23: contact.debounce_ms: expected a number of milliseconds from 0 to 5000, found 5001"},
        {"debounce_ms = 20", "debounce = 20", "s.toml:23: contact.debounce: unknown key; did you mean debounce_ms?"},
        {"\"stunned\"", "\"entered\"", "s.toml:25: contact.role: a second contact of role \"entered\"; only prodded may be there several times"},
        {"\"captive bolt\"", "\"entered\"", "s.toml:26: contact.name: a second contact named \"entered\"; give each a name of its own"},
        {"\"captive bolt\"", "\"held\"", "s.toml:26: contact.name: expected a name that is no other role, found \"held\""},
        {"plc.example:502/unit/7/coil/12", "127.0.0.1:1502/unit/1/discrete/0", "s.toml:27: contact.input: is the input of contact \"entered\" already"},
        {"inverted = true", "inverted = 1", "s.toml:29: contact.inverted: expected true or false, found 1"},
        {"stuck_after_s = 90", "stuck_after_s = 0", "s.toml:30: contact.stuck_after_s: expected a number of seconds above 0 and up to 604800, found 0"},
        {"silent_below_db = -75", "silent_below_db = 75", "s.toml:32: health.silent_below_db: expected a number of decibels from -200 to 0, found 75"},
        {"silent_after_s = 3", "silent_after_s = 0", "s.toml:33: health.silent_after_s: expected a number of seconds above 0 and up to 3600, found 0"},
        {"clipped_share = 0.2", "clipped_share = 20", "s.toml:34: health.clipped_share: expected a share above 0 and up to 1, found 20"},
        {"limit_percent = 5", "limit_percent = 101", "s.toml:36: scoring.limit_percent: expected a percentage from 0 to 100, found 101"},
        {"limit_percent = 5", "limit_percent = -1", "s.toml:36: scoring.limit_percent: expected a percentage from 0 to 100, found -1"},
        {"limit_percent = 5\n", "", "s.toml:35: scoring.limit_percent: is missing: expected a percentage from 0 to 100"},
        {"basis = \"a guide, an edition\"\n", "", "s.toml:35: scoring.basis: is missing: expected the guide and edition that the limit is taken from"},
        {"\"06:00\"", "\"6:00\"", "s.toml:40: shift.start: expected a local time from \"00:00\" to \"23:59\", found \"6:00\""},
        {"\"14:30\"", "\"24:00\"", "s.toml:41: shift.end: expected a local time from \"00:00\" to \"23:59\", found \"24:00\""},
        {"\"14:30\"", "14:30:00", "s.toml:41: shift.end: expected a local time from \"00:00\" to \"23:59\", found a date or time"},
        {"[\"mon\", \"sun\"]", "[\"Monday\"]", "s.toml:42: shift.days: expected \"sun\", \"mon\", \"tue\", \"wed\", \"thu\", \"fri\" or \"sat\", found \"Monday\""},
        {"[\"mon\", \"sun\"]", "[\"mon\", \"mon\"]", "s.toml:42: shift.days: expected each once, found \"mon\" twice"},
        {"[\"mon\", \"sun\"]", "[]", "s.toml:42: shift.days: expected a list of \"sun\", \"mon\", \"tue\", \"wed\", \"thu\", \"fri\" or \"sat\", found a list"},
        {"\"late\"", "\"early\"", "s.toml:44: shift.name: a second shift named \"early\""},
        {"\"22:00\"", "\"14:29\"", "s.toml:45: shift.start: shift \"late\" overlaps with shift \"early\""},
    };
    // clang-format on
    for (const Mistake& mistake : mistakes) {
        INFO(mistake.from << " → " << mistake.to);
        CHECK(failure_of(with(kWhole, mistake.from, mistake.to)) == mistake.message);
    }
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

TEST_CASE("what a station file lacks as a whole is named", "[settings]") {
    const Mistake mistakes[] = {
        {"[restraint]\nkind = \"box\"\n", "", "s.toml: [restraint] is missing: expected a table with kind"},
        {"[[microphone]]\nname = \"head\"\n", "",
         "s.toml: [[microphone]] is missing: expected one or more, each with a name"},
        {"[scoring]\nlimit_percent = 5.0\nbasis = \"a guide, an edition\"\n", "",
         "s.toml: [scoring] is missing: expected a table with limit_percent and basis"},
        {"\"entered\"", "\"held\"",
         "s.toml: [[contact]] is missing: expected one of role \"entered\", \"stunned\" or \"cut\", without "
         "which no "
         "passage can be seen"},
        {"\"entered\"", "\"stunned\"\n[[contact]]\nrole = \"cut\"",
         "s.toml:12: contact.role: expected either \"stunned\" or \"cut\", found both: \"cut\" takes its "
         "place where "
         "the cut comes without stunning"},
        {"[restraint]\n", "[[restraint]]\n",
         "s.toml:5: restraint: expected a table, written [restraint], found a list"},
        {"[[contact]]\n", "[contact]\n",
         "s.toml:9: contact: expected a list of tables, each written [[contact]], found a table"},
    };
    for (const Mistake& mistake : mistakes) {
        INFO(mistake.from << " → " << mistake.to);
        CHECK(failure_of(with(kLeast, mistake.from, mistake.to)) == mistake.message);
    }
    CHECK(failure_of("") == "s.toml: [station] is missing: expected a table with name, species and timezone");
}

TEST_CASE("a file that is not TOML is named with the line where it stops being so", "[settings]") {
    CHECK(failure_of("[station]\nname = box-2\n").starts_with("s.toml:2: not TOML: "));
    CHECK(failure_of("[station]\nname = \"a\"\nname = \"b\"\n").starts_with("s.toml:3: not TOML: "));
    CHECK(failure_of(std::string("RIFF\0\0\0\0WAVE", 12)).starts_with("s.toml:1: not TOML: "));
    CHECK(failure_of("[station]\nname = \"\xff\"\n").starts_with("s.toml:2: not TOML: "));
}

TEST_CASE("a station file that is not there, or is a folder, is named", "[settings]") {
    const TestFolder folder;
    CHECK_THROWS_WITH(read_station_file(folder.path().string() + "/none.toml"),
                      folder.path().string() +
                          "/none.toml: can't be opened (No such file or directory); give the path of a "
                          "station file, see deploy/station.md");
    CHECK_THROWS_WITH(read_station_file(folder.path()),
                      folder.path().string() + ": is a folder; give the path of a station file");
}
