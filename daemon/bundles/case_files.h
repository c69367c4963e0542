// What of a case is handed over, but for the proof: clips (masked unless told otherwise) with their pictures,
// the rows of the case's passages and calls, the shifts' records and amendments, findings, and what was done
// in the case.
//
// A call that a person judged to be a person's voice is no call here: it is masked too. A clip whose file
// isn't what its record says is not handed over as evidence: Failure (exit 1). One that is gone is in
// clips.csv with why. One thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "daemon/records/case_file.h"
#include "daemon/records/files.h"
#include "daemon/records/store.h"

namespace quietpass {

struct CaseFiles {
    std::vector<NamedBytes> files;
    std::int64_t clips = 0;             // handed over
    std::vector<std::string> not_there; // one line a clip that is gone
};

std::size_t bytes_of(const std::vector<NamedBytes>& files);

// folder: of the records, where the clips' files are. No further clip is read once all take more than
// most_bytes, so that memory stays bounded: the caller looks and refuses.
CaseFiles case_files(const Store& store, const CaseFile& file, const std::filesystem::path& folder,
                     bool masked, std::size_t most_bytes);

} // namespace quietpass
