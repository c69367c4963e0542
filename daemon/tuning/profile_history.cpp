#include "daemon/tuning/profile_history.h"

#include <algorithm>
#include <charconv>
#include <fstream>
#include <iterator>
#include <string>

#include "classifiers/profile_text.h"
#include "daemon/failure.h"
#include "daemon/tuning/profile_writer.h"

namespace quietpass {
namespace {

namespace fs = std::filesystem;

std::string bytes_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    if (!in || fs::is_directory(file))
        throw Failure(kExitFailure, file.string() + ": can't be read; name a profile that is there");
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

fs::path kept_name(const fs::path& profile, int number) {
    return profile.string() + "." + std::to_string(number);
}

std::string numbers_of(const std::vector<KeptProfile>& kept) {
    std::string out;
    for (const KeptProfile& one : kept) out += (out.empty() ? "" : ", ") + std::to_string(one.number);
    return out;
}

void must_be_profile(const fs::path& file, const std::string& bytes) {
    try {
        profile_from_toml(bytes);
    } catch (const ProfileError& error) {
        throw Failure(kExitFailure, file.string() + ":" + std::to_string(error.line) + ": is no profile (" +
                                        error.expected + "); nothing was changed");
    }
}

} // namespace

std::vector<KeptProfile> history_of(const fs::path& profile) {
    std::vector<KeptProfile> out;
    const std::string start = profile.filename().string() + ".";
    const fs::path folder = profile.has_parent_path() ? profile.parent_path() : fs::path(".");
    std::error_code error;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder, error)) {
        const std::string name = entry.path().filename().string();
        if (name.rfind(start, 0) != 0) continue;
        const char* from = name.data() + start.size();
        const char* to = name.data() + name.size();
        int number = 0;
        const auto [end, bad] = std::from_chars(from, to, number);
        if (bad != std::errc() || end != to || number < 1 || *from == '0') continue;
        out.push_back({number, kept_name(profile, number)});
    }
    std::sort(out.begin(), out.end(),
              [](const KeptProfile& a, const KeptProfile& b) { return a.number < b.number; });
    return out;
}

KeptProfile keep(const fs::path& profile) {
    const std::vector<KeptProfile> kept = history_of(profile);
    KeptProfile next{kept.empty() ? 1 : kept.back().number + 1, {}};
    while (true) {
        next.file = kept_name(profile, next.number);
        std::error_code error;
        fs::create_hard_link(profile, next.file, error);
        if (error && error != std::errc::file_exists) {
            // A file system without second names.
            error.clear();
            fs::copy_file(profile, next.file, fs::copy_options::none, error);
        }
        if (!error) return next;
        if (error != std::errc::file_exists) {
            throw Failure(kExitFailure, next.file.string() + ": the present profile can't be kept there (" +
                                            error.message() + "); nothing was changed");
        }
        ++next.number;
    }
}

GoneBack go_back(const fs::path& profile, std::optional<int> to) {
    const std::string present = bytes_of(profile);
    const std::vector<KeptProfile> kept = history_of(profile);
    if (kept.empty()) {
        throw Failure(kExitFailure, profile.string() +
                                        ": no earlier profile is kept beside it; `quietpass "
                                        "tune --out` keeps one when it replaces it");
    }
    // The place of the present one in its history; behind the end when it is new.
    std::size_t place = kept.size();
    for (std::size_t i = kept.size(); i-- > 0 && place == kept.size();) {
        if (bytes_of(kept[i].file) == present) place = i;
    }
    const bool is_kept = place < kept.size();
    std::size_t wanted = 0;
    if (to) {
        const auto found =
            std::find_if(kept.begin(), kept.end(), [&](const KeptProfile& one) { return one.number == *to; });
        if (found == kept.end()) {
            throw Failure(kExitFailure, profile.string() + ": no profile " + std::to_string(*to) +
                                            " is kept beside it; there are " + numbers_of(kept));
        }
        wanted = static_cast<std::size_t>(found - kept.begin());
    } else if (place == 0) {
        throw Failure(kExitFailure,
                      profile.string() + ": is the earliest that is kept, " +
                          kept[0].file.filename().string() +
                          (kept.size() > 1 ? "; --to N brings back a later one of " + numbers_of(kept)
                                           : ", and no other is"));
    } else {
        wanted = place - 1;
    }
    const std::string earlier = bytes_of(kept[wanted].file);
    must_be_profile(kept[wanted].file, earlier);
    const KeptProfile before = is_kept ? kept[place] : keep(profile);
    write_whole(profile, earlier, false);
    return {kept[wanted], before};
}

} // namespace quietpass
