#include "daemon/capture/file_source.h"

#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <limits>
#include <mutex>
#include <sstream>

#include "daemon/failure.h"

namespace quietpass {

namespace {

[[noreturn]] void refuse(const std::string& path, const std::string& why_and_what_to_do) {
    throw Failure(kExitFailure, "audio file " + path + " " + why_and_what_to_do);
}

std::string seconds(double value_s) {
    char text[32];
    std::snprintf(text, sizeof text, "%.3f s", value_s);
    return text;
}

// Programs that write to a pipe can't know the length and leave about 2 or 4 GB in the header.
bool length_was_unknown(long long bytes) {
    return bytes >= 0x7FFF0000LL;
}

// libsndfile reads what there is of a cut file and tells of it only in its log: "data : 1920000 (should be
// 499956)". Gives the share of the samples that is there, 1 when all are.
double share_there(SNDFILE* file) {
    char log[16384] = "";
    sf_command(file, SFC_GET_LOG_INFO, log, sizeof log);
    std::istringstream lines(log);
    for (std::string line; std::getline(lines, line);) {
        long long announced = 0;
        long long there = 0;
        char chunk[8] = "";
        // Numbers that libsndfile printed. NOLINTNEXTLINE(cert-err34-c)
        if (std::sscanf(line.c_str(), " %7s : %lld (should be %lld)", chunk, &announced, &there) != 3)
            continue;
        const std::string name = chunk;
        if (name != "data" && name != "SSND") continue;
        if (announced > there && !length_was_unknown(announced)) {
            return static_cast<double>(there) / static_cast<double>(announced);
        }
    }
    return 1.0;
}

bool holds_floats(const SF_INFO& info) {
    const int encoding = info.format & SF_FORMAT_SUBMASK;
    return encoding == SF_FORMAT_FLOAT || encoding == SF_FORMAT_DOUBLE;
}

} // namespace

struct FileSource::File {
    SNDFILE* handle = nullptr;
    SF_INFO info{};
    ~File() {
        if (handle != nullptr) sf_close(handle);
    }
};

FileSource::FileSource(const std::string& path, int frames_at_a_time)
    : file_(std::make_unique<File>()), path_(path) {
    std::error_code error;
    const std::filesystem::file_status status = std::filesystem::status(path, error);
    if (!std::filesystem::exists(status)) {
        throw Failure(kExitUsage, "audio file " + path + " isn't there: check the path");
    }
    if (std::filesystem::is_directory(status)) {
        throw Failure(kExitUsage, "audio file " + path + " is a folder: give the path of a sound file in it");
    }
    if (std::filesystem::is_regular_file(status) && std::filesystem::file_size(path, error) == 0 && !error) {
        refuse(path, "is empty: record or copy it again");
    }
    {
        // Why a file can't be opened stands in a variable of the whole process.
        static std::mutex opening;
        const std::lock_guard<std::mutex> held(opening);
        file_->handle = sf_open(path.c_str(), SFM_READ, &file_->info);
        if (file_->handle == nullptr) {
            refuse(path, std::string("can't be read as audio (") + sf_strerror(nullptr) +
                             "): give a WAV, FLAC or other file that libsndfile reads");
        }
    }
    SNDFILE* handle = file_->handle;
    channels_ = file_->info.channels;
    rate_hz_ = file_->info.samplerate;
    length_ = file_->info.frames;
    const double there = share_there(handle);
    if (there < 1.0) {
        const double length_s = static_cast<double>(length_) / rate_hz_;
        refuse(path, "is cut short: " + seconds(length_s) + " are there and its header says " +
                         seconds(there > 0.0 ? length_s / there : 0.0) +
                         ": copy it again, or rewrite it with sox");
    }
    if (length_ <= 0) refuse(path, "holds no samples: record or copy it again");
    float last[1024];
    if (length_ == SF_COUNT_MAX || channels_ > 1024 ||
        sf_seek(handle, length_ - 1, SEEK_SET) != length_ - 1 || sf_readf_float(handle, last, 1) != 1 ||
        sf_seek(handle, 0, SEEK_SET) != 0) {
        refuse(path, "is cut short or damaged: its last sample can't be read: copy it again");
    }
    interleaved_.resize(static_cast<std::size_t>(std::max(frames_at_a_time, 1)) *
                        static_cast<std::size_t>(channels_));
    if (holds_floats(file_->info)) {
        std::int64_t index = 0;
        Stretch stretch;
        while (next(stretch) && stretch.kind == Stretch::Kind::kSamples) index = index_;
        if (index != length_ || sf_seek(handle, 0, SEEK_SET) != 0) refuse(path, "is damaged: copy it again");
        index_ = 0;
    }
}

FileSource::~FileSource() = default;

bool FileSource::next(Stretch& stretch, std::int64_t) {
    const auto channels = static_cast<std::size_t>(channels_);
    const auto wanted = static_cast<sf_count_t>(interleaved_.size() / channels);
    const sf_count_t got = sf_readf_float(file_->handle, interleaved_.data(), wanted);
    stretch.first_index = index_;
    stretch.count = std::max<sf_count_t>(got, 0);
    if (got <= 0) {
        if (index_ < length_) {
            refuse(path_, "can't be read beyond " + seconds(static_cast<double>(index_) / rate_hz_) + " of " +
                              seconds(static_cast<double>(length_) / rate_hz_) + " (" +
                              sf_strerror(file_->handle) + "): copy it again");
        }
        stretch.kind = Stretch::Kind::kEnd;
        stretch.samples.clear();
        return true;
    }
    stretch.kind = Stretch::Kind::kSamples;
    const auto count = static_cast<std::size_t>(got);
    stretch.samples.resize(count * channels);
    for (std::size_t channel = 0; channel < channels; ++channel) {
        float* out = stretch.samples.data() + channel * count;
        for (std::size_t i = 0; i < count; ++i) {
            out[i] = interleaved_[i * channels + channel];
            if (!std::isfinite(out[i])) {
                refuse(path_,
                       "holds a sample that is not a number at " +
                           seconds(static_cast<double>(index_ + static_cast<std::int64_t>(i)) / rate_hz_) +
                           ": export it again as 16- or 24-bit integers");
            }
        }
    }
    index_ += got;
    return true;
}

} // namespace quietpass
