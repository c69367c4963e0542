#include "tests/scenario/scenario_file.h"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "classifiers/toml_text.h"
#include "daemon/failure.h"
#include "tests/scenario/strict_table.h"

namespace quietpass::scenario {

namespace {

constexpr double kLow = -120.0;
constexpr double kHigh = 60.0;

Role role_of(StrictTable& table, const char* key, const std::string& word) {
    const std::optional<Role> role = role_from(word);
    if (!role) {
        table.complain(
            key,
            "expected roles (entered, body_held, held, stunned, cut, released, prodded, stopped), found '" +
                word + "'");
    }
    return *role;
}

Phase phase_of(StrictTable& table, const char* key, const std::string& word) {
    for (const Phase phase :
         {Phase::kEntry, Phase::kBodyHeld, Phase::kHeld, Phase::kAtStun, Phase::kAfterStun}) {
        if (word == name_of(phase)) return phase;
    }
    table.complain(key,
                   "expected a phase (entry, body_held, held, at_stun, after_stun), found '" + word + "'");
}

void read_spread(StrictTable& table, const char* key, Spread& spread) {
    if (!table.has(key)) return;
    StrictTable values = table.child(key);
    spread.mean = values.number("mean", spread.mean, 0.1, 3600);
    spread.sd = values.number("sd", 0.0, 0, 3600);
    spread.least = values.number("least", std::max(0.1, spread.mean - 3 * spread.sd), 0.1, 3600);
    spread.most = values.number("most", spread.mean + 3 * spread.sd, 0.1, 3600);
    if (spread.least > spread.mean || spread.most < spread.mean) {
        table.complain(key, "expected least <= mean <= most");
    }
    values.done();
}

Selection read_selection(StrictTable& table) {
    Selection selection;
    selection.include = table.texts("include");
    selection.exclude = table.texts("exclude");
    selection.tiers = table.texts("tiers");
    if (table.has("fold")) {
        StrictTable fold = table.child("fold");
        Fold chosen;
        chosen.of = fold.integer("of", 5, 2, 1000);
        if (fold.has("use") == fold.has("exclude")) {
            table.complain("fold", "expected either use or exclude, as in { of = 5, use = 2 }");
        }
        chosen.exclude = fold.has("exclude");
        chosen.number = fold.integer(chosen.exclude ? "exclude" : "use", 0, 0, chosen.of - 1);
        fold.done();
        selection.fold = chosen;
    }
    return selection;
}

void read_recordings(StrictTable& file, Scenario& s) {
    StrictTable table = file.child("recordings");
    const std::filesystem::path base = std::filesystem::path(s.file).parent_path();
    const std::string folder = table.text("folder", "");
    const std::string manifest = table.text("manifest", "");
    if (!folder.empty()) s.recordings_folder = (base / folder).lexically_normal().string();
    if (!manifest.empty()) s.manifest = (base / manifest).lexically_normal().string();
    const std::string labels = table.text("labels", "");
    if (!labels.empty()) s.labels = (base / labels).lexically_normal().string();
    s.selection = read_selection(table);
    StrictTable classes = table.child("class");
    for (const std::string& name : classes.keys()) {
        StrictTable one = classes.child(name.c_str());
        Selection selection = read_selection(one);
        if (!one.has("fold")) selection.fold = s.selection.fold;
        if (!one.has("tiers")) selection.tiers = s.selection.tiers;
        one.done();
        s.class_selection[name] = selection;
    }
    classes.done();
    table.done();
}

void read_shift(StrictTable& file, Scenario& s) {
    StrictTable table = file.child("shift");
    s.species = *species_from(table.word("species", "cattle", {"cattle", "pig", "sheep"}));
    s.kind = table.word("kind", "box", {"box", "conveyor"}) == "box" ? RestraintKind::kBox
                                                                     : RestraintKind::kConveyor;
    s.passages = table.integer("passages", s.passages, 0, 100000);
    s.line_rate_per_hour = table.number("line_rate_per_hour", s.line_rate_per_hour, 1, 3000);
    s.line_rate_jitter = table.number("line_rate_jitter", s.line_rate_jitter, 0, 1);
    s.seed = static_cast<std::uint64_t>(table.integer("seed", 1, 0, 2147483647));
    s.lead_in_s = table.number("lead_in_s", s.lead_in_s, 1, 36000);
    s.lead_out_s = table.number("lead_out_s", s.lead_out_s, 1, 36000);
    s.at_stun_s = table.number("at_stun_s", s.at_stun_s, 0, 5);
    s.border_clear_s = table.number("border_clear_s", s.border_clear_s, 0, 5);
    if (table.has("roles")) {
        s.roles.clear();
        for (const std::string& word : table.texts("roles")) {
            const Role role = role_of(table, "roles", word);
            if (s.has(role)) table.complain("roles", "'" + word + "' stands twice");
            s.roles.push_back(role);
        }
        if (s.has(Role::kCut) && s.has(Role::kStunned)) {
            table.complain("roles", "cut stands in place of stunned, expected one of them");
        }
    }
    s.bounce_share = table.number("bounce_share", 0, 0, 1);
    s.second_stun_share = table.number("second_stun_share", 0, 0, 1);
    if (s.second_stun_share > 0 && s.kind == RestraintKind::kConveyor) {
        table.complain("second_stun_share",
                       "on a conveyor a second stun can't be told from the next animal's first");
    }
    s.prod_share = table.number("prod_share", 0, 0, 1);
    s.prods_most = table.integer("prods_most", s.prods_most, 1, 20);
    table.done();
}

void read_audio(StrictTable& file, Scenario& s) {
    StrictTable table = file.child("audio");
    s.sample_rate_hz = table.integer("sample_rate_hz", s.sample_rate_hz, 8000, 192000);
    s.float_samples = table.word("samples", "int16", {"int16", "float"}) == "float";
    const bool pig = s.species == Species::kPig;
    const std::vector<double> band =
        table.numbers("snr_band_hz", {pig ? 500.0 : 80.0, pig ? 7000.0 : 2500.0}, 10, 96000);
    if (band.size() != 2 || band[0] * 1.2 > band[1]) {
        table.complain("snr_band_hz", "expected two frequencies, the low one first");
    }
    s.snr_low_hz = band[0];
    s.snr_high_hz = std::min(band[1], 0.45 * s.sample_rate_hz);
    table.done();
}

void read_calls(StrictTable& file, Scenario& s) {
    StrictTable calls = file.child("calls");
    const char* of_species = s.species == Species::kPig     ? "pig_squeal"
                             : s.species == Species::kSheep ? "sheep"
                                                            : "cattle";
    s.calls.recordings_class = calls.text("class", of_species);
    s.calls.vocal_share = calls.number("vocal_share", 0, 0, 1);
    if (calls.has("phases")) {
        StrictTable phases = calls.child("phases");
        s.calls.phase_weights.clear();
        double sum = 0.0;
        for (const std::string& word : phases.keys()) {
            const Phase phase = phase_of(calls, "phases", word);
            if (phase == Phase::kAfterStun) {
                calls.complain("phases", "after_stun never counts: set after_stun_share instead");
            }
            sum += s.calls.phase_weights[phase] = phases.number(word.c_str(), 0, 0, 1000);
        }
        if (sum <= 0.0) calls.complain("phases", "expected at least one weight above 0");
    }
    s.calls.number_weights = calls.numbers("number_weights", s.calls.number_weights, 0, 1000);
    s.calls.snr_db = calls.number("snr_db", s.calls.snr_db, -30, kHigh);
    s.calls.snr_sd_db = calls.number("snr_sd_db", 0, 0, 20);
    s.calls.entry_from_m = calls.number("entry_from_m", 0, 0, 20);
    s.calls.after_stun_share = calls.number("after_stun_share", 0, 0, 1);
    calls.done();

    StrictTable grunts = file.child("grunts");
    s.grunts.share = grunts.number("share", 0, 0, 1);
    s.grunts.snr_db = grunts.number("snr_db", s.grunts.snr_db, -30, kHigh);
    grunts.done();

    StrictTable waiting = file.child("waiting");
    s.waiting.per_hour = waiting.number("per_hour", 0, 0, 3600);
    s.waiting.count = waiting.integer("count", 0, 0, 10000);
    s.waiting.snr_db = waiting.number("snr_db", s.waiting.snr_db, -30, kHigh);
    s.waiting.like_calls = waiting.flag("like_calls", false);
    if (s.waiting.like_calls && !waiting.has("snr_db")) s.waiting.snr_db = 0.0;
    s.waiting.nearest_m = waiting.number("nearest_m", 0, 0, 100);
    s.waiting.farthest_m = waiting.number("farthest_m", s.waiting.nearest_m, 0, 100);
    if (s.waiting.farthest_m < s.waiting.nearest_m) {
        waiting.complain("farthest_m", "expected no less than nearest_m");
    }
    s.waiting.low_pass_hz = waiting.number("low_pass_hz", s.waiting.low_pass_hz, 100, 20000);
    s.waiting.only_when_empty = waiting.flag("only_when_empty", false);
    waiting.done();
}

void read_disturbances(StrictTable& file, Scenario& s) {
    for (StrictTable& table : file.children("disturbance")) {
        Disturbance d;
        d.recordings_class = table.text("class", "");
        if (d.recordings_class.empty() == !table.has("made"))
            table.complain("class", "expected either class or made");
        if (table.has("made")) d.made = table.word("made", "", {"bang", "clang", "air", "shot", "horn"});
        const std::string at = table.text("at", "");
        if (!at.empty()) d.at = role_of(table, "at", at);
        d.share = table.number("share", 1, 0, 1);
        d.per_hour = table.number("per_hour", 0, 0, 36000);
        if (d.at.has_value() == (d.per_hour > 0)) table.complain("at", "expected either at or per_hour");
        if (d.at == Role::kStopped) table.complain("at", "expected a role of the passage");
        d.delay_s = table.number("delay_s", 0, -5, 60);
        d.jitter_s = table.number("jitter_s", d.jitter_s, 0, 60);
        d.level_db = table.number("level_db", d.level_db, -40, kHigh);
        d.level_sd_db = table.number("level_sd_db", d.level_sd_db, 0, 20);
        d.distance_m = table.number("distance_m", d.distance_m, 0.1, 100);
        d.clear_of_calls_s = table.number("clear_of_calls_s", 0, 0, 60);
        table.done();
        s.disturbances.push_back(d);
    }
}

void read_bed(StrictTable& file, Scenario& s) {
    StrictTable table = file.child("bed");
    BedSettings& bed = s.bed;
    bed.level_db = table.number("level_db", bed.level_db, kLow, -6);
    bed.sway_db = table.number("sway_db", bed.sway_db, 0, 12);
    bed.room_db = table.number("room_db", bed.room_db, kLow, kHigh);
    bed.hiss_db = table.number("hiss_db", bed.hiss_db, kLow, kHigh);
    if (table.has("fan")) {
        bed.fans.clear();
        for (StrictTable& one : table.children("fan")) {
            Fan fan;
            fan.tone_hz = one.number("tone_hz", fan.tone_hz, 10, 2000);
            fan.level_db = one.number("level_db", fan.level_db, kLow, kHigh);
            one.done();
            bed.fans.push_back(fan);
        }
    }
    bed.hum_db = table.number("hum_db", bed.hum_db, kLow, kHigh);
    bed.hum_hz = table.number("hum_hz", bed.hum_hz, 10, 400);
    bed.hum_on_s = table.number("hum_on_s", bed.hum_on_s, 1, 100000);
    bed.hum_off_s = table.number("hum_off_s", bed.hum_off_s, 0, 100000);
    bed.rattle_db = table.number("rattle_db", bed.rattle_db, kLow, kHigh);
    bed.rattle_hz = table.number("rattle_hz", bed.rattle_hz, 0.1, 100);
    bed.drips_db = table.number("drips_db", bed.drips_db, kLow, kHigh);
    bed.drips_per_minute = table.number("drips_per_minute", bed.drips_per_minute, 0.1, 3000);
    bed.clips_class = table.text("clips", "");
    bed.clips_db = bed.clips_class.empty() ? kOff : table.number("clips_db", 0, kLow, kHigh);
    table.done();

    StrictTable room = file.child("room");
    s.room.rt60_s = room.number("rt60_s", s.room.rt60_s, 0.1, 5);
    s.room.near_wet_db = room.number("near_wet_db", s.room.near_wet_db, -60, 12);
    s.room.far_wet_db = room.number("far_wet_db", s.room.far_wet_db, -60, 12);
    room.done();
}

void read_microphones(StrictTable& file, Scenario& s) {
    for (StrictTable& table : file.children("microphone")) {
        MicrophoneScene m;
        m.name = table.text("name", m.name);
        for (const MicrophoneScene& other : s.microphones) {
            if (other.name == m.name) table.complain("name", "'" + m.name + "' stands twice");
        }
        m.distance_m = table.number("distance_m", m.distance_m, 0.1, 50);
        m.race_distance_m = table.number("race_distance_m", m.race_distance_m, 0.1, 100);
        m.off_race_m = table.number("off_race_m", m.off_race_m, 0.1, 20);
        if (table.has("up_race_m")) {
            m.up_race_m = table.number("up_race_m", 0, -20, 100);
            m.distance_m = std::hypot(*m.up_race_m, m.off_race_m);
            if (table.has("distance_m") || (table.has("race_distance_m") && s.waiting.nearest_m > 0.0)) {
                table.complain("up_race_m", "expected it in place of distance_m and race_distance_m");
            }
        } else if (s.waiting.nearest_m > 0.0 || s.calls.entry_from_m > 0.0) {
            table.complain("up_race_m", "expected it, for animals are at places along the race");
        }
        m.gain_db = table.number("gain_db", 0, -40, 40);
        m.low_cut_hz = table.number("low_cut_hz", m.low_cut_hz, 1, 1000);
        m.high_cut_hz = table.number("high_cut_hz", m.high_cut_hz, 1000, 96000);
        m.peak_db = table.number("peak_db", 0, -20, 20);
        m.peak_hz = table.number("peak_hz", m.peak_hz, 50, 20000);
        m.self_noise_db = table.number("self_noise_db", m.self_noise_db, -140, -30);
        table.done();
        s.microphones.push_back(m);
    }
    if (s.microphones.empty()) s.microphones.emplace_back();
}

void read_asked(StrictTable& file, Scenario& s) {
    for (StrictTable& table : file.children("passage")) {
        AskedPassage asked;
        asked.number = table.integer("number", 0, 1, 100000);
        if (asked.number < 1 || asked.number > s.passages) {
            table.complain("number", "expected a passage from 1 to " + std::to_string(s.passages));
        }
        asked.second_stun = table.flag("second_stun", false);
        if (asked.second_stun && s.kind == RestraintKind::kConveyor) {
            table.complain("second_stun",
                           "on a conveyor a second stun can't be told from the next animal's first");
        }
        asked.prods = table.integer("prods", 0, 0, 20);
        for (StrictTable& one : table.children("call")) {
            AskedCall call;
            call.phase = phase_of(one, "phase", one.text("phase", "held"));
            call.recording = one.text("recording", "");
            if (one.has("snr_db")) call.snr_db = one.number("snr_db", 0, -30, kHigh);
            if (one.has("into_phase")) call.into_phase = one.number("into_phase", 0, 0, 1);
            one.done();
            asked.calls.push_back(call);
        }
        table.done();
        s.asked.push_back(asked);
    }
    for (StrictTable& table : file.children("line_stop")) {
        LineStop stop;
        if (table.has("after_passage") == table.has("during_passage")) {
            table.complain("after_passage", "expected either after_passage or during_passage");
        }
        stop.during = table.has("during_passage");
        const char* key = stop.during ? "during_passage" : "after_passage";
        stop.passage = table.integer(key, 1, 1, 100000);
        if (stop.passage > s.passages) {
            table.complain(key, "expected a passage from 1 to " + std::to_string(s.passages));
        }
        stop.lasts_s = table.number("lasts_s", stop.lasts_s, 1, 36000);
        table.done();
        s.line_stops.push_back(stop);
    }
}

void read_cycle(StrictTable& file, Scenario& s) {
    StrictTable table = file.child("cycle");
    if (s.species == Species::kPig) {
        // Pigs go through faster than cattle: common practice.
        s.cycle.entered_to_body_held_s = {2.0, 0.4, 1.2, 4.0};
        s.cycle.body_held_to_held_s = {2.0, 0.4, 1.2, 4.0};
        s.cycle.held_to_stunned_s = {3.0, 0.8, 1.5, 8.0};
        s.cycle.stunned_to_released_s = {4.0, 0.8, 2.5, 8.0};
    }
    read_spread(table, "entered_to_body_held_s", s.cycle.entered_to_body_held_s);
    read_spread(table, "body_held_to_held_s", s.cycle.body_held_to_held_s);
    read_spread(table, "held_to_stunned_s", s.cycle.held_to_stunned_s);
    read_spread(table, "stunned_to_released_s", s.cycle.stunned_to_released_s);
    table.done();
}

} // namespace

Scenario parse_scenario(const std::string& text, const std::string& name) {
    toml::table parsed;
    try {
        parsed = toml_from(text, name);
    } catch (const toml::parse_error& error) {
        throw Failure(kExitUsage, name + ":" + std::to_string(error.source().begin.line) +
                                      ": not TOML: " + std::string(error.description()));
    }
    Scenario s;
    s.file = name;
    StrictTable file(name, "", &parsed);
    read_shift(file, s);
    read_audio(file, s);
    read_cycle(file, s);
    read_calls(file, s);
    read_disturbances(file, s);
    read_bed(file, s);
    read_microphones(file, s);
    read_asked(file, s);
    read_recordings(file, s);
    file.done();
    return s;
}

Scenario read_scenario(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream text;
    if (!in || !(text << in.rdbuf())) {
        throw Failure(kExitUsage, path + ": can't be read: give the path of a scenario file");
    }
    return parse_scenario(text.str(), path);
}

} // namespace quietpass::scenario
