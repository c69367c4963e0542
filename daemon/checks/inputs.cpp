#include "daemon/checks/inputs.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "daemon/contacts/contact_queue.h"
#include "daemon/contacts/live_sources.h"
#include "daemon/failure.h"
#include "daemon/station/live_microphones.h"

namespace quietpass {

namespace {

constexpr float kFullScale = 0.999F;

struct Heard {
    double energy = 0.0;
    std::int64_t samples = 0;
    std::int64_t lost = 0;
    std::int64_t at_full_scale = 0;

    void add(std::span<const float> part) {
        for (const float sample : part) {
            energy += static_cast<double>(sample) * static_cast<double>(sample);
            at_full_scale += std::abs(sample) >= kFullScale ? 1 : 0;
        }
        samples += static_cast<std::int64_t>(part.size());
    }
    // Re a full-scale sine.
    double level_db() const {
        const double power = samples > 0 ? energy / static_cast<double>(samples) : 0.0;
        return power > 0.0 ? 10.0 * std::log10(2.0 * power) : -200.0;
    }
};

CheckLine line_of(const MicrophoneSettings& microphone, const HealthSettings& health, const Heard& heard) {
    const std::string what = "microphone " + microphone.name;
    if (heard.samples == 0)
        return {CheckState::kBad, what, "opened, but no sound comes", "plug it out and in, see the log"};
    const double level_db = heard.level_db();
    if (level_db < health.silent_below_db)
        return {CheckState::kBad, what, "silent", "look at its plug, its cable and its gain"};
    char words[96];
    if (microphone.reference) {
        std::snprintf(words, sizeof words, "%.0f dB SPL now",
                      level_db + microphone.reference->sensitivity_db_spl_fs);
    } else {
        std::snprintf(words, sizeof words, "%.0f dB re full scale now, not calibrated", level_db);
    }
    const double clipped = static_cast<double>(heard.at_full_scale) / static_cast<double>(heard.samples);
    if (clipped >= health.clipped_share)
        return {CheckState::kBad, what, std::string(words) + ", clipped", "turn its gain down"};
    if (heard.lost > 0)
        return {CheckState::kLook, what, std::string(words) + ", with losses",
                "is the computer busy with something else?"};
    return {CheckState::kGood, what, words, ""};
}

std::vector<Heard> listen(LiveMicrophones& sources, const Clock& clock, double listen_s) {
    std::vector<Heard> heard;
    Stretch stretch;
    for (const auto& source : sources) {
        const std::size_t first = heard.size();
        heard.resize(first + static_cast<std::size_t>(source->channels()));
        const std::int64_t until_ns = clock.monotonic_ns() + static_cast<std::int64_t>(listen_s * 1e9);
        while (clock.monotonic_ns() < until_ns) {
            if (!source->next(stretch, until_ns) || stretch.kind == Stretch::Kind::kEnd) break;
            for (int channel = 0; channel < source->channels(); ++channel) {
                Heard& one = heard[first + static_cast<std::size_t>(channel)];
                if (stretch.kind == Stretch::Kind::kLoss)
                    one.lost += stretch.count;
                else
                    one.add(stretch.channel(channel));
            }
        }
    }
    return heard;
}

} // namespace

CheckLines check_microphones(const StationSettings& settings, const Clock& clock, double listen_s) {
    try {
        PortAudioThread audio;
        auto sources = open_microphones(settings, audio, clock);
        const std::vector<Heard> heard = listen(sources, clock, listen_s);
        CheckLines lines;
        for (std::size_t i = 0; i < settings.microphones.size() && i < heard.size(); ++i)
            lines.push_back(line_of(settings.microphones[i], settings.health, heard[i]));
        return lines;
    } catch (const Failure& failure) {
        return {{CheckState::kBad, "microphones", failure.what(),
                 "`quietpass devices` lists those that are there"}};
    }
}

CheckLines check_contacts(const StationSettings& settings, const Clock& clock, double within_s) {
    ContactQueue queue;
    LiveSources live;
    try {
        live = live_sources(settings, clock);
    } catch (const Failure& failure) {
        return {{CheckState::kBad, "contacts", failure.what(), "mend the station file"}};
    }
    for (const auto& source : live.sources) source->start(queue);
    std::vector<char> answered(live.sources.size(), 0);
    std::vector<std::string> why(live.sources.size(), "no answer in time");
    std::vector<char> level(settings.contacts.size(), 0);
    std::vector<ContactEvent> events;
    const std::int64_t until_ns = clock.monotonic_ns() + static_cast<std::int64_t>(within_s * 1e9);
    while (clock.monotonic_ns() < until_ns &&
           !std::all_of(answered.begin(), answered.end(), [](char one) { return one != 0; })) {
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
        queue.take_all(events);
        for (const ContactEvent& event : events) {
            if (event.kind == ContactEvent::Kind::kChange) level[event.contact] = event.level ? 1 : 0;
            if (event.kind == ContactEvent::Kind::kKnown) answered[event.source] = 1;
            if (event.kind == ContactEvent::Kind::kLost) why[event.source] = event.why;
        }
    }
    for (const auto& source : live.sources) source->stop();
    CheckLines lines;
    std::vector<std::string> unread(live.sources.size()); // names of contacts
    for (std::size_t i = 0; i < settings.contacts.size(); ++i) {
        const ContactSettings& contact = settings.contacts[i];
        const std::size_t source = live.source_of[i];
        if (answered[source] == 0) {
            unread[source] += (unread[source].empty() ? "" : ", ") + contact.name;
            continue;
        }
        const bool closed = (level[i] != 0) != contact.inverted;
        lines.push_back({CheckState::kGood, "contact " + contact.name,
                         std::string(closed ? "closed" : "open") + " now", ""});
    }
    for (std::size_t source = 0; source < live.sources.size(); ++source) {
        if (unread[source].empty()) continue;
        lines.push_back({CheckState::kBad, "contacts at " + live.sources[source]->name(),
                         why[source] + " (" + unread[source] + ")",
                         "look at the input module, its power, its network and the address"});
    }
    return lines;
}

} // namespace quietpass
