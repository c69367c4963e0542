// What a scenario file (TOML) says, checked: the recipe of a made shift. Plain values; FORMAT.md describes
// every key, scenario_file.h reads it. Levels in dB, times in seconds, distances in metres, frequencies in
// Hz.
#pragma once

#include <cstdint>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "classifiers/species.h"
#include "daemon/contacts/edge.h"
#include "daemon/passages/passage.h"
#include "daemon/settings/station_settings.h"

namespace quietpass::scenario {

inline constexpr double kOff = -std::numeric_limits<double>::infinity(); // a level that is not there

// A normal distribution cut off at both ends.
struct Spread {
    double mean = 0.0;
    double sd = 0.0;
    double least = 0.0;
    double most = 0.0;
};

// The recordings of a class, sorted by recording name and numbered from 0, fall into folds: number mod `of`.
struct Fold {
    int of = 1;
    int number = 0;
    bool exclude = false; // false: only this fold; true: all but this fold
};

// Which recordings of a class may be used. Names are the manifest's `recording` or `path`.
struct Selection {
    std::vector<std::string> include; // empty: all
    std::vector<std::string> exclude;
    std::vector<std::string> tiers; // empty: all
    std::optional<Fold> fold;
};

struct CycleSettings {
    Spread entered_to_body_held_s{5.0, 1.5, 2.0, 12.0};
    Spread body_held_to_held_s{4.0, 1.0, 2.0, 9.0};
    Spread held_to_stunned_s{6.0, 2.0, 3.0, 20.0};
    Spread stunned_to_released_s{9.0, 2.0, 5.0, 20.0};
};

struct CallSettings {
    std::string recordings_class; // "cattle", "pig_squeal"
    double vocal_share = 0.0;     // of passages; the number of vocal passages is the rounded product
    std::map<Phase, double> phase_weights{
        {Phase::kEntry, 1.0}, {Phase::kBodyHeld, 2.0}, {Phase::kHeld, 3.0}, {Phase::kAtStun, 0.5}};
    std::vector<double> number_weights{0.7, 0.2, 0.1}; // weight of 1, 2, 3 … calls in a vocal passage
    double snr_db = 15.0;
    double snr_sd_db = 0.0;
    double entry_from_m = 0.0;     // an animal's head is so far up the race when it enters, at 0 once held
    double after_stun_share = 0.0; // of passages: one call after the stun, never counted
};

// Sounds of animals that must not count: grunts of the animal in the restrainer, calls of those that wait.
struct GruntSettings {
    double share = 0.0; // of passages
    double snr_db = 12.0;
};

struct WaitingSettings {
    double per_hour = 0.0;
    int count = 0;           // beside per_hour: exactly this many more
    double snr_db = 3.0;     // on the first microphone; with like_calls: above or below what distance makes
    bool like_calls = false; // as loud at the mouth as the calls that count
    // Where they wait, evenly drawn, metres up the race; 0: at the microphones' race_distance_m.
    double nearest_m = 0.0;
    double farthest_m = 0.0;
    double low_pass_hz = 1800.0;
    bool only_when_empty = false; // only while no animal is in the restrainer
};

// A sound of the plant that is no call: from recordings of a class, or made.
struct Disturbance {
    std::string recordings_class; // empty: made
    std::string made;             // "bang", "clang", "air", "shot", "horn"
    std::optional<Role> at;       // at each passage's edge of this role; none: at random moments
    double share = 1.0;           // of passages, with `at`
    double per_hour = 0.0;        // without `at`
    double delay_s = 0.0;
    double jitter_s = 0.05;
    double level_db = 10.0; // loudest 125 ms (RMS, Z) over the bed's long-run RMS
    double level_sd_db = 3.0;
    double distance_m = 3.0;       // from the first microphone
    double clear_of_calls_s = 0.0; // with per_hour: none this long before, in or after a call
};

struct Fan {
    double tone_hz = 100.0; // blade passing frequency
    double level_db = -6.0;
};

// Levels of the parts are relative to each other; the sum is brought to level_db.
struct BedSettings {
    double level_db = -36.0; // long-run RMS, Z, dB re full scale (a sine at full scale is -3)
    double sway_db = 1.5;    // standard deviation of the slow unsteadiness
    double room_db = 0.0;    // pink noise of the hall
    double hiss_db = -20.0;
    std::vector<Fan> fans{{117.0, -5.0}, {93.0, -8.0}};
    double hum_db = -10.0; // compressor
    double hum_hz = 60.0;
    double hum_on_s = 80.0;
    double hum_off_s = 50.0;
    double rattle_db = -12.0; // conveyor; still while the line is stopped
    double rattle_hz = 7.5;
    double drips_db = -18.0;
    double drips_per_minute = 40.0;
    std::string clips_class; // real recordings, cross-faded one into the next
    double clips_db = kOff;
};

struct MicrophoneScene {
    std::string name = "head";
    double distance_m = 1.5;      // to the head of the animal in the restrainer
    double race_distance_m = 9.0; // to the animals that wait
    // Up the race from the held animal's head, and beside it: in place of the two distances.
    std::optional<double> up_race_m;
    double off_race_m = 1.5;
    double gain_db = 0.0;
    double low_cut_hz = 30.0;
    double high_cut_hz = 18000.0;
    double peak_db = 0.0; // a resonance of the capsule or its housing
    double peak_hz = 4000.0;
    double self_noise_db = -85.0; // dB re full scale
};

struct RoomSettings {
    double rt60_s = 1.0;
    double near_wet_db =
        -14.0;               // energy of the reverberation against the direct sound, animal in the restrainer
    double far_wet_db = 0.0; // animals that wait, disturbances beyond 6 m
};

// A call that stands in the file itself, for demonstrations and tests.
struct AskedCall {
    Phase phase = Phase::kHeld;
    std::string recording;            // empty: drawn
    std::optional<double> snr_db;     // none: [calls] snr_db
    std::optional<double> into_phase; // onset as a share of the phase, 0 … 1; none: drawn
};

struct AskedPassage {
    int number = 0; // from 1
    bool second_stun = false;
    int prods = 0;
    std::vector<AskedCall> calls;
};

struct LineStop {
    int passage = 0;
    bool during = false; // false: after this passage was released; true: while the animal is held
    double lasts_s = 30.0;
};

struct Scenario {
    Species species = Species::kCattle;
    RestraintKind kind = RestraintKind::kBox;
    int passages = 20;
    double line_rate_per_hour = 80.0;
    double line_rate_jitter = 0.1; // standard deviation of the time between entries, share of its mean
    std::uint64_t seed = 1;
    double lead_in_s = 8.0;
    double lead_out_s = 8.0;
    double at_stun_s = 0.5;
    double border_clear_s = 0.3; // call onsets keep this far from every border of a phase
    std::vector<Role> roles{Role::kEntered, Role::kBodyHeld, Role::kHeld, Role::kStunned, Role::kReleased};
    double bounce_share = 0.0; // of edges that chatter for some milliseconds
    double second_stun_share = 0.0;
    double prod_share = 0.0; // of passages
    int prods_most = 3;
    int sample_rate_hz = 48000;
    bool float_samples = false;
    double snr_low_hz = 0.0; // band in which snr_db is meant; set from the species unless given
    double snr_high_hz = 0.0;

    CycleSettings cycle;
    CallSettings calls;
    GruntSettings grunts;
    WaitingSettings waiting;
    std::vector<Disturbance> disturbances;
    BedSettings bed;
    RoomSettings room;
    std::vector<MicrophoneScene> microphones;
    std::vector<LineStop> line_stops;
    std::vector<AskedPassage> asked;

    std::string recordings_folder; // as resolved against the scenario file; may be empty
    std::string manifest;          // empty: MANIFEST.tsv in the folder, else beside it
    std::string labels;            // empty: labels/calls.tsv beside the manifest, if it is there
    Selection selection;           // for every class
    std::map<std::string, Selection> class_selection; // replaces it for a class

    std::string file;

    bool has(Role role) const {
        for (const Role wired : roles) {
            if (wired == role) return true;
        }
        return false;
    }
    // The role that ends the restraint: `cut` where it is wired in place of `stunned`.
    Role stun_role() const { return has(Role::kCut) ? Role::kCut : Role::kStunned; }
};

} // namespace quietpass::scenario
