#include "daemon/tuning/findings.h"

#include <sndfile.h>

#include <catch2/catch.hpp>
#include <functional>

#include "classifiers/tuning/folds.h"
#include "daemon/failure.h"
#include "tests/test_folder.h"

using namespace quietpass;
using tuning::SpanLabel;

namespace {

void write_wav(const std::string& file, double length_s, int rate_hz) {
    SF_INFO info{};
    info.samplerate = rate_hz;
    info.channels = 1;
    info.format = SF_FORMAT_WAV | SF_FORMAT_FLOAT;
    std::vector<float> samples(static_cast<std::size_t>(length_s * rate_hz));
    // The value says the time.
    for (std::size_t i = 0; i < samples.size(); ++i)
        samples[i] = static_cast<float>(static_cast<double>(i) / rate_hz / 100);
    SNDFILE* out = sf_open(file.c_str(), SFM_WRITE, &info);
    REQUIRE(out != nullptr);
    sf_writef_float(out, samples.data(), static_cast<sf_count_t>(samples.size()));
    sf_close(out);
}

std::string usage_failure(const std::function<void()>& act) {
    try {
        act();
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitUsage);
        CHECK(std::string(failure.what()).find('\n') == std::string::npos);
        return failure.what();
    }
    FAIL("no Failure was thrown");
    return {};
}

void nothing(std::size_t) {}

} // namespace

TEST_CASE("Findings are cut out of long recordings, each a clip of its class") {
    const TestFolder folder;
    write_wav(folder.path("shift.wav"), 60, 8000);
    const std::string table = folder.write("findings.tsv",
                                           "file\tstart_s\tend_s\tfinding\n"
                                           "shift.wav\t40\t41.5\tcall\n"
                                           "shift.wav\t10\t10.6\tnot_call\n"
                                           "shift.wav\t12\t12.4\tgrunt\n"
                                           "shift.wav\t0\t0.5\tunsure\n");
    const std::vector<Finding> findings = read_findings(table);
    REQUIRE(findings.size() == 4);
    const std::vector<tuning::Clip> clips = clips_of(findings, Species::kPig, 5, nothing);
    REQUIRE(clips.size() == 3);
    CHECK(clips[0].kind == "pig_squeal");
    CHECK(clips[0].recording == "shift.wav");
    CHECK(clips[0].length_s() == Approx(1.7).margin(0.01));
    CHECK(clips[0].samples[16000] == Approx(0.409).margin(0.0005)); // 1 s after 39.9 s
    REQUIRE(clips[0].spans.size() == 1);
    CHECK(clips[0].spans[0].start_s == Approx(0.1));
    CHECK(clips[0].spans[0].end_s == Approx(1.6).margin(0.01));
    CHECK(clips[1].kind == "not_call");
    CHECK(clips[1].spans[0].label == SpanLabel::kOther);
    CHECK(clips[2].spans[0].label == SpanLabel::kGrunt);
    // Cattle don't grunt: whatever it was, it is no call.
    CHECK(clips_of(findings, Species::kCattle, 5, nothing)[2].kind == "not_call");
}

TEST_CASE("Findings come as CSV too, and a recording column says which files belong together") {
    const TestFolder folder;
    for (const char* name : {"a.wav", "b, loud.wav", "c.wav"}) write_wav(folder.path(name), 2, 16000);
    const std::string table = folder.write("findings.csv",
                                           "file,start_s,end_s,finding,recording\r\n"
                                           "a.wav,0.5,1,call,cow 7\r\n"
                                           "\"b, loud.wav\",0.5,1,not_call,cow 7\r\n"
                                           "c.wav,0.5,9,call,\r\n");
    const std::vector<Finding> findings = read_findings(table);
    CHECK(findings[2].span.end_s == 2.0);
    const std::vector<tuning::Clip> clips = clips_of(findings, Species::kCattle, 2, nothing);
    REQUIRE(clips.size() == 3);
    CHECK(clips[1].recording == "cow 7");
    CHECK(clips[2].recording == "c.wav");
    // One recording, one fold, whatever its clips are.
    CHECK(clips[0].fold == clips[1].fold);
    CHECK(clips[0].fold != clips[2].fold);
}

TEST_CASE("What is wrong with findings is said with file and line") {
    const TestFolder folder;
    write_wav(folder.path("a.wav"), 2, 8000);
    const auto failure = [&](const std::string& row) {
        const std::string table = folder.write("f.csv", "file,start_s,end_s,finding\n" + row + "\n");
        return usage_failure([&] { read_findings(table); });
    };
    CHECK(failure("a.wav,0,1,moo").find("f.csv:2: finding: expected call, not_call") != std::string::npos);
    CHECK(failure("a.wav,1,1,call").find("f.csv:2: end_s") != std::string::npos);
    CHECK(failure("a.wav,2.5,3,call").find("behind the end of a.wav, which is 2.00 s long") !=
          std::string::npos);
    CHECK(failure(",0,1,call").find("f.csv:2: file") != std::string::npos);
    CHECK(failure("").find("no findings") != std::string::npos);
    CHECK_THROWS_AS(read_findings(folder.write("f.csv", "file,start_s,end_s,finding\nx.wav,0,1,call\n")),
                    Failure);
}

TEST_CASE("Recordings with calls are spread evenly over the folds, whatever lies between them") {
    std::vector<tuning::Clip> clips;
    for (int i = 0; i < 12; ++i) {
        tuning::Clip clip;
        clip.recording = std::string(1, static_cast<char>('a' + i));
        clip.kind = std::string(i % 4 == 0 ? "cattle" : "not_call");
        clip.spans = {{0, 1, i % 4 == 0 ? SpanLabel::kCall : SpanLabel::kOther}};
        clips.push_back(clip);
    }
    tuning::assign_folds_by_recording(clips, 3);
    CHECK(clips[0].fold == 0);
    CHECK(clips[4].fold == 1);
    CHECK(clips[8].fold == 2);
}
