#include "daemon/checks/computer.h"

#include <sys/stat.h>
#include <sys/statvfs.h>
#include <sys/timex.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>

#include "daemon/settings/key_file.h"

namespace quietpass {

namespace {

// RFC 5905 bounds a synchronised clock's error at 16 s; a station asks for less.
constexpr double kMostClockError_s = 0.5;

std::string text(const char* form, double value) {
    char out[64];
    std::snprintf(out, sizeof out, form, value);
    return out;
}

CheckLine unreadable(const std::string& what, const std::filesystem::path& path, int error) {
    return {CheckState::kBad, what, path.string() + " can't be used: " + std::strerror(error),
            "give --out the folder of `quietpass run`, and let this user use it"};
}

// A file that only its owner may read.
void check_secret(CheckLines& lines, const std::string& what, const std::filesystem::path& file) {
    struct stat state {};
    if (stat(file.c_str(), &state) != 0) return; // not made yet, or told by another line
    if ((state.st_mode & (S_IRWXG | S_IRWXO)) != 0) {
        lines.push_back({CheckState::kBad, what, file.string() + " is open to other users",
                         "chmod 600 " + file.string()});
    }
}

} // namespace

CheckLines check_clock() {
    timex clock{};
    const int state = adjtimex(&clock);
    if (state < 0) {
        return {{CheckState::kLook, "clock", "whether it is set by a time server can't be told here",
                 "look with `timedatectl`, see the guide on time"}};
    }
    if (state == TIME_ERROR || (clock.status & STA_UNSYNC) != 0) {
        return {{CheckState::kLook, "clock", "no time server sets it",
                 "set one up, see the guide on time; times in the records can drift"}};
    }
    const double error_s = static_cast<double>(clock.maxerror) * 1e-6;
    if (error_s > kMostClockError_s) {
        return {{CheckState::kLook, "clock", text("set by a time server, but may be %.1f s wrong", error_s),
                 "choose a nearer time server"}};
    }
    return {{CheckState::kGood, "clock", text("set by a time server, at most %.3f s wrong", error_s), ""}};
}

CheckLines check_disk(const StationSettings& settings, const std::filesystem::path& out) {
    struct statvfs disk {};
    if (statvfs(out.c_str(), &disk) != 0) return {unreadable("disk", out, errno)};
    const double free_mb = static_cast<double>(disk.f_bavail) * static_cast<double>(disk.f_frsize) / 1e6;
    const std::string words = text("%.0f MB are free where the records are", free_mb);
    if (free_mb < settings.alarms.disk_low_mb) {
        return {{CheckState::kBad, "disk", words,
                 text("free some; below %.0f MB the alarm disk_low is raised", settings.alarms.disk_low_mb)}};
    }
    if (settings.clips.any() && free_mb < settings.clips.min_free_mb) {
        return {{CheckState::kBad, "disk", words,
                 text("free some; below %.0f MB no clip is kept", settings.clips.min_free_mb)}};
    }
    return {{CheckState::kGood, "disk", words, ""}};
}

CheckLines check_permissions(const StationSettings& settings, const std::filesystem::path& out) {
    struct stat state {};
    if (stat(out.c_str(), &state) != 0) return {unreadable("permissions", out, errno)};
    CheckLines lines;
    if (access(out.c_str(), W_OK | X_OK) != 0) {
        lines.push_back({CheckState::kLook, "permissions", "this user may not write in " + out.string(),
                         "run the check as the user of `quietpass run`"});
    }
    if ((state.st_mode & S_IWOTH) != 0) {
        lines.push_back({CheckState::kBad, "permissions", out.string() + " can be written by anybody",
                         "chmod 700 " + out.string()});
    }
    check_secret(lines, "permissions", out / "users.db");
    check_secret(lines, "permissions", out / "key" / "page.key");
    check_secret(lines, "permissions", key_file_of(settings, out));
    if (lines.empty())
        lines.push_back({CheckState::kGood, "permissions", "secrets are this user's alone", ""});
    return lines;
}

} // namespace quietpass
