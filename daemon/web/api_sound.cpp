// The routes of a clip's sound: to hear and to see.
#include <algorithm>
#include <cmath>
#include <sstream>

#include "daemon/clips/clip_peaks.h"
#include "daemon/clips/clip_stretch.h"
#include "daemon/clips/spectrogram_tile.h"
#include "daemon/failure.h"
#include "daemon/records/clip_rows.h"
#include "daemon/records/utc_text.h"
#include "daemon/web/api_route.h"
#include "daemon/web/download.h"

namespace quietpass {

namespace {

// What one request may cost: some tenths of a second.
constexpr double kLongestTile_s = 120.0;
constexpr double kLongestClip_s = 600.0;
constexpr int kMostWidth = 2048;
constexpr int kMostHeight = 512;
constexpr int kMostPeaks = 4000;

// A path of the store that leads out of the records' folder is none of ours.
std::filesystem::path clip_file(const std::filesystem::path& out, const std::string& name) {
    const std::filesystem::path file = std::filesystem::path(name).lexically_normal();
    if (file.is_absolute() || file.empty() || *file.begin() == "..") {
        throw Refusal{404, "the clip's file is not in the records' folder", name, "see the store"};
    }
    return out / file;
}

StoredClip clip_that_is_there(RecordReader& reader, std::int64_t clip_id, const std::string& path) {
    ClipFilter filter;
    filter.clip_id = clip_id;
    filter.deleted_too = true;
    const auto clips = reader.read([&](SQLite::Database& database) { return read_clips(database, filter); });
    if (clips.empty()) throw Refusal{404, "there is no such clip", path, "give one of /api/v1/calls"};
    if (const auto& deletion = clips.front().deletion) {
        throw Refusal{410, "the clip was deleted on " + utc_text(deletion->utc_ns), path,
                      "its record stays in the store"};
    }
    return clips.front();
}

int channel_of(const std::string& microphones, const std::string& wished) {
    std::istringstream names(microphones);
    int channel = 0;
    for (std::string name; std::getline(names, name, ','); ++channel) {
        if (name == wished || wished.empty()) return channel;
    }
    if (wished.empty()) return 0;
    throw Refusal{400, "the clip is of no such microphone", "microphone", "give one of " + microphones};
}

std::string name_at(const std::string& microphones, int channel) {
    std::istringstream names(microphones);
    std::string name;
    for (int i = 0; i <= channel; ++i) std::getline(names, name, ',');
    return name;
}

struct Stretch {
    double from_s = 0.0;
    double to_s = 0.0;
};

// "1.25" as it is written in an ETag.
std::string short_text(double value) {
    std::ostringstream text;
    text.precision(10);
    text << value;
    return text.str();
}

// The stretch that is asked for; 400 for one that is not within the clip or longer than longest_s.
Stretch stretch_of(const std::optional<double>& from_s, const std::optional<double>& to_s, double seconds,
                   double longest_s) {
    const Stretch stretch{from_s.value_or(0.0), to_s.value_or(seconds)};
    if (stretch.from_s < stretch.to_s && stretch.to_s - stretch.from_s <= longest_s) return stretch;
    throw Refusal{400, "this is no stretch that can be shown", "from, to",
                  "give seconds of the clip, to after from, " + short_text(longest_s) + " s apart at most"};
}

ClipStretch opened(const std::filesystem::path& file, int channel) {
    std::error_code error;
    if (!std::filesystem::is_regular_file(file, error)) {
        throw Refusal{404, "the clip's file is not there", file.filename().string(), "verify the records"};
    }
    ClipStretch clip(file);
    if (channel < clip.channels()) return clip;
    throw Failure(kExitFailure,
                  "clip " + file.filename().string() + ": it has not the microphones of its record");
}

// To 1/10000 of full scale: finer than any screen shows.
Json rounded(const std::vector<float>& samples) {
    Json list = Json::array();
    for (const float sample : samples)
        list.push_back(std::round(static_cast<double>(sample) * 10000.0) / 10000.0);
    return list;
}

// The file never changes, so this and what is asked of it name the answer.
WebAnswer with_tag(const WebRequest& request, const std::string& tag,
                   const std::function<WebAnswer()>& make) {
    const std::string quoted = '"' + tag + '"';
    WebAnswer answer;
    if (request.if_none_match == quoted)
        answer.status = 304;
    else
        answer = make();
    answer.headers = {{"ETag", quoted}, {"Cache-Control", "private, no-cache"}};
    return answer;
}

} // namespace

WebAnswer Api::audio(const Call& call) {
    const StoredClip clip = clip_that_is_there(reader_, call.id(0), call.request.path);
    const std::filesystem::path file = clip_file(parts_.out, clip.row.file);
    WebAnswer answer = file_answer(call.request, file, "audio/flac", clip.row.sha256);
    // A player asks for many ranges of one clip.
    if (parts_.sessions.first_play(call.who().id, clip.row.clip_id)) {
        record(call.who().name, "play", "clip " + std::to_string(clip.row.clip_id),
               "from " + call.request.address);
    }
    return answer;
}

WebAnswer Api::spectrogram(const Call& call) {
    const StoredClip stored = clip_that_is_there(reader_, call.id(0), call.request.path);
    const std::filesystem::path file = clip_file(parts_.out, stored.row.file);
    TileWish wish;
    wish.channel = channel_of(stored.row.microphones, call.any_word("microphone"));
    const Stretch stretch =
        stretch_of(call.real("from", 0.0, kLongestClip_s), call.real("to", 0.0, kLongestClip_s),
                   stored.row.end_s - stored.row.start_s, kLongestTile_s);
    wish.from_s = stretch.from_s;
    wish.to_s = stretch.to_s;
    wish.width = static_cast<int>(call.number("width", 1, kMostWidth).value_or(1024));
    wish.height = static_cast<int>(call.number("height", 1, kMostHeight).value_or(256));
    const double half_hz = static_cast<double>(stored.row.rate_hz) / 2.0;
    wish.highest_hz = std::min(call.real("highest_hz", 100.0, 24000.0).value_or(8000.0), half_hz);
    wish.low_db = static_cast<double>(call.number("low_db", -120, 0).value_or(-100));
    wish.high_db = static_cast<double>(call.number("high_db", -120, 0).value_or(-20));
    if (wish.low_db >= wish.high_db)
        throw Refusal{400, "low_db must be below high_db", "low_db", "mend one of them"};
    // The first part: another one when pictures of the same wish come out otherwise.
    const std::string tag =
        "t1-" + stored.row.sha256 + '-' + std::to_string(wish.channel) + '-' + short_text(wish.from_s) + '-' +
        short_text(wish.to_s) + '-' + std::to_string(wish.width) + 'x' + std::to_string(wish.height) + '-' +
        short_text(wish.highest_hz) + '-' + short_text(wish.low_db) + '-' + short_text(wish.high_db);
    return with_tag(call.request, tag, [&] {
        ClipStretch clip = opened(file, wish.channel);
        WebAnswer answer;
        answer.type = "image/png";
        answer.body = std::make_shared<const std::string>(spectrogram_tile(clip, wish));
        return answer;
    });
}

WebAnswer Api::peaks(const Call& call) {
    const StoredClip stored = clip_that_is_there(reader_, call.id(0), call.request.path);
    const std::filesystem::path file = clip_file(parts_.out, stored.row.file);
    const int channel = channel_of(stored.row.microphones, call.any_word("microphone"));
    const auto count = call.number("count", 1, kMostPeaks).value_or(1000);
    return with_tag(call.request,
                    "p1-" + stored.row.sha256 + '-' + std::to_string(channel) + '-' + std::to_string(count),
                    [&] {
                        ClipStretch clip = opened(file, channel);
                        const std::int64_t frames = clip.frames();
                        const auto columns = static_cast<std::size_t>(std::min(count, frames));
                        const ClipPeaks peaks = clip_peaks(clip, channel, 0, frames, columns);
                        return json_answer({{"clip_id", stored.row.clip_id},
                                            {"microphone", name_at(stored.row.microphones, channel)},
                                            {"seconds", static_cast<double>(frames) / clip.rate_hz()},
                                            {"rate_hz", clip.rate_hz()},
                                            {"lowest", rounded(peaks.lowest)},
                                            {"highest", rounded(peaks.highest)}});
                    });
}

} // namespace quietpass
