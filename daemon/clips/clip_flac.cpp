#include "daemon/clips/clip_flac.h"

#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <stdexcept>

#include "daemon/clips/memory_file.h"
#include "dsp/resampler.h"

namespace quietpass {

namespace {

// frames samples of the channel at the cut's rate, silence for what is lost.
std::vector<float> in_step(const SoundCut::Channel& channel, const SoundCut& cut) {
    std::vector<float> sound = channel.samples;
    for (float& sample : sound) {
        if (std::isnan(sample)) sample = 0.0F;
    }
    if (channel.rate_hz != cut.rate_hz) {
        dsp::Resampler resampler(channel.rate_hz, cut.rate_hz);
        std::vector<float> out(resampler.max_output(sound.size()) + resampler.max_output(0));
        std::size_t count = resampler.process(sound, out);
        count += resampler.finish(std::span(out).subspan(count));
        out.resize(count);
        sound = std::move(out);
    }
    sound.resize(cut.frames, 0.0F);
    return sound;
}

// Left-aligned in 32 bits, as libsndfile takes it for any depth; a sample of `bits` is given back as it was.
int quantised(float sample, int bits) {
    const double scale = bits == 16 ? 0x1p15 : 0x1p23;
    const double whole = std::clamp(std::nearbyint(static_cast<double>(sample) * scale), -scale, scale - 1.0);
    return static_cast<int>(whole) * (bits == 16 ? 65536 : 256);
}

struct Closing {
    void operator()(SNDFILE* file) const { sf_close(file); }
};

} // namespace

std::string flac_of(const SoundCut& cut, int bits, const ClipTags& tags) {
    SF_INFO info{};
    info.samplerate = static_cast<int>(std::lround(cut.rate_hz));
    info.channels = static_cast<int>(cut.channels.size());
    info.format = SF_FORMAT_FLAC | (bits == 16 ? SF_FORMAT_PCM_16 : SF_FORMAT_PCM_24);
    MemoryFile memory;
    std::unique_ptr<SNDFILE, Closing> file(sf_open_virtual(MemoryFile::io(), SFM_WRITE, &info, &memory));
    if (!file) throw std::runtime_error(std::string("FLAC: ") + sf_strerror(nullptr));
    const auto tag = [&file](int which, const std::string& text) {
        if (!text.empty()) sf_set_string(file.get(), which, text.c_str());
    };
    tag(SF_STR_TITLE, tags.title);
    tag(SF_STR_ARTIST, tags.station);
    tag(SF_STR_SOFTWARE, tags.software);
    tag(SF_STR_DATE, tags.date);
    tag(SF_STR_COMMENT, tags.comment);

    const std::size_t channels = cut.channels.size();
    std::vector<int> frames(cut.frames * channels);
    for (std::size_t channel = 0; channel < channels; ++channel) {
        const std::vector<float> sound = in_step(cut.channels[channel], cut);
        for (std::size_t i = 0; i < cut.frames; ++i)
            frames[i * channels + channel] = quantised(sound[i], bits);
    }
    const auto count = static_cast<sf_count_t>(cut.frames);
    if (sf_writef_int(file.get(), frames.data(), count) != count) {
        throw std::runtime_error(std::string("FLAC: ") + sf_strerror(file.get()));
    }
    // A FLAC file is whole only now.
    if (sf_close(file.release()) != 0) throw std::runtime_error("FLAC: can't be finished");
    return std::move(memory.bytes());
}

std::string lost_words(const SoundCut& cut, const std::vector<std::string>& microphones) {
    std::string words;
    for (std::size_t i = 0; i < cut.channels.size(); ++i) {
        const SoundCut::Channel& channel = cut.channels[i];
        const auto is_lost = [](float sample) { return std::isnan(sample); };
        for (auto from = channel.samples.begin();;) {
            from = std::find_if(from, channel.samples.end(), is_lost);
            if (from == channel.samples.end()) break;
            const auto to = std::find_if_not(from, channel.samples.end(), is_lost);
            const auto second = [&](auto at) {
                return static_cast<double>(at - channel.samples.begin()) / channel.rate_hz;
            };
            char span[64];
            std::snprintf(span, sizeof span, " %.3f-%.3f", second(from), second(to));
            words += (words.empty() ? "" : ", ") + microphones[i] + span;
            from = to;
        }
    }
    return words;
}

} // namespace quietpass
