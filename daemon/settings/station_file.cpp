#include "daemon/settings/station_file.h"

#include <date/tz.h>
#include <sodium.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <limits>
#include <sstream>

#include "classifiers/toml_text.h"
#include "daemon/contacts/contact_address.h"
#include "daemon/failure.h"
#include "daemon/settings/alarms_table.h"
#include "daemon/settings/clips_table.h"
#include "daemon/settings/delivery_tables.h"
#include "daemon/settings/health_table.h"
#include "daemon/settings/hours_table.h"
#include "daemon/settings/near_miss.h"
#include "daemon/settings/page_table.h"
#include "daemon/settings/shift_overlap.h"
#include "daemon/settings/strict_table.h"

namespace quietpass {

namespace {

constexpr double kDayS = 86400.0;
constexpr std::string_view kSeconds = "a number of seconds";
constexpr std::string_view kMetres = "a number of metres";
constexpr std::string_view kDecibels = "a number of decibels";

std::string bytes_of(const std::string& path) {
    if (std::filesystem::is_directory(path)) {
        throw Failure(kExitUsage, path + ": is a folder; give the path of a station file");
    }
    std::ifstream file(path, std::ios::binary);
    std::ostringstream bytes;
    if (file) bytes << file.rdbuf();
    if (!file) {
        throw Failure(kExitUsage, path + ": can't be opened (" + std::strerror(errno) +
                                      "); give the path of a station file, see deploy/station.md");
    }
    return bytes.str();
}

std::string sha256_of(const std::string& bytes) {
    std::array<unsigned char, crypto_hash_sha256_BYTES> hash{};
    crypto_hash_sha256(hash.data(), reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
    std::array<char, 2 * crypto_hash_sha256_BYTES + 1> hex{};
    sodium_bin2hex(hex.data(), hex.size(), hash.data(), hash.size());
    return hex.data();
}

toml::table parsed(const std::string& bytes, const std::string& path) {
    try {
        return toml_from(bytes, path);
    } catch (const toml::parse_error& error) {
        std::string what(error.description());
        std::replace(what.begin(), what.end(), '\n', ' ');
        throw Failure(kExitUsage,
                      path + ":" + std::to_string(error.source().begin.line) + ": not TOML: " + what);
    }
}

std::string six_digits(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%.6g", value);
    return text;
}

// Names stand in CSV files, in lists and in log lines.
std::string plain_name(StrictTable& table, std::string_view key, const std::string& name) {
    if (name.find_first_of(",\"'") != std::string::npos) {
        table.fail(key, "expected a name without commas and quotes, found \"" + name + "\"");
    }
    return name;
}

std::string checked_zone(StrictTable& station) {
    const std::string name = station.text("timezone", "the name of a time zone, like \"America/Denver\"");
    try {
        date::locate_zone(name);
        return name;
    } catch (const std::runtime_error&) {
    }
    std::vector<std::string_view> zones;
    try {
        for (const date::time_zone& zone : date::get_tzdb().zones) zones.push_back(zone.name());
    } catch (const std::runtime_error&) {
        station.fail("timezone", "no time zones on this machine; install tzdata");
    }
    const auto meant = near_miss(name, zones);
    station.fail("timezone", "expected the name of a time zone, like \"America/Denver\", found \"" + name +
                                 "\"" + (meant ? "; did you mean \"" + std::string(*meant) + "\"?" : ""));
}

void read_station(StrictTable& table, StationSettings& settings) {
    settings.name = plain_name(table, "name", table.text("name", "a name of the station"));
    constexpr std::array kSpecies = {Species::kCattle, Species::kPig, Species::kSheep};
    settings.species = kSpecies[table.word("species", {"cattle", "pig", "sheep"})];
    settings.timezone = checked_zone(table);
    const std::filesystem::path profile = table.text_or("profile", "the path of a profile", "");
    if (!profile.empty()) {
        settings.profile = (std::filesystem::path(settings.file).parent_path() / profile).lexically_normal();
    }
    table.finish();
}

void read_restraint(StrictTable& table, RestraintSettings& restraint) {
    restraint.kind =
        table.word("kind", {"box", "conveyor"}) == 0 ? RestraintKind::kBox : RestraintKind::kConveyor;
    restraint.head_holder = table.flag_or("head_holder", restraint.head_holder);
    restraint.entrance_m = table.number_or("entrance_m", {0.0, 50.0, kMetres}, restraint.entrance_m);
    restraint.at_stun_s = table.number_or("at_stun_s", {0.0, 60.0, kSeconds}, restraint.at_stun_s);
    restraint.shortest_s = table.number_or("shortest_s", {0.0, 3600.0, kSeconds}, restraint.shortest_s);
    restraint.longest_s =
        table.number_or("longest_s", {restraint.shortest_s, kDayS, kSeconds, true}, restraint.longest_s);
    if (restraint.longest_s <= restraint.shortest_s) {
        table.fail("shortest_s", "expected a longest_s above it to be given too");
    }
    restraint.after_stun_s = table.number_or("after_stun_s", {0.0, 3600.0, kSeconds}, restraint.after_stun_s);
    restraint.entry_before_s =
        table.number_or("entry_before_s", {0.0, 3600.0, kSeconds}, restraint.entry_before_s);
    table.finish();
}

void read_microphone(StrictTable& table, StationSettings& settings) {
    MicrophoneSettings microphone;
    microphone.name = plain_name(table, "name", table.text("name", "a name of the microphone"));
    for (const MicrophoneSettings& other : settings.microphones) {
        if (other.name == microphone.name)
            table.fail("name", "a second microphone named \"" + other.name + "\"");
    }
    microphone.device =
        table.text_or("device", "the name of a device, as `quietpass devices` lists them", microphone.device);
    constexpr std::array kZones = {MicrophoneZone::kAll, MicrophoneZone::kEntry, MicrophoneZone::kStun};
    microphone.zone = kZones[table.word_or("zone", {"all", "entry", "stun"}, 0)];
    const double up_race_m =
        table.number_or("up_race_m", {-20.0, 100.0, kMetres}, std::numeric_limits<double>::quiet_NaN());
    if (!std::isnan(up_race_m)) microphone.up_race_m = up_race_m;
    if (table.has("sensitivity_db_spl_fs")) {
        LevelReference& reference = microphone.reference.emplace();
        reference.sensitivity_db_spl_fs = table.number("sensitivity_db_spl_fs", {40.0, 220.0, kDecibels});
    }
    table.finish();
    // Microphones in a row on one device are its channels.
    if (!settings.microphones.empty()) {
        const MicrophoneSettings& before = settings.microphones.back();
        const bool same = !microphone.device.empty() && microphone.device == before.device;
        microphone.clock = before.clock + (same ? 0 : 1);
    }
    settings.microphones.push_back(microphone);
}

// How one comes in at the contact's broker.
void read_broker_files(StrictTable& table, const StationSettings& settings, ContactSettings& contact) {
    const auto beside = [&settings](const std::filesystem::path& file) {
        if (file.empty()) return std::string();
        return (std::filesystem::path(settings.file).parent_path() / file).lexically_normal().string();
    };
    const auto broker = mqtt_address_from(contact.input);
    contact.login_file = beside(table.text_or("login_file", "the path of a file with user and password", ""));
    if (!contact.login_file.empty() && !broker) {
        table.fail("login_file", "expected an input that begins with mqtt:// or mqtts:// with it");
    }
    contact.ca_file = beside(table.text_or("ca_file", "the path of a file with certificates (PEM)", ""));
    if (!contact.ca_file.empty() && (!broker || !broker->tls)) {
        table.fail("ca_file", "expected an input that begins with mqtts:// with it");
    }
}

void read_contact(StrictTable& table, StationSettings& settings) {
    const std::vector<std::string_view> roles = {"entered", "body_held", "held",    "stunned",
                                                 "cut",     "released",  "prodded", "stopped"};
    ContactSettings contact;
    const std::string role(roles[table.word("role", roles)]);
    contact.role = *role_from(role);
    contact.name = plain_name(table, "name", table.text_or("name", "a name of the contact", role));
    contact.input = table.text_or("input", kAnyContactForm, contact.input);
    const auto address = contact_address_from(contact.input);
    if (!contact.input.empty() && !address) {
        table.fail("input",
                   "expected " + contact_address_form(contact.input) + ", found \"" + contact.input + "\"");
    }
    contact.debounce_s = table.number_or("debounce_ms", {0.0, 5000.0, "a number of milliseconds"},
                                         1000.0 * contact.debounce_s) /
                         1000.0;
    contact.hold_s = table.number_or("hold_ms", {0.0, 60000.0, "a number of milliseconds"}, 0.0) / 1000.0;
    contact.offset_s =
        table.number_or("offset_ms", {-5000.0, 5000.0, "a number of milliseconds"}, 0.0) / 1000.0;
    read_broker_files(table, settings, contact);
    contact.inverted = table.flag_or("inverted", contact.inverted);
    contact.stuck_after_s =
        table.number_or("stuck_after_s", {0.0, 7.0 * kDayS, kSeconds, true}, contact.stuck_after_s);
    table.finish();

    for (const ContactSettings& other : settings.contacts) {
        // Several prods may be wired one by one; of everything else there is one.
        if (other.role == contact.role && contact.role != Role::kProdded) {
            table.fail("role",
                       "a second contact of role \"" + role + "\"; only prodded may be there several times");
        }
        if ((other.role == Role::kStunned && contact.role == Role::kCut) ||
            (other.role == Role::kCut && contact.role == Role::kStunned)) {
            table.fail(
                "role",
                "expected either \"stunned\" or \"cut\", found both: \"cut\" takes its place where the cut "
                "comes without stunning");
        }
        if (other.name == contact.name) {
            table.fail(table.has("name") ? "name" : "role",
                       "a second contact named \"" + other.name + "\"; give each a name of its own");
        }
        const auto other_address = contact_address_from(other.input);
        if (address && other_address && same_input(*address, *other_address)) {
            table.fail("input", "is the input of contact \"" + other.name + "\" already");
        }
    }
    // A name that is another contact's role would make contacts.csv ambiguous.
    const auto name_as_role = role_from(contact.name);
    if (name_as_role && *name_as_role != contact.role) {
        table.fail("name", "expected a name that is no other role, found \"" + contact.name + "\"");
    }
    settings.contacts.push_back(contact);
}

void read_whose_call(StrictTable& table, WhoseCallSettings& whose) {
    constexpr NumberRange kLouder{0.0, 60.0, "a number of decibels"};
    constexpr NumberRange kTimes{1.0, 100.0, "a number of times"};
    whose.louder_at_entrance_db =
        table.number_or("louder_at_entrance_db", kLouder, whose.louder_at_entrance_db);
    whose.louder_at_far_db = table.number_or("louder_at_far_db", kLouder, whose.louder_at_far_db);
    whose.louder_alone_db = table.number_or("louder_alone_db", kLouder, whose.louder_alone_db);
    // The less is known of where it came from, the more it takes.
    const auto at_least = [&](const char* key, double value, const char* other, double least) {
        if (value >= least) return;
        const bool here = table.has(key);
        table.fail(here ? key : other, std::string("expected ") + key + " to be at least " + other +
                                           ", found " + six_digits(value) + " and " + six_digits(least) +
                                           (here ? "" : std::string("; give ") + key + " too"));
    };
    at_least("louder_at_far_db", whose.louder_at_far_db, "louder_at_entrance_db",
             whose.louder_at_entrance_db);
    at_least("louder_alone_db", whose.louder_alone_db, "louder_at_far_db", whose.louder_at_far_db);
    whose.delay_over_noise = table.number_or("delay_over_noise", kTimes, whose.delay_over_noise);
    whose.delay_over_rival = table.number_or("delay_over_rival", kTimes, whose.delay_over_rival);
    whose.beyond_middle_m = table.number_or("beyond_middle_m", {0.0, 10.0, kMetres}, whose.beyond_middle_m);
    whose.beyond_entrance_m =
        table.number_or("beyond_entrance_m", {0.0, 50.0, kMetres}, whose.beyond_entrance_m);
    whose.apart_m = table.number_or("apart_m", {0.5, 50.0, kMetres}, whose.apart_m);
    table.finish();
}

void read_noises(StrictTable& table, NoiseSettings& noises) {
    noises.equipment_before_s =
        table.number_or("equipment_before_s", {0.0, 10.0, kSeconds}, noises.equipment_before_s);
    noises.equipment_after_s =
        table.number_or("equipment_after_s", {0.0, 10.0, kSeconds}, noises.equipment_after_s);
    table.finish();
}

void read_scoring(StrictTable& table, Species species, ScoringSettings& scoring) {
    scoring.limit_percent = table.number("limit_percent", {0.0, 100.0, "a percentage"});
    scoring.basis = table.text("basis", "the guide and edition that the limit is taken from");
    if (species == Species::kPig) {
        scoring.squeal_at_stun_limit_percent =
            table.number_or("squeal_at_stun_limit_percent", {0.0, 100.0, "a percentage"},
                            scoring.squeal_at_stun_limit_percent);
        // Another limit is another guide's.
        const bool own = table.has("squeal_at_stun_limit_percent");
        scoring.squeal_at_stun_basis =
            own ? table.text("squeal_at_stun_basis", "the guide and edition that the limit is taken from")
                : table.text_or("squeal_at_stun_basis", "the guide and edition that the limit is taken from",
                                scoring.squeal_at_stun_basis);
    }
    table.finish();
}

void read_records(StrictTable& table, StationSettings& settings) {
    const std::filesystem::path file = table.text_or("key_file", "the path of the station key", "");
    if (!file.empty())
        settings.key_file = (std::filesystem::path(table.file()).parent_path() / file).string();
    table.finish();
}

void read_planned(StrictTable& table, const std::string& what, std::vector<ShiftSettings>& planned) {
    ShiftSettings shift;
    shift.name = plain_name(table, "name", table.text("name", "a name of the " + what));
    for (const ShiftSettings& other : planned) {
        if (other.name == shift.name) {
            table.fail("name", "a second " + what + " named \"" + other.name + "\"");
        }
    }
    read_hours(table, shift);
    table.finish();
    planned.push_back(shift);
    if (const auto pair = overlapping_shifts(planned)) {
        table.fail("start", what + " \"" + shift.name + "\" overlaps with " + what + " \"" +
                                planned[pair->first].name + "\"");
    }
}

void read_shift(StrictTable& table, StationSettings& settings) {
    read_planned(table, "shift", settings.shifts);
}

void read_break(StrictTable& table, StationSettings& settings) {
    read_planned(table, "break", settings.breaks);
}

} // namespace

StationSettings read_station_file(const std::string& path) {
    const std::string bytes = bytes_of(path);
    const toml::table root = parsed(bytes, path);
    StationSettings settings;
    settings.file = path;
    settings.sha256 = sha256_of(bytes);

    StrictTable top(root, path, "");
    const auto read_table = [&](const char* key, auto read, auto& into) {
        const toml::table* const table = top.table_or_null(key);
        if (table == nullptr) return false;
        StrictTable strict(*table, path, key);
        read(strict, into);
        return true;
    };
    const auto read_tables = [&](const char* key, auto read) {
        for (const toml::table* const table : top.tables(key)) {
            StrictTable strict(*table, path, key);
            read(strict, settings);
        }
    };
    const auto need = [&](const char* table, const char* what) {
        throw Failure(kExitUsage, path + ": [" + table + "] is missing: expected " + what);
    };
    const bool station = read_table("station", read_station, settings);
    const bool restraint = read_table("restraint", read_restraint, settings.restraint);
    read_tables("microphone", read_microphone);
    read_tables("contact", read_contact);
    read_table("whose_call", read_whose_call, settings.whose_call);
    read_table("noises", read_noises, settings.noises);
    read_table("health", read_health, settings.health);
    const bool scoring = read_table(
        "scoring",
        [&](StrictTable& table, ScoringSettings& into) { read_scoring(table, settings.species, into); },
        settings.scoring);
    read_tables("shift", read_shift);
    read_tables("break", read_break);
    read_table("alarms", read_alarms, settings.alarms);
    read_table("clips", read_clips, settings.clips);
    read_tables("delivery", [](StrictTable& table, StationSettings& into) {
        const std::string folder = std::filesystem::path(into.file).parent_path().string();
        read_delivery(table, {into.name, folder}, into.deliveries);
    });
    read_table("outbox", read_outbox, settings.outbox);
    read_table("records", read_records, settings);
    read_table(
        "page",
        [&path](StrictTable& table, PageSettings& page) {
            read_page(table, std::filesystem::path(path).parent_path().string(), page);
        },
        settings.page);
    top.finish();

    if (!station) need("station", "a table with name, species and timezone");
    if (!restraint) need("restraint", "a table with kind");
    if (settings.microphones.empty()) need("[microphone]", "one or more, each with a name");
    if (!scoring && settings.species != Species::kSheep)
        need("scoring", "a table with limit_percent and basis");
    if (!settings.has(Role::kEntered) && !settings.has(Role::kStunned) && !settings.has(Role::kCut)) {
        need("[contact]",
             "one of role \"entered\", \"stunned\" or \"cut\", without which no passage can be seen");
    }
    return settings;
}

} // namespace quietpass
