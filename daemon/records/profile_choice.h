// Which profile a person chose on the page, for a station whose file names none: a row of the table accesses
// (what `choose`, subject "profile SHA-256"), so that it is in the ledger with who and when. The profile's
// text is kept beside the records, in OUT/profiles/, because the file it came from can change or go.
//
// Errors: SQLite::Exception. One thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace quietpass {

inline constexpr const char* kChooseProfile = "choose"; // of accesses.what
std::string profile_subject(std::string_view sha256);   // of accesses.subject

struct ProfileChoice {
    std::int64_t utc_ns = 0;
    std::string who;
    std::string sha256; // lower-case hex
};

// The newest first.
std::vector<ProfileChoice> profile_choices(SQLite::Database& database, std::size_t most);

// The choice in force in OUT; nothing where there are no records yet, or nobody chose.
std::optional<ProfileChoice> chosen_profile(const std::filesystem::path& out);

// Where its text is kept.
std::filesystem::path kept_profile(const std::filesystem::path& out, std::string_view sha256);

} // namespace quietpass
