#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "daemon/settings/station_file.h"
#include "tests/settings/station_texts.h"
#include "tests/test_folder.h"

using namespace quietpass;

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
        {"\"cattle\"", "\"cattle\\n\\u001b[2J\"", "s.toml:3: station.species: expected \"cattle\", \"pig\" or \"sheep\", found \"cattle\\n\\u001B[2J\""},
        {"\"cattle\"", "[\"cattle\"]", "s.toml:3: station.species: expected \"cattle\", \"pig\" or \"sheep\", found a list"},
        {"\"America/Denver\"", "\"America/Dever\"", "s.toml:4: station.timezone: expected the name of a time zone, like \"America/Denver\", found \"America/Dever\"; did you mean \"America/Denver\"?"},
        {"\"America/Denver\"", "\"the middle of nowhere\"", "s.toml:4: station.timezone: expected the name of a time zone, like \"America/Denver\", found \"the middle of nowhere\""},
        {"\"profiles/mine.toml\"", "true", "s.toml:5: station.profile: expected the path of a profile, found true"},
        {"profile =", "profil =", "s.toml:5: station.profil: unknown key; did you mean profile?"},
        {"profile =", "\"a\\nb\" =", "s.toml:5: station.a\\nb: unknown key; expected one of name, species, timezone, profile"},
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
        {"discrete/0", "digital/0", "s.toml:22: contact.input: expected modbus://host:port/unit/U/discrete/N (or …/coil/N, …/holding/N/bit/B, …/input/N/bit/B), found \"modbus://127.0.0.1:1502/unit/1/digital/0\""},
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
        {"limit_percent = 5\n", "limit_percnt = 5\n", "s.toml:35: scoring.limit_percent: is missing: expected a percentage from 0 to 100; is it meant by limit_percnt in line 36?"},
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
