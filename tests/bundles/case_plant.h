// A store with a case that is ready to be handed over: a signed shift of twenty animals, two of them vocal,
// clips of both calls as the daemon writes them. One thread.
#pragma once

#include <SQLiteCpp/Database.h>
#include <sndfile.h>

#include <cmath>
#include <numbers>
#include <string>

#include "daemon/bundles/clip_sound.h"
#include "daemon/ledger/head_signer.h"
#include "daemon/records/case_rows.h"
#include "daemon/records/sha256.h"
#include "daemon/review/case_search.h"
#include "tests/contacts/simulated_clock.h"
#include "tests/records/made_store.h"
#include "tests/review/made_clips.h"
#include "tests/test_folder.h"

namespace quietpass {

// Five seconds of two microphones: a voice with syllables all along, a steady tone of one second as the call
// at 2 s.
inline ClipSound spoken_clip() {
    ClipSound clip;
    clip.rate_hz = 16000.0;
    clip.channels = 2;
    clip.format = SF_FORMAT_FLAC | SF_FORMAT_PCM_16;
    for (int i = 0; i < 80000; ++i) {
        const double at_s = i / 16000.0;
        const double turn = 2.0 * std::numbers::pi * at_s;
        double sample = 0.0;
        for (int harmonic = 1; harmonic < 20; ++harmonic)
            sample += std::sin(turn * 120.0 * harmonic) / harmonic;
        sample *= 0.1 * std::max(0.0, std::sin(turn * 2.0));
        if (at_s >= 2.0 && at_s < 3.0) sample += 0.3 * std::sin(turn * 440.0);
        for (const double gain : {1.0, 0.5}) {
            clip.samples.push_back(static_cast<std::int32_t>(std::lround(gain * sample * 20000.0)) * 65536);
        }
    }
    return clip;
}

struct CasePlant {
    TestFolder folder;
    MadeStore made{folder / "records.db"};
    std::int64_t shift = made.shift("2026-03-02T13:00:00Z");
    std::int64_t case_id = 0;
    SimulatedClock clock;

    explicit CasePlant(bool with_key = true) {
        std::filesystem::create_directories(folder / "clips");
        if (with_key) {
            store().change([&](SQLite::Database& database) {
                open_station_key(database, folder / "key" / "station.key", clock);
            });
        }
        made.add(2, {.vocal = true});
        made.add(18);
        for (const int number : {1, 2}) {
            const std::string name = "clips/" + std::to_string(number) + ".flac";
            const std::string bytes = flac_of(spoken_clip());
            folder.write(name, bytes);
            // Calls begin a second after the entry, 30 s apart, and two seconds after their clip's start.
            const double start_s = 30.0 * number - 1.0;
            add_clip(store(), {.clip_id = number,
                               .shift_id = shift,
                               .passage_id = number,
                               .call_id = number,
                               .start_s = start_s,
                               .end_s = start_s + 5.0,
                               .start_utc_ns = made.utc_ns(start_s),
                               .file = name,
                               .sha256 = sha256_hex(bytes),
                               .microphones = "head,race"});
        }
        made.close();
        sign("shift");
        // Records of later that are not of the case.
        made.shift("2026-03-03T13:00:00Z");
        made.add(30);
        made.close();
        sign("shift");
        CaseFile file;
        file.reference = "C-7";
        file.asked_by = "a neighbour";
        file.by = "B. Lead";
        file.utc_ns = clock.utc_ns();
        store().change([&](SQLite::Database& database) { case_id = file.id = add_case(database, file); });
        CaseWish wish;
        wish.shift_id = shift;
        wish.passages = {1, 2};
        std::vector<CaseEvent> events = search_for_case(store(), file, wish);
        store().change([&](SQLite::Database& database) {
            for (const CaseEvent& event : events) add_case_event(database, event);
        });
    }

    Store& store() { return made.store(); }

    std::filesystem::path key_file() const { return folder / "key" / "station.key"; }

    void sign(std::string_view why) {
        if (!std::filesystem::exists(key_file())) return;
        HeadSigner signer(StationKey::load(key_file()), key_file(), clock);
        store().change([&](SQLite::Database& database) {
            Ledger ledger(database);
            signer.sign(database, ledger, why);
        });
    }
};

} // namespace quietpass
