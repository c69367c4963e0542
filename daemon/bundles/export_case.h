// Hands a case over: one ZIP that its receiver can check without us (bundle_readme.h says how).
//
// The list of its files and their hashes (SHA256SUMS) is hashed into the record of the export, and the head
// that is signed over that record vouches for every file of the bundle. The record comes before the file:
// what may have left the plant is on record even where writing the file failed.
//
// Errors: Failure: exit 2 for a case that isn't there, a file that is, unmasked without a reason, for more
// than fits one bundle; exit 1 for clips that aren't what was recorded and for the disk. StoreError. One
// thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "daemon/bundles/zip_file.h"
#include "daemon/clock.h"
#include "daemon/records/files.h"
#include "daemon/records/store.h"

namespace quietpass {

struct ExportWish {
    std::int64_t case_id = 0;
    std::filesystem::path folder;   // of the records
    std::filesystem::path key_file; // of the station; where it is missing nothing is signed
    std::filesystem::path to;       // the ZIP
    std::string by;
    bool masked = true;
    std::string reason; // why not masked
    ZipLimits most;     // what its receiver reads
};

struct Exported {
    std::int64_t clips = 0;
    std::size_t files = 0;
    std::size_t bytes = 0;
    std::string sha256;             // of the ZIP
    bool vouched_for = false;       // the export's own record is under a signed head
    std::vector<std::string> notes; // what its reader should know, a line each
};

Exported export_case(Store& store, Files& files, const Clock& clock, const ExportWish& wish);

} // namespace quietpass
