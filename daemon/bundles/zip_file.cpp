#include "daemon/bundles/zip_file.h"

#include <archive.h>
#include <archive_entry.h>

#include <memory>

#include "daemon/failure.h"

namespace quietpass {

namespace {

using Writer = std::unique_ptr<archive, decltype(&archive_write_free)>;
using Reader = std::unique_ptr<archive, decltype(&archive_read_free)>;
using Entry = std::unique_ptr<archive_entry, decltype(&archive_entry_free)>;

// The first day that a ZIP can name: when a file was made is said in the bundle, not by its entry.
constexpr std::time_t kNoTime = 315'619'200; // 1980-01-02T00:00:00Z, a day later for time zones

[[noreturn]] void fail_zip(const std::string& what) {
    throw Failure(kExitFailure, what);
}

bool packed_already(const std::string& name) {
    return name.ends_with(".flac") || name.ends_with(".png") || name.ends_with(".pdf");
}

void check(archive* zip, la_ssize_t result) {
    if (result < ARCHIVE_OK) {
        const char* why = archive_error_string(zip);
        fail_zip(std::string("ZIP: it can't be made: ") + (why != nullptr ? why : "no memory"));
    }
}

la_ssize_t take(archive*, void* to, const void* bytes, std::size_t count) {
    static_cast<std::string*>(to)->append(static_cast<const char*>(bytes), count);
    return static_cast<la_ssize_t>(count);
}

bool leads_elsewhere(const std::string& name) {
    if (name.empty() || name.front() == '/' || name.find('\\') != std::string::npos ||
        name.find('\0') != std::string::npos || name.find(':') != std::string::npos)
        return true;
    for (const auto& part : std::filesystem::path(name)) {
        if (part == ".." || part == ".") return true;
    }
    return false;
}

} // namespace

std::string zip_of(std::span<const NamedBytes> files) {
    std::string bytes;
    const Writer zip(archive_write_new(), archive_write_free);
    check(zip.get(), archive_write_set_format_zip(zip.get()));
    check(zip.get(), archive_write_set_bytes_per_block(zip.get(), 0));
    check(zip.get(), archive_write_open(zip.get(), &bytes, nullptr, take, nullptr));
    for (const NamedBytes& file : files) {
        check(zip.get(), packed_already(file.name) ? archive_write_zip_set_compression_store(zip.get())
                                                   : archive_write_zip_set_compression_deflate(zip.get()));
        const Entry entry(archive_entry_new(), archive_entry_free);
        archive_entry_set_pathname_utf8(entry.get(), file.name.c_str());
        archive_entry_set_size(entry.get(), static_cast<la_int64_t>(file.bytes.size()));
        archive_entry_set_filetype(entry.get(), AE_IFREG);
        archive_entry_set_perm(entry.get(), 0644);
        archive_entry_set_mtime(entry.get(), kNoTime, 0);
        check(zip.get(), archive_write_header(zip.get(), entry.get()));
        if (file.bytes.empty()) continue;
        check(zip.get(), archive_write_data(zip.get(), file.bytes.data(), file.bytes.size()));
    }
    check(zip.get(), archive_write_close(zip.get()));
    return bytes;
}

std::map<std::string, std::string> files_of_zip(const std::filesystem::path& file, const ZipLimits& limits) {
    const std::string where = file.string() + ": ";
    const Reader zip(archive_read_new(), archive_read_free);
    archive_read_support_format_zip_seekable(zip.get());
    const auto refuse_if_damaged = [&](la_ssize_t result) {
        if (result >= ARCHIVE_OK) return;
        const char* why = archive_error_string(zip.get());
        fail_zip(where + "it is no whole ZIP file: " + (why != nullptr ? why : "unknown"));
    };
    refuse_if_damaged(archive_read_open_filename(zip.get(), file.c_str(), 1U << 16U));
    std::map<std::string, std::string> files;
    std::size_t all = 0;
    for (;;) {
        archive_entry* entry = nullptr;
        const int got = archive_read_next_header(zip.get(), &entry);
        if (got == ARCHIVE_EOF) break;
        refuse_if_damaged(got);
        const char* name_there = archive_entry_pathname_utf8(entry);
        const std::string name = name_there != nullptr ? name_there : "";
        if (leads_elsewhere(name))
            fail_zip(where + "the name \"" + name + "\" in it leads elsewhere; not read");
        if (archive_entry_filetype(entry) != AE_IFREG) {
            fail_zip(where + name + " in it is no plain file; not read");
        }
        if (files.size() >= limits.files) {
            fail_zip(where + "more than " + std::to_string(limits.files) + " files are in it; not read");
        }
        const auto [place, fresh] = files.try_emplace(name);
        if (!fresh) fail_zip(where + name + " is in it twice; not read");
        char piece[1U << 16U];
        for (;;) {
            const la_ssize_t count = archive_read_data(zip.get(), piece, sizeof piece);
            refuse_if_damaged(count);
            if (count == 0) break;
            all += static_cast<std::size_t>(count);
            if (all > limits.bytes) {
                fail_zip(where + "more than " + std::to_string(limits.bytes >> 20U) +
                         " MiB come out of it; not read");
            }
            place->second.append(piece, static_cast<std::size_t>(count));
        }
    }
    return files;
}

} // namespace quietpass
