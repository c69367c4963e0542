#include "daemon/bundles/zip_file.h"

#include <archive.h>
#include <archive_entry.h>

#include <catch2/catch.hpp>
#include <vector>

#include "daemon/failure.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

// A ZIP as somebody else might make it: any names, any types.
struct Made {
    std::string name;
    std::string bytes;
    unsigned type = AE_IFREG;
};

void make_zip(const std::string& file, const std::vector<Made>& entries) {
    archive* zip = archive_write_new();
    archive_write_set_format_zip(zip);
    archive_write_open_filename(zip, file.c_str());
    for (const Made& made : entries) {
        archive_entry* entry = archive_entry_new();
        archive_entry_set_pathname(entry, made.name.c_str());
        archive_entry_set_filetype(entry, made.type);
        archive_entry_set_perm(entry, 0644);
        archive_entry_set_size(entry, static_cast<la_int64_t>(made.bytes.size()));
        if (made.type == AE_IFLNK) archive_entry_set_symlink(entry, "/etc/hostname");
        archive_write_header(zip, entry);
        archive_write_data(zip, made.bytes.data(), made.bytes.size());
        archive_entry_free(entry);
    }
    archive_write_close(zip);
    archive_write_free(zip);
}

std::string refusal(const std::string& file, const ZipLimits& limits = {}) {
    try {
        files_of_zip(file, limits);
    } catch (const Failure& failure) {
        const std::string line = failure.what();
        CHECK(line.find('\n') == std::string::npos);
        return line;
    }
    return "";
}

bool contains(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

} // namespace

TEST_CASE("What goes into a ZIP comes out of it, and the same files give the same bytes") {
    const TestFolder folder;
    const std::vector<NamedBytes> files = {{"README.txt", "words\n"},
                                           {"clips/1.flac", std::string("\0\1\2", 3)},
                                           {"empty.csv", ""},
                                           {"long.csv", std::string(200'000, 'x')}};
    const std::string bytes = zip_of(files);
    CHECK(bytes == zip_of(files));
    CHECK(bytes.size() < 10'000);
    const auto read = files_of_zip(folder.write("a.zip", bytes));
    REQUIRE(read.size() == files.size());
    for (const NamedBytes& file : files) CHECK(read.at(file.name) == file.bytes);
}

TEST_CASE("Names in a ZIP that lead elsewhere are refused in one line") {
    const TestFolder folder;
    const std::string file = folder.path("bad.zip");
    for (const char* name :
         {"../outside", "a/../../outside", "/etc/outside", "a\\..\\outside", "C:outside"}) {
        make_zip(file, {{"good.txt", "x"}, {name, "x"}});
        INFO(name);
        CHECK(contains(refusal(file), "leads elsewhere"));
    }
}

TEST_CASE("Links in a ZIP and files that are in it twice are refused in one line") {
    const TestFolder folder;
    const std::string file = folder.path("bad.zip");
    make_zip(file, {{"link", "", AE_IFLNK}});
    CHECK(contains(refusal(file), "no plain file"));
    make_zip(file, {{"a.txt", "1"}, {"a.txt", "2"}});
    CHECK(contains(refusal(file), "twice"));
}

TEST_CASE("A ZIP of which too much comes out, or too many files, is refused in one line") {
    const TestFolder folder;
    const std::string bomb =
        folder.write("bomb.zip", zip_of(std::vector<NamedBytes>{{"zeros.txt", std::string(4 << 20, '\0')}}));
    CHECK(std::filesystem::file_size(bomb) < 20'000);
    CHECK(contains(refusal(bomb, {.files = 10, .bytes = 1 << 20}), "more than 1 MiB"));
    CHECK(refusal(bomb, {.files = 10, .bytes = 5 << 20}).empty());
    std::vector<NamedBytes> many;
    for (int i = 0; i < 20; ++i) many.push_back({std::to_string(i) + ".txt", "x"});
    CHECK(contains(refusal(folder.write("many.zip", zip_of(many)), {.files = 19}), "more than 19 files"));
}

TEST_CASE("What is no ZIP, and half of one, is refused in one line") {
    const TestFolder folder;
    CHECK(contains(refusal(folder.write("words.zip", "these are words, no ZIP")), "words.zip"));
    CHECK(contains(refusal(folder.path("absent.zip")), "absent.zip"));
    const std::string whole = zip_of(std::vector<NamedBytes>{{"a.flac", std::string(5000, 'q')}});
    CHECK_FALSE(refusal(folder.write("half.zip", whole.substr(0, 2500))).empty());
}
