#include "tests/standards/recording.h"

#include <sndfile.h>
#include <catch2/catch.hpp>

#include "dsp/resampler.h"

namespace quietpass::golden {

std::vector<float> read_recording(const std::string& name) {
    SF_INFO info{};
    SNDFILE* file = sf_open((std::string(RECORDINGS_FOLDER) + "/" + name).c_str(), SFM_READ, &info);
    REQUIRE(file != nullptr);
    REQUIRE(info.channels == 1);
    std::vector<float> samples(static_cast<std::size_t>(info.frames));
    const sf_count_t got = sf_readf_float(file, samples.data(), info.frames);
    sf_close(file);
    REQUIRE(got == info.frames);
    dsp::Resampler resampler(info.samplerate);
    std::vector<float> out(resampler.max_output(samples.size()) + resampler.max_output(0));
    std::size_t count = resampler.process(samples, out);
    count += resampler.finish({out.data() + count, out.size() - count});
    out.resize(count);
    return out;
}

} // namespace quietpass::golden
