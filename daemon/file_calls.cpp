#include "daemon/file_calls.h"

#include <algorithm>
#include <iterator>
#include <utility>

#include "classifiers/ear.h"
#include "daemon/capture/file_source.h"
#include "daemon/share_out.h"

namespace quietpass {

namespace {

constexpr int kFrames = 4096;
constexpr int kFramesToShare = 65536; // some milliseconds of work a channel

struct Channel {
    Ear ear;
    std::vector<HeardCall> calls;
};

void drain(Channel& channel) {
    HeardCall call;
    while (channel.ear.take(call)) channel.calls.push_back(std::move(call));
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

std::vector<HeardCall> calls_in_file(const std::string& path, const Profile& profile, int jobs) {
    FileSource file(path, jobs > 1 ? kFramesToShare : kFrames);
    std::vector<Channel> channels;
    for (int channel = 0; channel < file.channels(); ++channel)
        channels.push_back({Ear(file.sample_rate_hz(), profile), {}});
    Stretch stretch;
    while (file.next(stretch) && stretch.kind != Stretch::Kind::kEnd) {
        share_out(channels.size(), jobs, [&](std::size_t i) {
            channels[i].ear.process(stretch.channel(static_cast<int>(i)));
            drain(channels[i]);
        });
    }
    std::vector<HeardCall> calls;
    for (Channel& channel : channels) {
        channel.ear.finish();
        drain(channel);
        calls.insert(calls.end(), std::make_move_iterator(channel.calls.begin()),
                     std::make_move_iterator(channel.calls.end()));
    }
    if (channels.size() > 1) merge(calls);
    return calls;
}

} // namespace quietpass
