// A real record store with shifts and animals as a test wants them. One thread.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "daemon/records/shift_json.h"
#include "daemon/records/store.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

struct MadeAnimal {
    bool vocal = false;
    Phase phase = Phase::kEntry; // of its one counted call
    double held_for_s = 8.0;
    int prods = 0;
    int stuns = 1;
    std::string excluded{};     // not scored, and why
    std::optional<int> bangs{}; // while held
    std::optional<double>
        bang_after_s{}; // a bang so long after its entry; its call comes 1 s after the entry
    double bang_db = -20.0;
};

class MadeStore {
  public:
    explicit MadeStore(const std::filesystem::path& file) : store_(file) {}

    // Opens a shift at a UTC time; animals come `every_s`, the first one so long after the start.
    std::int64_t shift(const std::string& start, double every_s = 30.0,
                       const std::string& timezone = "America/Denver", const std::string& name = "early") {
        ShiftOpened opened;
        opened.shift_id = store_.next_shift_id();
        opened.station = "box-1";
        opened.timezone = timezone;
        opened.name = name;
        utc_ = StationUtc{*utc_from_text(start), 1e9};
        opened.utc = utc_;
        shift_id_ = opened.shift_id;
        every_s_ = every_s;
        time_s_ = 0.0;
        passages_ = 0;
        calls_ = 0;
        store_.write(std::vector<StoreRow>{opened});
        return shift_id_;
    }

    // So many of the same animal in a row.
    void add(int count, const MadeAnimal& animal = {}) {
        std::vector<StoreRow> rows;
        for (int i = 0; i < count; ++i) add_rows(rows, animal);
        store_.write(rows);
    }

    // `vocal` of `count`, the vocal ones spread evenly.
    void add_share(int vocal, int count, MadeAnimal animal = {}) {
        std::vector<StoreRow> rows;
        for (int i = 0; i < count; ++i) {
            animal.vocal = (i + 1) * vocal / count > i * vocal / count;
            add_rows(rows, animal);
        }
        store_.write(rows);
    }

    void pause(double seconds) { time_s_ += seconds; }

    void close(double limit_percent = 3.0, const std::string& basis = "test guide, first edition") {
        ShiftRecord record;
        record.limit_percent = limit_percent;
        record.basis = basis;
        close(record);
    }
    void close(const ShiftRecord& record) {
        store_.write(
            std::vector<StoreRow>{ShiftClosed{shift_id_, time_s_ + every_s_, utc_, shift_json(record)}});
    }

    Store& store() { return store_; }
    std::int64_t utc_ns(double time_s) const { return *utc_.at(time_s); }

  private:
    void add_rows(std::vector<StoreRow>& rows, const MadeAnimal& animal) {
        time_s_ += every_s_;
        Passage passage;
        passage.id = ++passages_;
        passage.entered_s = time_s_;
        passage.held_s = time_s_ + 4.0;
        passage.stunned_s = passage.held_s + animal.held_for_s;
        passage.end_s = passage.stunned_s + 5.0;
        passage.vocal = animal.vocal;
        passage.calls = animal.vocal ? 1 : 0;
        passage.prods = animal.prods;
        passage.stuns = animal.stuns;
        passage.excluded = animal.excluded;
        passage.covered = animal.excluded.empty();
        passage.bangs = animal.bangs;
        if (animal.bang_after_s) add_bang(rows, passage.id, time_s_ + *animal.bang_after_s, animal.bang_db);
        rows.push_back(PassageRow{shift_id_, passage, utc_});
        if (!animal.vocal) return;
        StationCall call;
        call.id = ++calls_;
        call.microphone = "head";
        call.heard.start_s = time_s_ + 1.0;
        call.heard.end_s = time_s_ + 2.0;
        call.heard.kind = CallKind::kMoo;
        call.passage_id = passage.id;
        call.phase = animal.phase;
        call.counted = true;
        rows.push_back(CallRow{shift_id_, Species::kCattle, call, utc_});
    }

    void add_bang(std::vector<StoreRow>& rows, std::int64_t passage_id, double time_s, double level_db) {
        StationNoise noise;
        noise.microphone = "head";
        noise.heard.kind = NoiseKind::kBang;
        noise.heard.start_s = time_s;
        noise.heard.end_s = time_s;
        noise.heard.level_db = level_db;
        noise.passage_id = passage_id;
        rows.push_back(NoiseRow{shift_id_, noise, utc_});
    }

    Store store_;
    StationUtc utc_;
    std::int64_t shift_id_ = 0;
    double every_s_ = 30.0;
    double time_s_ = 0.0;
    std::int64_t passages_ = 0;
    std::int64_t calls_ = 0;
};

} // namespace quietpass
