// What a station file (TOML) says, checked. Plain values; parsing and its errors are in station_file.h.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "classifiers/species.h"
#include "daemon/contacts/edge.h"
#include "daemon/settings/alarm_settings.h"
#include "daemon/settings/clip_settings.h"
#include "daemon/settings/delivery_settings.h"
#include "daemon/settings/level_reference.h"
#include "daemon/settings/page_settings.h"
#include "daemon/settings/shift_settings.h"

namespace quietpass {

enum class RestraintKind { kBox, kConveyor };

// Which animals of a conveyor a microphone speaks for: all of them (the one nearest the stun is named), those
// that just entered, or the one at the stun.
enum class MicrophoneZone { kAll, kEntry, kStun };

struct MicrophoneSettings {
    std::string name;
    std::string device; // PortAudio device name; may be empty when only files are scored
    MicrophoneZone zone = MicrophoneZone::kAll;
    // How far up the race it hangs, metres from the held animal's head along the race; unknown: it takes no
    // part in telling whose a call is.
    std::optional<double> up_race_m;
    // Microphones with the same number are channels of one device (or file) and share a sample clock.
    std::size_t clock = 0;
    // From the station file, else from the calibrations beside the records; none: levels are re full scale.
    std::optional<LevelReference> reference;
};

struct ContactSettings {
    Role role = Role::kEntered;
    std::string name;  // defaults to the role's word
    std::string input; // an address (contacts/contact_address.h); may be empty when only files are scored
    std::string login_file;     // of an MQTT broker: user and password, a line each; empty: no login
    std::string ca_file;        // of an MQTT broker over TLS: PEM; empty: the system's authorities
    double debounce_s = 0.020;  // 0 … 5
    double hold_s = 0.0;        // 0 … 60; closed for less is no edge
    double offset_s = 0.0;      // −5 … 5; added to its times, to bring them in step with the sound
    bool inverted = false;      // open means closed
    double stuck_after_s = 600; // closed for longer is reported
};

struct RestraintSettings {
    RestraintKind kind = RestraintKind::kBox;
    bool head_holder = false;
    double entrance_m = 3.0;      // from the held animal's head to the entrance; beyond it animals wait
    double at_stun_s = 0.5;       // calls starting within this of the stun are `at_stun`
    double shortest_s = 1.0;      // a passage shorter than this without a stun had no animal
    double longest_s = 300.0;     // a passage longer than this is ended here; a stopped line doesn't count
    double after_stun_s = 30.0;   // without a `released` contact a passage ends this long after the stun
    double entry_before_s = 20.0; // without an `entered` contact a passage begins this long before the stun
};

// From when a call is a waiting animal's (daemon/hearing/call_origin.h). The defaults were chosen on made
// shifts so that next to no restrained animal's call is lost.
struct WhoseCallSettings {
    // How much louder it must be up the race, dB; each at least the one before.
    double louder_at_entrance_db = 1.0; // with a sure delay just beyond the border
    double louder_at_far_db = 3.0;      // with a sure delay of one at the far microphone or beyond
    double louder_alone_db = 6.0;       // without a sure delay
    double delay_over_noise = 4.0;      // a sure delay's height over the spread of noise …
    double delay_over_rival = 1.3;      // … and over the strongest one on the other side of the border
    double beyond_middle_m = 0.35;      // the border is at least this far beyond the microphones' middle
    // Where the far microphone must hang, so that animals which wait are nearer to it.
    double beyond_entrance_m = 1.0;
    double apart_m = 2.0; // from the one at the restraint
};

// Bangs and hisses this close to a change of a contact of the cycle are the equipment's (a gate, a holder, a
// stun), not an animal's. Common practice, no source.
struct NoiseSettings {
    double equipment_before_s = 0.3; // a gate bangs before its contact has settled …
    double equipment_after_s = 0.8;  // … and rings on after it
};

struct HealthSettings {
    double silent_below_db = -80.0; // dB re full scale (Z): quieter than this is a dead microphone
    double silent_after_s = 2.0;
    double clipped_share = 0.10; // share of a second's samples at full scale

    // The rest is judged while the line works (daemon/health/health_judge.h says how each is meant). All are
    // common practice, no source.
    double work_s = 60.0;              // the line works until this long after a contact changed
    double learn_minutes = 10.0;       // of work, before a microphone's usual levels are known
    double history_hours = 8.0;        // of work: what is older counts half or less
    double fault_after_s = 30.0;       // so many bad seconds more than good ones are a fault
    double hum_over_rest_db = 10.0;    // mains lines over everything else
    double hum_rise_db = 10.0;         // … and over their usual
    double wind_over_rest_db = 6.0;    // 15 to 80 Hz over everything from 200 Hz up
    double wind_rise_db = 10.0;        // … and over its usual
    double covered_loss_db = 10.0;     // 2 to 8 kHz under its usual
    double level_far_db = 12.0;        // 100 Hz to 8 kHz over or under its usual
    double calibration_drift_db = 1.5; // a calibration that differs by more is warned of
};

struct ScoringSettings {
    double limit_percent = 5.0;
    std::string basis; // which guide, which edition
    // Pigs: passages with a squeal at the stun, a figure by itself. Source of the default in
    // deploy/station.md.
    double squeal_at_stun_limit_percent = 1.0;
    std::string squeal_at_stun_basis = "pig audit form, 2001: a squeal as the electrode touches, 0 to 1 %";
};

struct StationSettings {
    std::string name;
    Species species = Species::kCattle;
    std::string timezone = "UTC"; // IANA name
    std::string profile;          // path to a profile; empty: the shipped one of the species
    RestraintSettings restraint;
    std::vector<MicrophoneSettings> microphones;
    std::vector<ContactSettings> contacts;
    WhoseCallSettings whose_call;
    NoiseSettings noises;
    HealthSettings health;
    ScoringSettings scoring;
    AlarmSettings alarms;
    ClipSettings clips;
    PageSettings page;
    std::vector<ShiftSettings> shifts;
    std::vector<ShiftSettings> breaks; // in the plan; their time is excluded as a line stop's is
    std::vector<DeliverySettings> deliveries;
    OutboxSettings outbox;
    std::string key_file; // [records]: the station key's; empty: in the folder of the records

    std::string file;   // where it was read from
    std::string sha256; // of the file's bytes, lower-case hex

    bool has(Role role) const {
        for (const ContactSettings& contact : contacts) {
            if (contact.role == role) return true;
        }
        return false;
    }
};

} // namespace quietpass
