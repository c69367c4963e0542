#include "daemon/contacts/contacts_csv.h"

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <limits>
#include <numeric>
#include <optional>
#include <string_view>

#include "daemon/failure.h"

namespace quietpass {

namespace {

using Change = ContactChange::What;

constexpr std::string_view kHeader = "time_s,input,state";
constexpr double kForEver_s = std::numeric_limits<double>::infinity();

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view kBlank = " \t\r";
    const std::size_t first = text.find_first_not_of(kBlank);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(kBlank) - first + 1);
}

std::vector<std::string_view> fields_of(std::string_view line) {
    std::vector<std::string_view> fields;
    for (;;) {
        const std::size_t comma = line.find(',');
        fields.push_back(trimmed(line.substr(0, comma)));
        if (comma == std::string_view::npos) return fields;
        line.remove_prefix(comma + 1);
    }
}

// A finite number, the whole field.
std::optional<double> number_from(std::string_view field) {
    double value = 0.0;
    const char* const end = field.data() + field.size();
    const auto [stop, error] = std::from_chars(field.data(), end, value);
    if (error != std::errc() || stop != end || !std::isfinite(value)) return std::nullopt;
    return value;
}

std::optional<std::size_t> contact_from(std::string_view input, const StationSettings& settings) {
    for (std::size_t i = 0; i < settings.contacts.size(); ++i) {
        if (settings.contacts[i].name == input) return i;
    }
    for (std::size_t i = 0; i < settings.contacts.size(); ++i) {
        if (name_of(settings.contacts[i].role) == input) return i;
    }
    return std::nullopt;
}

std::optional<Change> what_from(std::string_view state) {
    if (state == "0" || state == "1") return Change::kLevel;
    if (state == "lost") return Change::kLost;
    if (state == "back") return Change::kBack;
    return std::nullopt;
}

std::string names_of(const StationSettings& settings) {
    std::string names;
    for (const ContactSettings& contact : settings.contacts) {
        if (!names.empty()) names += ", ";
        names += contact.name;
    }
    return names;
}

std::string in_quotes(std::string_view text) {
    std::string result(1, '\'');
    result += text;
    result += '\'';
    return result;
}

std::string seconds(double time_s) {
    char digits[400];
    const auto [end, error] =
        std::to_chars(digits, digits + sizeof digits, time_s, std::chars_format::fixed, 3);
    return {digits, end};
}

std::string reason() {
    return std::strerror(errno);
}

} // namespace

std::vector<ContactChange> read_contacts_csv(const std::string& path, const StationSettings& settings) {
    if (std::filesystem::is_directory(path)) {
        throw Failure(kExitUsage, path + ": is a folder; give the path of a contacts.csv");
    }
    std::ifstream file(path, std::ios::binary);
    if (!file) {
        throw Failure(kExitUsage,
                      path + ": can't be opened (" + reason() + "); give the path of a contacts.csv");
    }

    int line_number = 0;
    const auto fail = [&](const std::string& what) {
        throw Failure(kExitFailure, path + ":" + std::to_string(line_number) + ": " + what);
    };

    std::vector<ContactChange> changes;
    std::vector<bool> is_lost(settings.contacts.size(), false);
    std::string text;
    bool headed = false;
    double last_s = -std::numeric_limits<double>::infinity();
    while (std::getline(file, text)) {
        ++line_number;
        std::string_view line = text;
        if (line_number == 1 && line.starts_with("\xEF\xBB\xBF")) line.remove_prefix(3);
        if (trimmed(line).empty()) continue;
        const std::vector<std::string_view> fields = fields_of(line);
        if (!headed) {
            if (fields != fields_of(kHeader)) {
                fail("expected the header " + std::string(kHeader) + ", found " + in_quotes(trimmed(line)));
            }
            headed = true;
            continue;
        }
        if (fields.size() != 3) {
            fail("expected three fields (" + std::string(kHeader) + "), found " +
                 std::to_string(fields.size()));
        }
        const auto time_s = number_from(fields[0]);
        if (!time_s) fail("time_s: expected a number of seconds, found " + in_quotes(fields[0]));
        if (*time_s < last_s) {
            fail("time_s: " + seconds(*time_s) + " comes after " + seconds(last_s) +
                 "; lines must be in order of time");
        }
        const auto contact = contact_from(fields[1], settings);
        if (!contact) {
            fail("input: " + in_quotes(fields[1]) + " is no contact of station " + settings.name +
                 "; it has: " + names_of(settings));
        }
        const auto what = what_from(fields[2]);
        if (!what) {
            fail("state: expected 1 (closed), 0 (open), lost or back, found " + in_quotes(fields[2]));
        }
        if (is_lost[*contact] != (*what == Change::kBack)) {
            const std::string name = settings.contacts[*contact].name;
            fail(is_lost[*contact] ? "state: " + name + " is lost; expected back before anything else of it"
                                   : "state: " + name + " is not lost here, so it can't come back");
        }
        if (*what != Change::kLevel) is_lost[*contact] = *what == Change::kLost;
        last_s = *time_s;
        changes.push_back({*time_s, *contact, fields[2] == "1", *what});
    }
    if (file.bad()) throw Failure(kExitFailure, path + ": can't be read (" + reason() + ")");
    if (!headed) {
        throw Failure(kExitFailure, path + ": is empty; expected the header " + std::string(kHeader));
    }
    return changes;
}

ContactHistory contact_history_of(const std::vector<ContactChange>& changes,
                                  const StationSettings& settings) {
    StationSettings as_meant = settings;
    for (ContactSettings& contact : as_meant.contacts) contact.offset_s = 0.0;
    // Each contact is known or lost for itself.
    std::vector<std::size_t> source_of(settings.contacts.size());
    std::iota(source_of.begin(), source_of.end(), std::size_t{0});
    ContactInputs inputs(as_meant, source_of);
    std::vector<std::optional<double>> lost_since_s(settings.contacts.size());
    for (const ContactChange& change : changes) {
        auto& since_s = lost_since_s[change.contact];
        switch (change.what) {
            case Change::kLevel:
                inputs.change(change.contact, change.time_s, change.closed);
                break;
            case Change::kLost:
                inputs.known_until(change.contact, change.time_s);
                since_s = change.time_s;
                break;
            case Change::kBack:
                inputs.lost(change.contact, *since_s, change.time_s);
                since_s.reset();
                break;
        }
    }
    for (const std::size_t contact : source_of) {
        if (lost_since_s[contact]) {
            inputs.lost(contact, *lost_since_s[contact], kForEver_s);
        } else {
            inputs.known_until(contact, kForEver_s);
        }
    }
    ContactHistory history;
    for (ContactEdge edge; inputs.take(edge);) history.edges.push_back(edge);
    for (ContactOutage outage; inputs.take(outage);) history.outages.push_back(outage);
    std::stable_sort(history.outages.begin(), history.outages.end(),
                     [](const ContactOutage& a, const ContactOutage& b) { return a.start_s < b.start_s; });
    return history;
}

std::vector<ContactEdge> edges_of(const std::vector<ContactChange>& changes,
                                  const StationSettings& settings) {
    return contact_history_of(changes, settings).edges;
}

ContactsCsvWriter::ContactsCsvWriter(const std::string& path, const StationSettings& settings)
    : path_(path), file_(path, std::ios::binary | std::ios::trunc) {
    for (const ContactSettings& contact : settings.contacts) names_.push_back(contact.name);
    waiting_ = std::string(kHeader) + "\n";
    if (!file_ || !write_waiting())
        throw Failure(kExitFailure, path + ": can't be written (" + reason() + ")");
}

ContactsCsvWriter::~ContactsCsvWriter() {
    if (!given_up_) write_waiting();
}

bool ContactsCsvWriter::write(const ContactNews& news) {
    const char* state = news.edge.closed ? "1" : "0";
    if (news.what != ContactNews::What::kEdge) {
        state = news.what == ContactNews::What::kLost ? "lost" : "back";
    }
    if (given_up_) return false;
    waiting_ += seconds(news.edge.time_s) + "," + names_.at(news.contact) + "," + state + "\n";
    if (write_waiting()) return true;
    given_up_ = waiting_.size() > kMostWaiting;
    return false;
}

bool ContactsCsvWriter::write_waiting() {
    file_ << waiting_ << std::flush;
    if (file_) {
        whole_bytes_ += waiting_.size();
        waiting_.clear();
        return true;
    }
    // What got there of it is taken back, so that the next try begins at the end of a whole line.
    const int why = errno;
    file_.close();
    file_.clear();
    std::error_code ignored;
    std::filesystem::resize_file(path_, whole_bytes_, ignored);
    file_.open(path_, std::ios::binary | std::ios::app);
    errno = why;
    return false;
}

} // namespace quietpass
