#include "daemon/contacts/contacts_csv.h"

#include <cerrno>
#include <charconv>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <limits>
#include <optional>
#include <string_view>

#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::string_view kHeader = "time_s,input,state";

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

std::string names_of(const StationSettings& settings) {
    std::string names;
    for (const ContactSettings& contact : settings.contacts) {
        if (!names.empty()) names += ", ";
        names += contact.name;
    }
    return names;
}

std::string quoted(std::string_view text) {
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
                fail("expected the header " + std::string(kHeader) + ", found " + quoted(trimmed(line)));
            }
            headed = true;
            continue;
        }
        if (fields.size() != 3) {
            fail("expected three fields (" + std::string(kHeader) + "), found " +
                 std::to_string(fields.size()));
        }
        const auto time_s = number_from(fields[0]);
        if (!time_s) fail("time_s: expected a number of seconds, found " + quoted(fields[0]));
        if (*time_s < last_s) {
            fail("time_s: " + seconds(*time_s) + " comes after " + seconds(last_s) +
                 "; lines must be in order of time");
        }
        const auto contact = contact_from(fields[1], settings);
        if (!contact) {
            fail("input: " + quoted(fields[1]) + " is no contact of station " + settings.name +
                 "; it has: " + names_of(settings));
        }
        if (fields[2] != "0" && fields[2] != "1") {
            fail("state: expected 1 (closed) or 0 (open), found " + quoted(fields[2]));
        }
        last_s = *time_s;
        changes.push_back({*time_s, *contact, fields[2] == "1"});
    }
    if (file.bad()) throw Failure(kExitFailure, path + ": can't be read (" + reason() + ")");
    if (!headed) {
        throw Failure(kExitFailure, path + ": is empty; expected the header " + std::string(kHeader));
    }
    return changes;
}

std::vector<ContactEdge> edges_of(const std::vector<ContactChange>& changes,
                                  const StationSettings& settings) {
    ContactInputs inputs(settings);
    for (const ContactChange& change : changes) inputs.change(change.contact, change.time_s, change.closed);
    inputs.known_until(0, std::numeric_limits<double>::infinity());
    std::vector<ContactEdge> edges;
    for (ContactEdge edge; inputs.take(edge);) edges.push_back(edge);
    return edges;
}

ContactsCsvWriter::ContactsCsvWriter(const std::string& path, const StationSettings& settings)
    : file_(path, std::ios::binary | std::ios::trunc) {
    for (const ContactSettings& contact : settings.contacts) names_.push_back(contact.name);
    if (file_) file_ << kHeader << '\n' << std::flush;
    if (!file_) throw Failure(kExitFailure, path + ": can't be written (" + reason() + ")");
}

bool ContactsCsvWriter::write(const ContactEdge& edge) {
    file_ << seconds(edge.edge.time_s) + "," + names_.at(edge.contact) + (edge.edge.closed ? ",1\n" : ",0\n")
          << std::flush;
    return static_cast<bool>(file_);
}

} // namespace quietpass
