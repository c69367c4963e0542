#include "daemon/commands/shift_files.h"

#include <cstdio>
#include <utility>

#include "daemon/failure.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

std::string words_of(const ShiftRecord& record) {
    std::string line =
        std::to_string(record.vocal) + " vocal of " + std::to_string(record.scored) + " scored";
    if (record.percent) {
        char text[96];
        std::snprintf(text, sizeof text, ", %.1f %% (95 %% interval %.1f to %.1f %%)", *record.percent,
                      *record.percent_low, *record.percent_high);
        line += text;
    }
    line += ", " + std::to_string(record.passages - record.scored) + " excluded";
    if (record.squeals_at_stun && record.squeals_at_stun->percent) {
        const SquealsAtStun& squeals = *record.squeals_at_stun;
        char text[160];
        std::snprintf(text, sizeof text, "; %lld of %lld squealed at the stun, %.1f %% (%.1f to %.1f %%), %s",
                      static_cast<long long>(squeals.squealed), static_cast<long long>(squeals.stunned),
                      *squeals.percent, *squeals.percent_low, *squeals.percent_high,
                      squeals.verdict == Verdict::kOverLimit ? "over its limit" : "within its limit");
        line += text;
    }
    return line;
}

} // namespace

std::string file_stamp(std::int64_t utc_ns) {
    std::string stamp;
    for (const char letter : utc_text(utc_ns)) {
        if (letter != ':' && letter != '-') stamp += letter == '.' ? '_' : letter;
    }
    return stamp;
}

ShiftFiles::ShiftFiles(Files& files, std::filesystem::path out, std::shared_ptr<spdlog::logger> log)
    : files_(files), out_(std::move(out)), log_(std::move(log)) {}

void ShiftFiles::write(const ClosedShift& closed) const {
    const std::string start =
        closed.record.start_utc_ns ? file_stamp(*closed.record.start_utc_ns) : "undated";
    const std::filesystem::path folder = out_ / "shifts" / (start + "_" + closed.record.shift);
    try {
        prepare_output_folder(files_, folder);
        write_whole(files_, folder, files_of(closed));
        log_->info("shift {} closed: {}; {}", closed.record.shift, words_of(closed.record), folder.string());
    } catch (const Failure& failure) {
        log_->error("{}; the shift's rows are in {}", failure.what(), (out_ / "records.db").string());
    }
}

} // namespace quietpass
