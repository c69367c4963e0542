#include "daemon/bundles/case_clips.h"

#include <sstream>

#include "daemon/bundles/clip_sound.h"
#include "daemon/bundles/spectrogram_png.h"
#include "daemon/failure.h"
#include "daemon/records/csv_line.h"
#include "daemon/records/local_time.h"
#include "daemon/records/sha256.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

struct CallsOfClip {
    std::vector<CallSpan> spans; // of the clip's own seconds
    std::string ids;
    std::string masked_ids; // judged to be a person's voice
};

CallsOfClip calls_of(const ClipRow& clip, const ShiftRows* shift,
                     const std::map<CallKey, CallReview>& reviews) {
    CallsOfClip calls;
    if (shift == nullptr) return calls;
    for (const StationCall& call : shift->calls) {
        if (call.heard.end_s <= clip.start_s || call.heard.start_s >= clip.end_s) continue;
        const auto review = reviews.find({shift->shift.shift_id, call.id});
        const bool person = review != reviews.end() && review->second.latest.verdict == CallVerdict::kPerson;
        std::string& ids = person ? calls.masked_ids : calls.ids;
        ids += (ids.empty() ? "" : " ") + std::to_string(call.id);
        if (!person) {
            calls.spans.push_back({call.heard.start_s - clip.start_s, call.heard.end_s - clip.start_s});
        }
    }
    return calls;
}

std::string title_of(const ClipRow& clip, const ShiftRows* shift) {
    std::string title = "clip " + std::to_string(clip.clip_id);
    if (shift != nullptr) {
        title += ", " + shift->shift.station;
        if (clip.start_utc_ns) {
            title += ", " + LocalTime(shift->shift.timezone).text(*clip.start_utc_ns) + " " +
                     shift->shift.timezone;
        }
    }
    if (clip.passage_id) title += ", passage " + std::to_string(*clip.passage_id);
    if (clip.call_id) title += ", call " + std::to_string(*clip.call_id);
    return title;
}

std::vector<std::string> names_in(const std::string& joined) {
    std::vector<std::string> names;
    std::istringstream words(joined);
    for (std::string name; std::getline(words, name, ',');) names.push_back(name);
    return names;
}

// One line where the clip isn't there.
std::string missing(const StoredClip& stored, const std::filesystem::path& path) {
    const ClipRow& clip = stored.row;
    if (stored.deletion) return "clip " + std::to_string(clip.clip_id) + " was deleted, as its record says";
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path, ignored)) {
        return "clip " + std::to_string(clip.clip_id) + ": its file is not in this folder of records";
    }
    return "";
}

std::vector<std::vector<float>> channels_of(const ClipSound& sound) {
    std::vector<std::vector<float>> channels;
    for (int number = 0; number < sound.channels; ++number) channels.push_back(sound.channel(number));
    return channels;
}

void add_id(CsvLine& line, const std::optional<std::int64_t>& id) {
    if (id) {
        line.integer(*id);
    } else {
        line.missing();
    }
}

std::string row_of(const ClipRow& clip, const CallsOfClip& calls, const std::string& file, bool masked,
                   const std::string& absent) {
    CsvLine line;
    line.integer(clip.clip_id);
    line.integer(clip.shift_id).text(name_of(clip.why));
    add_id(line, clip.passage_id);
    add_id(line, clip.call_id);
    line.text(clip.microphones).number(clip.start_s, 3).number(clip.end_s, 3);
    line.text(clip.start_utc_ns ? utc_text(*clip.start_utc_ns) : "");
    line.text(calls.ids).text(calls.masked_ids).text(file).yes_no(masked).text(clip.sha256).text(absent);
    return line.take();
}

} // namespace

void add_clips(CaseFiles& out, const std::vector<StoredClip>& clips,
               const std::map<std::int64_t, ShiftRows>& shifts, const std::map<CallKey, CallReview>& reviews,
               const std::filesystem::path& folder, bool masked, std::size_t most_bytes) {
    std::string csv =
        "clip_id,shift_id,why,passage_id,call_id,microphones,start_s,end_s,start_utc,calls,masked_calls,file,"
        "masked,recorded_sha256,absent\n";
    std::size_t bytes = bytes_of(out.files);
    for (const StoredClip& stored : clips) {
        if (bytes > most_bytes) break;
        const ClipRow& clip = stored.row;
        const auto found = shifts.find(clip.shift_id);
        const ShiftRows* shift = found == shifts.end() ? nullptr : &found->second;
        const CallsOfClip calls = calls_of(clip, shift, reviews);
        const std::filesystem::path path = folder / clip.file;
        const std::string absent = missing(stored, path);
        if (!absent.empty()) {
            out.not_there.push_back(absent);
            csv += row_of(clip, calls, "", masked, absent);
            continue;
        }
        if (sha256_hex_of_file(path) != clip.sha256) {
            throw Failure(kExitFailure,
                          "export: " + path.string() + " is not the clip " + std::to_string(clip.clip_id) +
                              " that was recorded (its SHA-256 is another); see `quietpass verify`, or take "
                              "it out with `quietpass case drop`");
        }
        ClipSound sound = read_clip(path);
        if (masked) mask_speech(sound, calls.spans);
        const std::string name = "clips/clip-" + std::to_string(clip.clip_id);
        const SpectrogramOf what{title_of(clip, shift), names_in(clip.microphones), sound.rate_hz,
                                 calls.spans, masked};
        out.files.push_back({name + ".flac", flac_of(sound)});
        out.files.push_back({name + ".png", spectrogram_png(what, channels_of(sound))});
        bytes += (out.files.end() - 1)->bytes.size() + (out.files.end() - 2)->bytes.size();
        ++out.clips;
        csv += row_of(clip, calls, name + ".flac", masked, "");
    }
    out.files.push_back({"clips.csv", csv});
}

} // namespace quietpass
