#include "daemon/file_calls.h"

#include <algorithm>
#include <utility>

#include "classifiers/ear.h"
#include "daemon/capture/file_source.h"

namespace quietpass {

namespace {

void drain(Ear& ear, std::vector<HeardCall>& calls) {
    HeardCall call;
    while (ear.take(call)) calls.push_back(std::move(call));
}

// The same call on another channel: they overlap. The clearer one stays.
void merge(std::vector<HeardCall>& calls) {
    std::stable_sort(calls.begin(), calls.end(),
                     [](const HeardCall& a, const HeardCall& b) { return a.start_s < b.start_s; });
    std::vector<HeardCall> kept;
    for (HeardCall& call : calls) {
        if (kept.empty() || call.start_s >= kept.back().end_s) {
            kept.push_back(std::move(call));
        } else if (call.score > kept.back().score) {
            kept.back() = std::move(call);
        }
    }
    calls = std::move(kept);
}

} // namespace

std::vector<HeardCall> calls_in_file(const std::string& path, const Profile& profile) {
    FileSource file(path);
    std::vector<Ear> ears;
    for (int channel = 0; channel < file.channels(); ++channel)
        ears.emplace_back(file.sample_rate_hz(), profile);
    std::vector<HeardCall> calls;
    Stretch stretch;
    while (file.next(stretch) && stretch.kind != Stretch::Kind::kEnd) {
        for (int channel = 0; channel < file.channels(); ++channel) {
            Ear& ear = ears[static_cast<std::size_t>(channel)];
            ear.process(stretch.channel(channel));
            drain(ear, calls);
        }
    }
    for (Ear& ear : ears) {
        ear.finish();
        drain(ear, calls);
    }
    if (ears.size() > 1) merge(calls);
    return calls;
}

} // namespace quietpass
