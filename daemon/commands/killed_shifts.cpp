#include "daemon/commands/killed_shifts.h"

#include <optional>

#include "daemon/records/shift_json.h"
#include "daemon/shifts/breaks.h"

namespace quietpass {

namespace {

// The microphones' levels refer to what they referred to then, not to today's calibrations.
StationSettings as_of(const ShiftRows& rows, StationSettings settings) {
    for (MicrophoneSettings& microphone : settings.microphones) {
        microphone.reference.reset();
        for (const MicrophoneRow& row : rows.microphones) {
            if (row.name == microphone.name) microphone.reference = row.reference;
        }
    }
    return settings;
}

ClosedShift closed_from(const ShiftRows& rows, const StationSettings& todays_settings,
                        const Provenance& provenance) {
    const StationSettings settings = as_of(rows, todays_settings);
    Tally tally(settings);
    for (const Passage& passage : rows.passages) tally.add(passage);
    for (const StationCall& call : rows.calls) tally.add(call);
    for (const Gap& gap : rows.gaps) tally.add(gap);
    const Edge* stop = nullptr;
    for (const Edge& edge : rows.edges) {
        if (edge.role != Role::kStopped) continue;
        if (edge.closed && stop == nullptr) stop = &edge;
        if (!edge.closed && stop != nullptr) {
            tally.add_stop(stop->time_s, edge.time_s);
            stop = nullptr;
        }
    }
    if (stop != nullptr) tally.add_stop(stop->time_s, rows.known_until_s);
    if (rows.shift.start_utc_ns) {
        const std::int64_t from_ns = *rows.shift.start_utc_ns;
        const double length_s = rows.known_until_s - rows.shift.start_s;
        const auto breaks =
            breaks_between(settings, from_ns, from_ns + static_cast<std::int64_t>(length_s * 1e9));
        for (const auto& [start_ns, stop_ns] : breaks) {
            const auto station_s = [&](std::int64_t utc_ns) {
                return rows.shift.start_s + static_cast<double>(utc_ns - from_ns) / 1e9;
            };
            tally.add_stop(station_s(start_ns), station_s(stop_ns));
        }
    }
    ClosedShift closed;
    closed.record = tally.record(rows.shift.start_s, rows.known_until_s);
    closed.record.station = rows.shift.station;
    closed.record.species = rows.shift.species;
    closed.record.timezone = rows.shift.timezone;
    closed.record.shift = rows.shift.name;
    closed.record.start_utc_ns = rows.shift.start_utc_ns;
    if (rows.shift.start_utc_ns) {
        const double length_s = rows.known_until_s - rows.shift.start_s;
        closed.record.end_utc_ns = *rows.shift.start_utc_ns + static_cast<std::int64_t>(length_s * 1e9);
    }
    closed.record.ended_by = "killed";
    closed.record.versions = provenance.versions;
    closed.record.hashes = provenance.hashes;
    closed.passages = rows.passages;
    closed.calls = rows.calls;
    return closed;
}

} // namespace

std::size_t close_killed_shifts(const StationSettings& settings, const Provenance& provenance, Store& store,
                                const ShiftBook::OnClosed& on_closed) {
    std::size_t count = 0;
    for (const StoredShift& shift : store.open_shifts()) {
        const auto rows = store.read_shift(shift.shift_id);
        if (!rows) continue;
        const ClosedShift closed = closed_from(*rows, settings, provenance);
        on_closed(closed);
        const std::vector<StoreRow> end = {
            ShiftClosed{shift.shift_id, rows->known_until_s, std::nullopt, shift_json(closed.record)}};
        store.write(end);
        ++count;
    }
    return count;
}

} // namespace quietpass
