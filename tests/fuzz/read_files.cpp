#include <cmath>
#include <stdexcept>

#include "daemon/bundles/bundle_check.h"
#include "daemon/capture/file_source.h"
#include "daemon/failure.h"
#include "tests/fuzz/file_in_memory.h"
#include "tests/fuzz/fuzzed.h"

namespace quietpass::fuzz {

void sound_file(std::string_view bytes) {
    const FileInMemory file(bytes);
    try {
        FileSource source(file.path());
        Stretch stretch;
        for (int pieces = 0; pieces < 200 && source.next(stretch) && stretch.kind != Stretch::Kind::kEnd;
             ++pieces) {
            for (int channel = 0; channel < source.channels(); ++channel) {
                for (const float sample : stretch.channel(channel)) {
                    if (!std::isfinite(sample)) throw std::logic_error("a sample that is no number");
                }
            }
        }
    } catch (const Failure&) {
    }
}

namespace {

// "=== name" and its bytes up to the next such line: so that what stands within the files is reached, behind
// the ZIP's checksums.
std::vector<NamedBytes> files_in(std::string_view bytes) {
    constexpr std::string_view kMark = "=== ";
    std::vector<NamedBytes> files;
    while (bytes.starts_with(kMark) && files.size() < 50) {
        bytes.remove_prefix(kMark.size());
        NamedBytes file;
        file.name = std::string(bytes.substr(0, bytes.find('\n')));
        bytes.remove_prefix(std::min(bytes.size(), file.name.size() + 1));
        std::size_t end = bytes.find("\n=== ");
        end = end == std::string_view::npos ? bytes.size() : end + 1;
        file.bytes = std::string(bytes.substr(0, end));
        bytes.remove_prefix(end);
        // libarchive makes no file without a name, which ends at a zero, and leaks its block when it refused.
        if (!file.name.empty() && file.name.front() != '\0') files.push_back(std::move(file));
    }
    return files;
}

} // namespace

void bundle(std::string_view bytes) {
    const std::vector<NamedBytes> files = files_in(bytes);
    try {
        const FileInMemory file(files.empty() ? std::string(bytes) : zip_of(files));
        check_bundle(file.path(), {}, {.files = 100, .bytes = std::size_t{16} << 20});
    } catch (const Failure&) {
    }
}

} // namespace quietpass::fuzz
