// contacts.csv: what the contacts did, one change a line.
//
//   time_s,input,state        the header, required
//   12.345,entered,1          seconds from the first audio sample (negative: before it); 1 closed, 0 open
//   20.100,entered,lost       from here on it is not known what the contact does …
//   23.500,entered,back       … up to here; without it, up to the end
//
// Passages within a lost span are not covered. Between `lost` and `back` a contact has no other lines; its
// level at `back` is the one before `lost` unless a line says otherwise. A running station writes both for
// each contact of a source that did not answer.
//
// `input` is a contact's name in the station file, or its role; where several contacts share a role
// (`prodded`), the role means the first of them. Lines are in order of time. Spaces around a field, empty
// lines and CR LF are accepted; `inverted` and `offset_ms` do not apply, the file says what the contact means
// and when. Written with three decimals, so that times of whole milliseconds read back as the same numbers.
// Errors: Failure, one line with file and line; exit code 2 for a path that can't be opened, 1 for what
// stands in it.
#pragma once

#include <cstddef>
#include <fstream>
#include <string>
#include <vector>

#include "daemon/contacts/contact_inputs.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

struct ContactChange {
    enum class What { kLevel, kLost, kBack };

    double time_s = 0.0;
    std::size_t contact = 0; // index into the station's contacts
    bool closed = false;     // kLevel
    What what = What::kLevel;
};

std::vector<ContactChange> read_contacts_csv(const std::string& path, const StationSettings& settings);

// The whole of a file: its debounced edges in time order, and the times in which contacts were not known;
// infinity ends those that last to the end.
struct ContactHistory {
    std::vector<ContactEdge> edges;
    std::vector<ContactOutage> outages;
};
ContactHistory contact_history_of(const std::vector<ContactChange>& changes, const StationSettings& settings);
// Its edges alone.
std::vector<ContactEdge> edges_of(const std::vector<ContactChange>& changes, const StationSettings& settings);

// Appends news to a new contacts.csv; every line is handed to the system at once, so that a killed daemon
// leaves whole lines. Lines that the disk refuses wait in memory, kMostWaiting at most, and go out in their
// order before the next one: a file with a hole would score as something that never was. Not thread-safe.
class ContactsCsvWriter {
  public:
    // Overwrites the file. Throws Failure(1) when it can't be written.
    ContactsCsvWriter(const std::string& path, const StationSettings& settings);

    ~ContactsCsvWriter(); // tries once more
    ContactsCsvWriter(const ContactsCsvWriter&) = delete;
    ContactsCsvWriter& operator=(const ContactsCsvWriter&) = delete;

    // False when the line could not be written (disk full) and waits; when too many wait the file ends there
    // for good.
    bool write(const ContactNews& news);

    static constexpr std::size_t kMostWaiting = 1'000'000; // bytes, some 50,000 lines

  private:
    bool write_waiting();

    std::string path_;
    std::ofstream file_;
    std::uintmax_t whole_bytes_ = 0; // of the file, up to its last whole line
    std::string waiting_;
    bool given_up_ = false;
    std::vector<std::string> names_;
};

} // namespace quietpass
