#include "daemon/commands/run_evidence.h"

#include <SQLiteCpp/Statement.h>

#include <sstream>
#include <utility>

#include "daemon/calibration/calibration_book.h"
#include "daemon/failure.h"
#include "daemon/records/document_rows.h"
#include "daemon/records/files.h"

namespace quietpass {
namespace {

std::string first_error(const Store& store) {
    std::error_code ignored;
    const std::uintmax_t bytes = std::filesystem::file_size(store.file(), ignored);
    if (ignored || bytes <= kCheckWhole_bytes) {
        const std::string errors = store.integrity_errors();
        return errors.substr(0, errors.find('\n'));
    }
    std::string found;
    store.read([&found](SQLite::Database& database) {
        found = database.execAndGet("PRAGMA quick_check(1)").getString();
    });
    return found == "ok" ? "" : found;
}

void add_file(SQLite::Database& database, const std::string& kind, const std::filesystem::path& file,
              std::int64_t utc_ns) {
    if (const auto text = RealFiles().read(file))
        add_document(database, {kind, file.filename().string(), *text}, utc_ns);
}

// The rows as they stand in the file, and what they say.
void add_calibrations(SQLite::Database& database, const std::filesystem::path& file) {
    const std::vector<Calibration> read = read_calibrations(file);
    std::istringstream text(RealFiles().read(file).value_or(""));
    std::string line;
    std::getline(text, line); // the header
    for (const Calibration& calibration : read) {
        if (!std::getline(text, line)) return;
        add_calibration_line(database,
                             {calibration.calibrated_at, calibration.station, calibration.microphone, line});
    }
}

} // namespace

void refuse_damaged(const Store& store) {
    const std::string error = first_error(store);
    if (error.empty()) return;
    throw Failure(kExitFailure, "record store " + store.file().string() + ": is damaged (" + error +
                                    "); restore the last backup: quietpass restore --from BACKUP --out " +
                                    store.file().parent_path().string());
}

void sign_records(Store& store, const StationSettings& settings, const std::filesystem::path& out,
                  const Clock& clock, std::function<void(bool, const std::string&)> say) {
    const std::filesystem::path file = key_file_of(settings, out);
    std::shared_ptr<HeadSigner> signer;
    store.change([&](SQLite::Database& database) {
        signer = std::make_shared<HeadSigner>(open_station_key(database, file, clock), file, clock,
                                              [say](const std::string& line) { say(true, line); });
    });
    store.sign_with(std::move(signer));
}

void record_documents(Store& store, const StationSettings& settings, const ProfileFile* profile,
                      const std::filesystem::path& out, const Clock& clock) {
    store.change([&](SQLite::Database& database) {
        add_file(database, "station_file", settings.file, clock.utc_ns());
        if (profile != nullptr) add_file(database, "profile", profile->path, clock.utc_ns());
        add_calibrations(database, out / kCalibrationsFile);
    });
}

} // namespace quietpass
