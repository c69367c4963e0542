// The routes of the station itself: how it is, what it is set to, what a reload would change, its profiles.
#include <sys/statvfs.h>

#include <algorithm>
#include <cmath>

#include "daemon/build_facts.h"
#include "daemon/checks/computer.h"
#include "daemon/checks/evidence.h"
#include "daemon/checks/outside.h"
#include "daemon/failure.h"
#include "daemon/profile_file.h"
#include "daemon/records/files.h"
#include "daemon/records/profile_choice.h"
#include "daemon/records/sha256.h"
#include "daemon/records/station_rows.h"
#include "daemon/records/store_schema.h"
#include "daemon/settings/station_file.h"
#include "daemon/settings/toml_lines.h"
#include "daemon/web/api_json.h"
#include "daemon/web/profile_shelf.h"

namespace quietpass {

namespace {

constexpr std::size_t kChoicesShown = 20;
constexpr double kReceiverWithin_s = 3.0;

Json rounded(double value) {
    return std::round(value * 10.0) / 10.0;
}

Json minute_json(const LatestMinute& minute) {
    const bool heard = minute.heard_s > 0.0;
    return {{"start", utc_or_null(minute.start_utc_ns)},
            {"end_s", minute.end_s},
            {"unit", minute.sensitivity_db ? "dB SPL" : "dB re full scale"},
            {"level_db", heard ? rounded(minute.level_db) : Json()},
            {"background_db", heard ? rounded(minute.background_db) : Json()},
            {"heard_s", minute.heard_s},
            {"silent_s", minute.silent_s},
            {"clipped_s", minute.clipped_s},
            {"hum_s", minute.hum_s},
            {"wind_s", minute.wind_s},
            {"covered_s", minute.covered_s},
            {"level_far_s", minute.level_far_s}};
}

Json calibration_json(const std::optional<LevelReference>& reference) {
    if (!reference) return nullptr;
    return {{"sensitivity_db_spl_fs", reference->sensitivity_db_spl_fs},
            {"calibrated_at", text_or_null(reference->calibrated_at)},
            {"calibrator_serial", text_or_null(reference->calibrator_serial)},
            {"calibrator_db", or_null(reference->calibrator_db)},
            {"drift_db", or_null(reference->drift_db)}};
}

Json microphones_json(SQLite::Database& database, const StationSettings& settings) {
    Json list = Json::array();
    for (const MicrophoneSettings& microphone : settings.microphones) {
        const auto minute = read_latest_minute(database, microphone.name);
        list.push_back({{"name", microphone.name},
                        {"device", microphone.device},
                        {"up_race_m", or_null(microphone.up_race_m)},
                        {"minute", minute ? minute_json(*minute) : Json()},
                        {"calibration", calibration_json(microphone.reference)}});
    }
    return list;
}

Json contacts_json(SQLite::Database& database, const StationSettings& settings) {
    Json list = Json::array();
    for (const ContactSettings& contact : settings.contacts) {
        const std::string role(name_of(contact.role));
        const auto edge = read_latest_edge(database, role);
        const auto trouble = read_contact_trouble(database, contact.name);
        Json json = {{"name", contact.name},         {"role", role},    {"input", contact.input},
                     {"inverted", contact.inverted}, {"edge", nullptr}, {"fault", nullptr}};
        if (edge) {
            json["edge"] = {
                {"closed", edge->closed}, {"time_s", edge->time_s}, {"utc", utc_or_null(edge->utc_ns)}};
        }
        if (trouble) {
            json["fault"] = {
                {"what", trouble->fault}, {"utc", utc_or_null(trouble->utc_ns)}, {"detail", trouble->detail}};
        }
        list.push_back(std::move(json));
    }
    return list;
}

Json disk_json(const std::filesystem::path& out, double low_mb) {
    struct statvfs disk {};
    if (statvfs(out.c_str(), &disk) != 0) return nullptr;
    const auto mb = [&disk](std::uint64_t blocks) {
        return std::floor(static_cast<double>(blocks) * static_cast<double>(disk.f_frsize) / 1e6);
    };
    std::error_code error;
    const auto records = std::filesystem::file_size(out / "records.db", error);
    return {{"free_mb", mb(disk.f_bavail)},
            {"total_mb", mb(disk.f_blocks)},
            {"low_below_mb", low_mb},
            {"records_mb", error ? Json() : rounded(static_cast<double>(records) / 1e6)}};
}

Json ledger_json(const LedgerHead& head) {
    return {{"records", head.seq},
            {"head", text_or_null(head.hash)},
            {"signed_records", head.signed_seq},
            {"signed", utc_or_null(head.signed_utc_ns)},
            {"key_id", text_or_null(head.key_id)},
            {"public_key", text_or_null(head.public_key)}};
}

Json profile_json(const ShelvedProfile& profile) {
    return {{"sha256", profile.sha256},
            {"file", profile.file},
            {"name", text_or_null(profile.name)},
            {"version", text_or_null(profile.version)},
            {"about", profile.about},
            {"species", text_or_null(profile.species)},
            {"in_use", profile.in_use},
            {"shipped", profile.shipped},
            {"wrong", text_or_null(profile.wrong)}};
}

Json lines_json(const std::vector<TomlLine>& lines) {
    Json list = Json::array();
    for (const TomlLine& line : lines)
        list.push_back({{"key", line.key}, {"value", line.value}, {"line", line.line}});
    return list;
}

const ShelvedProfile& named(const std::vector<ShelvedProfile>& shelf, const std::string& sha256,
                            const char* parameter) {
    for (const ShelvedProfile& profile : shelf) {
        if (profile.sha256 == sha256) return profile;
    }
    throw Refusal{404, "there is no such profile", parameter, "give a sha256 of /api/v1/profiles"};
}

bool file_names_profile(const std::string& station_text, const std::string& file) {
    const auto lines = toml_lines(station_text, file);
    return std::any_of(lines.begin(), lines.end(),
                       [](const TomlLine& line) { return line.key == "station.profile"; });
}

void keep_text(const std::filesystem::path& path, const std::string& text) {
    RealFiles files;
    files.make_folders(path.parent_path());
    const std::vector<NamedBytes> whole = {{path.filename().string(), text}};
    write_whole(files, path.parent_path(), whole);
}

} // namespace

// As the records have it; the file itself, where it still is what was read at the start.
std::string Api::station_text(SQLite::Database& database) const {
    const StationSettings& settings = parts_.settings;
    if (auto text = read_document(database, "station_file", settings.sha256)) return *text;
    const std::string text = file_text(settings.file);
    return sha256_hex(text) == settings.sha256 ? text : std::string();
}

WebAnswer Api::station(const Call&) {
    const StationSettings& settings = parts_.settings;
    const auto shelf = shelved_profiles(settings, profile_, parts_.out);
    Json profile = nullptr;
    for (const ShelvedProfile& one : shelf) {
        if (one.in_use) profile = profile_json(one);
    }
    return reader_.read([&](SQLite::Database& database) {
        const std::int64_t now_ns = parts_.clock.utc_ns();
        const auto heard_until_ns = parts_.board.heard_until_utc_ns();
        const Json behind =
            heard_until_ns ? rounded(static_cast<double>(now_ns - *heard_until_ns) * 1e-9) : Json();
        return json_answer({{"name", settings.name},
                            {"species", name_of(settings.species)},
                            {"microphones", microphones_json(database, settings)},
                            {"contacts", contacts_json(database, settings)},
                            {"clock",
                             {{"utc", utc_text(now_ns)},
                              {"timezone", settings.timezone},
                              {"heard_until", utc_or_null(heard_until_ns)},
                              {"behind_s", behind}}},
                            {"disk", disk_json(parts_.out, settings.alarms.disk_low_mb)},
                            {"versions", {{"quietpass", kVersion}, {"records", kSchemaVersion}}},
                            {"profile", std::move(profile)},
                            {"settings",
                             {{"file", settings.file},
                              {"sha256", settings.sha256},
                              {"lines", lines_json(toml_lines(station_text(database), settings.file))}}},
                            {"ledger", ledger_json(read_ledger_head(database))}});
    });
}

WebAnswer Api::reload(const Call&) {
    const StationSettings& settings = parts_.settings;
    const std::string now = reader_.read([&](SQLite::Database& database) { return station_text(database); });
    Json json = {{"file", settings.file}, {"same", false}, {"wrong", nullptr}, {"changes", Json::array()}};
    try {
        json["same"] = read_station_file(settings.file).sha256 == settings.sha256;
        const auto then = toml_lines(file_text(settings.file), settings.file);
        for (const TomlDifference& one : toml_differences(toml_lines(now, settings.file), then)) {
            json["changes"].push_back({{"key", one.key},
                                       {"now", text_or_null(one.first)},
                                       {"then", text_or_null(one.second)},
                                       {"line", one.line}});
        }
    } catch (const Failure& wrong) {
        json["wrong"] = wrong.what();
    }
    return json_answer(json);
}

WebAnswer Api::profiles(const Call&) {
    Json list = Json::array();
    for (const ShelvedProfile& profile : shelved_profiles(parts_.settings, profile_, parts_.out))
        list.push_back(profile_json(profile));
    return reader_.read([&](SQLite::Database& database) {
        Json choices = Json::array();
        for (const ProfileChoice& choice : profile_choices(database, kChoicesShown)) {
            choices.push_back(
                {{"at", utc_text(choice.utc_ns)}, {"by", choice.who}, {"sha256", choice.sha256}});
        }
        return json_answer(
            {{"profiles", std::move(list)},
             {"named_by_file", file_names_profile(station_text(database), parts_.settings.file)},
             {"choices", std::move(choices)}});
    });
}

WebAnswer Api::use_profile(const Call& call) {
    call.only({"sha256"});
    const StationSettings& settings = parts_.settings;
    if (reader_.read([&](SQLite::Database& database) {
            return file_names_profile(station_text(database), settings.file);
        })) {
        throw Refusal{409, "the station file names its profile", settings.file,
                      "alter [station] profile there, or take it out and reload the settings"};
    }
    const auto shelf = shelved_profiles(settings, profile_, parts_.out);
    const ShelvedProfile& profile = named(shelf, call.text("sha256", 64), "sha256");
    if (!profile.wrong.empty() || profile.species != name_of(settings.species)) {
        throw Refusal{409, profile.wrong.empty() ? "this profile is for another species" : profile.wrong,
                      profile.file, "choose a profile of the station's species"};
    }
    keep_text(kept_profile(parts_.out, profile.sha256), profile.text);
    record(call.who().name, kChooseProfile, profile_subject(profile.sha256),
           profile.name + ", version " + profile.version);
    return json_answer({{"sha256", profile.sha256}, {"in_use", profile.in_use}});
}

// As `quietpass check` while this daemon listens.
WebAnswer Api::checks(const Call&) {
    const StationSettings& settings = parts_.settings;
    const std::int64_t now_ns = parts_.clock.utc_ns();
    Json list = Json::array();
    const auto add = [&list](const CheckLines& lines) {
        for (const CheckLine& line : lines) {
            list.push_back({{"state", name_of(line.state)},
                            {"what", line.what},
                            {"words", line.words},
                            {"do", text_or_null(line.to_do)}});
        }
    };
    add(check_clock());
    add(check_disk(settings, parts_.out));
    add(check_permissions(settings, parts_.out));
    add(check_records(settings, parts_.out, now_ns));
    add(check_heard(settings, parts_.out, now_ns));
    add(check_deliveries(settings, kReceiverWithin_s));
    add(check_certificate(settings, parts_.out, now_ns));
    return json_answer({{"checks", std::move(list)}});
}

// Checked here, so that the person hears what is wrong; the daemon checks again when it takes them.
WebAnswer Api::take_reload(const Call& call) {
    const std::string& file = parts_.settings.file;
    if (!parts_.reload) throw Refusal{409, "no daemon runs here", file, "start `quietpass run`"};
    try {
        read_station_file(file);
    } catch (const Failure& wrong) {
        throw Refusal{409, wrong.what(), file, "mend the station file; the station goes on as it is"};
    }
    record(call.who().name, "reload", "settings", file);
    parts_.reload();
    return json_answer({{"reload", true}}, 202);
}

WebAnswer Api::compare_profiles(const Call& call) {
    const auto shelf = shelved_profiles(parts_.settings, profile_, parts_.out);
    const ShelvedProfile& a = named(shelf, call.any_word("a"), "a");
    const ShelvedProfile& b = named(shelf, call.any_word("b"), "b");
    Json list = Json::array();
    for (const TomlDifference& one : toml_differences(toml_lines(a.text, a.file), toml_lines(b.text, b.file)))
        list.push_back({{"key", one.key}, {"a", text_or_null(one.first)}, {"b", text_or_null(one.second)}});
    return json_answer({{"a", profile_json(a)}, {"b", profile_json(b)}, {"differences", std::move(list)}});
}

} // namespace quietpass
