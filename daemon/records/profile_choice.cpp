#include "daemon/records/profile_choice.h"

#include <SQLiteCpp/Statement.h>

namespace quietpass {

namespace {

constexpr std::string_view kSubject = "profile ";

} // namespace

std::string profile_subject(std::string_view sha256) {
    return std::string(kSubject).append(sha256);
}

std::vector<ProfileChoice> profile_choices(SQLite::Database& database, std::size_t most) {
    SQLite::Statement query(database,
                            "SELECT utc_ns, who, subject FROM accesses WHERE what = ? AND subject LIKE "
                            "'profile %' ORDER BY seq DESC LIMIT ?");
    query.bind(1, kChooseProfile);
    query.bind(2, static_cast<std::int64_t>(most));
    std::vector<ProfileChoice> choices;
    while (query.executeStep()) {
        choices.push_back({query.getColumn(0).getInt64(), query.getColumn(1).getString(),
                           query.getColumn(2).getString().substr(kSubject.size())});
    }
    return choices;
}

std::optional<ProfileChoice> chosen_profile(const std::filesystem::path& out) {
    const std::filesystem::path records = out / "records.db";
    if (!std::filesystem::exists(records)) return std::nullopt;
    SQLite::Database database(records.string(), SQLite::OPEN_READONLY, 10'000);
    if (!database.tableExists("accesses")) return std::nullopt; // of an older version
    const auto choices = profile_choices(database, 1);
    return choices.empty() ? std::nullopt : std::optional(choices.front());
}

std::filesystem::path kept_profile(const std::filesystem::path& out, std::string_view sha256) {
    return out / "profiles" / (std::string(sha256.substr(0, 16)) + ".toml");
}

} // namespace quietpass
