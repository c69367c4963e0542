#include "daemon/evaluation/shift_truth.h"

#include <fmt/format.h>
#include <algorithm>
#include <map>
#include <set>

#include "classifiers/evaluation/time_matching.h"
#include "daemon/failure.h"
#include "daemon/records/delimited_table.h"

namespace quietpass {

namespace {

namespace fs = std::filesystem;
using evaluation::JudgedPassage;
using evaluation::Standing;

struct Places {
    fs::path scored; // folder
    fs::path truth;  // file
};

Places find_files(const fs::path& folder, const fs::path& truth) {
    Places places;
    places.scored = fs::exists(folder / "passages.csv") ? folder : folder / "scored";
    if (!fs::exists(places.scored / "passages.csv")) {
        throw Failure(kExitFailure, folder.string() +
                                        ": no passages.csv there; name the folder that `quietpass score` or "
                                        "`run` wrote");
    }
    places.truth = truth;
    if (!truth.empty()) return places;
    for (const fs::path& near : {folder, fs::absolute(places.scored).lexically_normal().parent_path()}) {
        places.truth = near / "truth.csv";
        if (fs::exists(places.truth)) return places;
    }
    throw Failure(kExitFailure,
                  folder.string() + ": no truth.csv there or in the folder above; name it with --truth");
}

struct TruePassage {
    std::int64_t number = 0; // 0: not given
    std::optional<double> entered_s;
    bool vocal = false;
};

std::vector<TruePassage> read_truth(const fs::path& file) {
    DelimitedTable table(file, Delimiter::kComma);
    if (!table.has("vocal") || !(table.has("entered_s") || table.has("passage")))
        table.fail("expected the columns vocal and entered_s (or passage)");
    std::vector<TruePassage> passages;
    while (table.next()) {
        const std::optional<bool> vocal = table.yes_no("vocal");
        if (!vocal) continue; // nobody looked
        const TruePassage passage{table.count("passage").value_or(0), table.number("entered_s"), *vocal};
        if (!passage.entered_s && passage.number == 0)
            table.fail("entered_s or passage must say which passage this is");
        passages.push_back(passage);
    }
    if (passages.empty()) table.fail("no passage with a vocal of 1 or 0 in this file");
    return passages;
}

std::vector<JudgedPassage> read_record(const fs::path& file, const std::string& shift) {
    DelimitedTable table(file, Delimiter::kComma);
    std::vector<JudgedPassage> passages;
    while (table.next()) {
        JudgedPassage passage;
        passage.shift = shift;
        passage.number = table.count("passage_id").value_or(0);
        passage.entered_s = table.number("entered_s").value_or(0.0);
        passage.called = table.yes_no("vocal").value_or(false);
        const bool heard =
            table.yes_no("covered").value_or(false) && !table.cell("flags").starts_with("excluded=");
        passage.standing = heard ? Standing::kJudged : Standing::kNotCovered;
        passages.push_back(passage);
    }
    return passages;
}

// For each true passage its place in the record.
std::vector<std::optional<std::size_t>> match(const std::vector<TruePassage>& truth,
                                              const std::vector<JudgedPassage>& record,
                                              double entry_within_s) {
    const bool by_time =
        std::all_of(truth.begin(), truth.end(), [](const TruePassage& p) { return p.entered_s.has_value(); });
    if (by_time) {
        std::vector<double> wanted;
        std::vector<double> found;
        for (const TruePassage& passage : truth) wanted.push_back(*passage.entered_s);
        for (const JudgedPassage& passage : record) found.push_back(passage.entered_s);
        return evaluation::match_times(wanted, found, entry_within_s);
    }
    std::vector<std::optional<std::size_t>> partner(truth.size());
    for (std::size_t i = 0; i < truth.size(); ++i) {
        const auto found = std::find_if(record.begin(), record.end(), [&](const JudgedPassage& passage) {
            return passage.number == truth[i].number;
        });
        if (found != record.end()) partner[i] = static_cast<std::size_t>(found - record.begin());
    }
    return partner;
}

void check_same_shift(const std::vector<std::optional<std::size_t>>& partner, const Places& places,
                      double entry_within_s) {
    const auto met =
        std::count_if(partner.begin(), partner.end(), [](const auto& p) { return p.has_value(); });
    if (2 * met >= static_cast<std::ptrdiff_t>(partner.size())) return;
    throw Failure(
        kExitFailure,
        fmt::format("{}: only {} of its {} passages are in {} (entries within {} s); give the truth "
                    "of this shift, in seconds from its first audio sample, or widen --entry-within",
                    places.truth.string(), met, partner.size(), (places.scored / "passages.csv").string(),
                    entry_within_s));
}

// What the true calls add to their passages: how clear the clearest one was, and its recording.
struct Clearest {
    double snr_db = 0.0;
    std::string recording;
};

std::map<std::int64_t, Clearest> clearest_calls(const fs::path& file) {
    std::map<std::int64_t, Clearest> clearest;
    if (!fs::exists(file)) return clearest;
    DelimitedTable table(file, Delimiter::kComma);
    while (table.next()) {
        const std::optional<std::int64_t> passage = table.count("passage");
        const std::optional<double> snr_db = table.number("snr_db");
        if (!passage || !snr_db || !table.yes_no("counted").value_or(false)) continue;
        const auto [at, fresh] = clearest.try_emplace(*passage);
        if (fresh || *snr_db > at->second.snr_db) at->second = {*snr_db, table.cell_or_empty("recording")};
    }
    return clearest;
}

evaluation::TimeSpan span_in(const DelimitedTable& table) {
    const evaluation::TimeSpan span{table.seconds("start_s"), table.seconds("end_s")};
    if (span.end_s <= span.start_s) table.fail("end_s must be after start_s");
    return span;
}

using StandingOf = std::map<std::string, Standing>; // by the number in words, as it stands in the tables

// Calls of a passage that isn't judged are in no figure either.
bool left_out(const StandingOf& standing, const std::string& passage) {
    const auto found = standing.find(passage);
    return !passage.empty() && (found == standing.end() || found->second != Standing::kJudged);
}

void read_true_calls(const fs::path& file, const StandingOf& standing, evaluation::ShiftEvents& events,
                     std::string& species) {
    DelimitedTable table(file, Delimiter::kComma);
    while (table.next()) {
        const std::string& kind = table.cell("class");
        if (left_out(standing, table.cell_or_empty("passage"))) continue;
        if (kind == "pig_grunt") {
            events.others.push_back({span_in(table), kind});
            continue;
        }
        species = kind == "pig_squeal" ? "pig" : kind;
        evaluation::TrueCall call;
        call.span = span_in(table);
        call.recording = table.cell_or_empty("recording");
        call.phase = table.cell_or_empty("phase");
        call.snr_db = table.number("snr_db");
        events.calls.push_back(call);
    }
}

void read_sounds(const fs::path& file, evaluation::ShiftEvents& events) {
    if (!fs::exists(file)) return;
    DelimitedTable table(file, Delimiter::kComma);
    while (table.next()) events.others.push_back({span_in(table), table.cell("class")});
}

void read_found_calls(const fs::path& file, const StandingOf& standing,
                      const std::set<std::string>& quiet_passages, std::optional<int> level,
                      evaluation::ShiftEvents& events) {
    DelimitedTable table(file, Delimiter::kComma);
    while (table.next()) {
        const std::string& passage = table.cell("passage_id");
        if (table.cell("kind") == "grunt" || left_out(standing, passage)) continue;
        evaluation::FoundCall found;
        found.span = span_in(table);
        found.level = level;
        if (table.yes_no("counted").value_or(false) && quiet_passages.contains(passage))
            found.quiet_passage = passage;
        events.found.push_back(found);
    }
}

} // namespace

ShiftTruth read_shift_truth(const fs::path& folder, const fs::path& truth_file, double entry_within_s) {
    const Places places = find_files(folder, truth_file);
    const std::vector<TruePassage> truth = read_truth(places.truth);
    ShiftTruth out;
    out.passages = read_record(places.scored / "passages.csv", folder.string());
    const auto partner = match(truth, out.passages, entry_within_s);
    check_same_shift(partner, places, entry_within_s);

    const fs::path beside = places.truth.parent_path();
    const std::map<std::int64_t, Clearest> clearest = clearest_calls(beside / "truth_calls.csv");
    StandingOf true_standing;
    StandingOf record_standing;
    std::set<std::string> quiet_passages;
    std::vector<bool> known(out.passages.size(), false);
    for (std::size_t i = 0; i < truth.size(); ++i) {
        JudgedPassage lost;
        if (!partner[i]) {
            lost.shift = folder.string();
            lost.number = truth[i].number;
            lost.entered_s = truth[i].entered_s.value_or(0.0);
            lost.standing = Standing::kNotInRecord;
        } else {
            known[*partner[i]] = true;
        }
        JudgedPassage& passage = partner[i] ? out.passages[*partner[i]] : lost;
        passage.vocal = truth[i].vocal;
        if (const auto call = clearest.find(truth[i].number); call != clearest.end() && passage.vocal) {
            passage.snr_db = call->second.snr_db;
            passage.recording = call->second.recording;
        }
        true_standing[std::to_string(truth[i].number)] = passage.standing;
        if (!partner[i]) out.passages.push_back(lost);
    }
    for (std::size_t i = 0; i < known.size(); ++i) {
        JudgedPassage& passage = out.passages[i];
        if (!known[i]) passage.standing = Standing::kNoTruth;
        const std::string number = std::to_string(passage.number);
        record_standing[number] = passage.standing;
        if (passage.standing == Standing::kJudged && !passage.vocal) quiet_passages.insert(number);
    }

    if (!fs::exists(beside / "truth_calls.csv") || !fs::exists(places.scored / "calls.csv")) return out;
    const auto levels = evaluation::levels_of_shifts(out.passages);
    const auto level = levels.find(folder.string());
    out.events.emplace();
    read_true_calls(beside / "truth_calls.csv", true_standing, *out.events, out.species);
    read_sounds(beside / "truth_sounds.csv", *out.events);
    read_found_calls(places.scored / "calls.csv", record_standing, quiet_passages,
                     level == levels.end() ? std::nullopt : std::optional(level->second), *out.events);
    judge_events(*out.events);
    return out;
}

} // namespace quietpass
