#include "daemon/tuning/history_text.h"

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "classifiers/one_line.h"
#include "classifiers/profile_text.h"
#include "classifiers/tuning/text_columns.h"
#include "daemon/failure.h"
#include "daemon/tuning/profile_history.h"

namespace quietpass {
namespace {

std::string described(const std::filesystem::path& file, const std::string& name) {
    std::ifstream in(file, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    std::string out = name + "  ";
    try {
        const Profile profile = profile_from_toml(text);
        char figures[80];
        std::snprintf(figures, sizeof figures, ", %zu terms, a call from %.3f points",
                      profile.cards[0].terms.size(), profile.cards[0].cut);
        out += profile.version + figures;
        if (!profile.about.empty()) out += ". " + profile.about;
    } catch (const ProfileError& error) {
        out += "can't be used: line " + std::to_string(error.line) + ": " + error.expected;
    }
    return tuning::wrapped(in_one_line(out), 4);
}

} // namespace

std::string history_text(const std::string& profile) {
    if (!std::filesystem::is_regular_file(profile))
        throw Failure(kExitFailure, profile + ": can't be read; name a profile that is there");
    std::string out;
    for (const KeptProfile& kept : history_of(profile))
        out += described(kept.file, kept.file.filename().string());
    return out + described(profile, std::filesystem::path(profile).filename().string() + " (present)");
}

std::string went_back_text(const std::string& profile, std::optional<int> to) {
    const GoneBack back = go_back(profile, to);
    return profile + " is " + back.now.file.filename().string() + " again; the one before is kept as " +
           back.before.file.filename().string() +
           ".\nRestart the daemon for it to take effect; its shifts name the profile's hash.\n";
}

} // namespace quietpass
