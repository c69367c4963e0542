#include "daemon/bundles/clip_sound.h"

#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>

#include "daemon/failure.h"

namespace quietpass {

namespace {

using Sound = std::unique_ptr<SNDFILE, decltype(&sf_close)>;

constexpr double kFullScale = 2147483648.0; // of 32 bits

// A file in memory, as libsndfile asks for it.
struct Memory {
    std::string bytes;
    std::size_t at = 0;
};

sf_count_t length_of(void* user) {
    return static_cast<sf_count_t>(static_cast<Memory*>(user)->bytes.size());
}

sf_count_t seek(sf_count_t offset, int whence, void* user) {
    auto& memory = *static_cast<Memory*>(user);
    const sf_count_t base = whence == SEEK_SET   ? 0
                            : whence == SEEK_CUR ? static_cast<sf_count_t>(memory.at)
                                                 : length_of(user);
    if (base + offset < 0) return -1;
    memory.at = static_cast<std::size_t>(base + offset);
    return base + offset;
}

sf_count_t read(void* to, sf_count_t count, void* user) {
    auto& memory = *static_cast<Memory*>(user);
    if (memory.at >= memory.bytes.size()) return 0;
    const std::size_t there = std::min(static_cast<std::size_t>(count), memory.bytes.size() - memory.at);
    std::memcpy(to, memory.bytes.data() + memory.at, there);
    memory.at += there;
    return static_cast<sf_count_t>(there);
}

sf_count_t write(const void* from, sf_count_t count, void* user) {
    auto& memory = *static_cast<Memory*>(user);
    const std::size_t end = memory.at + static_cast<std::size_t>(count);
    if (memory.bytes.size() < end) memory.bytes.resize(end);
    std::memcpy(memory.bytes.data() + memory.at, from, static_cast<std::size_t>(count));
    memory.at = end;
    return count;
}

sf_count_t tell(void* user) {
    return static_cast<sf_count_t>(static_cast<Memory*>(user)->at);
}

[[noreturn]] void fail_sound(const std::string& what) {
    throw Failure(kExitFailure, what);
}

} // namespace

std::vector<float> ClipSound::channel(int number) const {
    std::vector<float> one(frames());
    for (std::size_t i = 0; i < one.size(); ++i) {
        const auto at = i * static_cast<std::size_t>(channels) + static_cast<std::size_t>(number);
        one[i] = static_cast<float>(static_cast<double>(samples[at]) / kFullScale);
    }
    return one;
}

ClipSound read_clip(const std::filesystem::path& file) {
    SF_INFO info{};
    const Sound sound(sf_open(file.c_str(), SFM_READ, &info), sf_close);
    if (!sound) fail_sound("clip " + file.string() + ": it can't be read: " + sf_strerror(nullptr));
    ClipSound clip;
    clip.rate_hz = info.samplerate;
    clip.channels = info.channels;
    clip.format = info.format;
    clip.samples.resize(static_cast<std::size_t>(info.frames) * static_cast<std::size_t>(info.channels));
    if (sf_readf_int(sound.get(), clip.samples.data(), info.frames) != info.frames) {
        fail_sound("clip " + file.string() + ": it ends before its time; check it with `quietpass verify`");
    }
    for (int tag = SF_STR_FIRST; tag <= SF_STR_LAST; ++tag) {
        if (const char* text = sf_get_string(sound.get(), tag)) clip.tags.emplace_back(tag, text);
    }
    return clip;
}

void mask_speech(ClipSound& sound, std::span<const CallSpan> calls) {
    const auto count = static_cast<std::size_t>(sound.channels);
    // What stays must stay in the integers of the file, so it is not written back.
    const double rounding = (sound.format & SF_FORMAT_SUBMASK) == SF_FORMAT_PCM_16   ? 65536.0
                            : (sound.format & SF_FORMAT_SUBMASK) == SF_FORMAT_PCM_24 ? 256.0
                                                                                     : 16777216.0;
    for (int number = 0; number < sound.channels; ++number) {
        const std::vector<float> before = sound.channel(number);
        const std::vector<float> after = with_speech_masked(before, sound.rate_hz, calls);
        for (std::size_t i = 0; i < after.size(); ++i) {
            if (after[i] == before[i]) continue;
            const double steps = std::round(static_cast<double>(after[i]) * kFullScale / rounding);
            const double most = kFullScale / rounding - 1.0;
            sound.samples[i * count + static_cast<std::size_t>(number)] =
                static_cast<std::int32_t>(std::clamp(steps, -most - 1.0, most) * rounding);
        }
    }
}

std::string flac_of(const ClipSound& sound) {
    SF_INFO info{};
    info.samplerate = static_cast<int>(sound.rate_hz);
    info.channels = sound.channels;
    info.format =
        SF_FORMAT_FLAC | ((sound.format & SF_FORMAT_SUBMASK) == SF_FORMAT_PCM_24   ? SF_FORMAT_PCM_24
                          : (sound.format & SF_FORMAT_SUBMASK) == SF_FORMAT_PCM_S8 ? SF_FORMAT_PCM_S8
                                                                                   : SF_FORMAT_PCM_16);
    SF_VIRTUAL_IO io{length_of, seek, read, write, tell};
    Memory memory;
    Sound out(sf_open_virtual(&io, SFM_WRITE, &info, &memory), sf_close);
    if (!out) fail_sound(std::string("clip: no FLAC can be made of it: ") + sf_strerror(nullptr));
    for (const auto& [tag, text] : sound.tags) sf_set_string(out.get(), tag, text.c_str());
    const auto frames = static_cast<sf_count_t>(sound.frames());
    if (sf_writef_int(out.get(), sound.samples.data(), frames) != frames) {
        fail_sound(std::string("clip: no FLAC can be made of it: ") + sf_strerror(out.get()));
    }
    if (sf_close(out.release()) != 0) fail_sound("clip: no FLAC can be made of it");
    return memory.bytes;
}

} // namespace quietpass
