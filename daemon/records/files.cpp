#include "daemon/records/files.h"

#include <system_error>

#include "daemon/failure.h"

namespace quietpass {
namespace {

// In the same folder, because a rename does not cross file systems; hidden, because it is nobody's to read.
std::filesystem::path aside_of(const std::filesystem::path& folder, const std::string& name) {
    return folder / ("." + name + ".part");
}

Failure failure_in(const std::filesystem::path& folder, const std::error_code& code) {
    const bool full = code == std::errc::no_space_on_device;
    return Failure(kExitFailure,
                   "output folder " + folder.string() + ": can't be written (" + code.message() + "); " +
                       (full ? "free some space" : "give a folder that can be written") + " and run again");
}

void remove_asides(Files& files, const std::filesystem::path& folder, std::span<const NamedBytes> set) {
    for (const NamedBytes& file : set) {
        try {
            files.remove(aside_of(folder, file.name));
        } catch (const std::system_error&) {
            // What made the writing fail may forbid this too; a hidden .part is overwritten by the next run.
        }
    }
}

} // namespace

void prepare_output_folder(Files& files, const std::filesystem::path& folder) {
    const std::filesystem::path probe = aside_of(folder, "quietpass-probe");
    try {
        files.make_folders(folder);
        files.write(probe, "can this folder be written?\n");
        files.remove(probe);
    } catch (const std::system_error& error) {
        const std::error_code code = error.code();
        try {
            files.remove(probe);
        } catch (const std::system_error&) {
            // The first failure is the one to report.
        }
        throw failure_in(folder, code);
    }
}

void write_whole(Files& files, const std::filesystem::path& folder, std::span<const NamedBytes> set) {
    try {
        for (const NamedBytes& file : set) {
            files.write(aside_of(folder, file.name), file.bytes);
            files.sync(aside_of(folder, file.name));
        }
        for (const NamedBytes& file : set) files.rename(aside_of(folder, file.name), folder / file.name);
        files.sync_folder(folder);
    } catch (const std::system_error& error) {
        const std::error_code code = error.code();
        remove_asides(files, folder, set);
        throw failure_in(folder, code);
    }
}

} // namespace quietpass
