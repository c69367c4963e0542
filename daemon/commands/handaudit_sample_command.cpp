#include "daemon/commands/handaudit_command.h"
#include "daemon/commands/records_options.h"
#include "daemon/records/people_rows.h"
#include "daemon/records/span_reader.h"
#include "daemon/settings/station_file.h"
#include "daemon/statements/sample_statement.h"

namespace quietpass {

namespace {

struct SampleOptions {
    RecordsOptions records;
    SampleWish wish;
    std::string station;
    std::optional<double> limit_percent;
    std::string basis;
    std::vector<double> sequential_percent;           // low, high
    std::vector<double> errors_percent = {5.0, 10.0}; // to say high when it is low, and the other way round
};

// As given; else the station file's; else that of the latest closed shift.
SampleLimit limit_of(const SampleOptions& options, const OpenRecords& records, const SpanRows& rows) {
    if (options.limit_percent) return {*options.limit_percent, options.basis};
    if (!options.station.empty()) {
        const StationSettings settings = read_station_file(options.station);
        return {settings.scoring.limit_percent, settings.scoring.basis};
    }
    if (const auto limit = limit_in(rows.shifts)) return *limit;
    records.fail(
        "no shift of this span is closed yet, so the limit isn't known; give --station, or --limit and "
        "--basis");
}

std::optional<SequentialWish> sequential_of(const OpenRecords& records, const SampleOptions& options) {
    if (options.sequential_percent.empty()) return std::nullopt;
    const double low = options.sequential_percent[0];
    const double high = options.sequential_percent[1];
    if (!(low > 0.0 && low < high && high < 100.0)) {
        records.fail("--sequential: expected two percentages, the lower first, as in 1,10");
    }
    const double sum = options.errors_percent[0] + options.errors_percent[1];
    if (!(options.errors_percent[0] > 0.0 && options.errors_percent[1] > 0.0 && sum < 100.0)) {
        records.fail("--sequential-errors: expected two percentages over 0, as in 5,10");
    }
    return SequentialWish{low, high, options.errors_percent[0], options.errors_percent[1]};
}

void show_sample(SampleOptions& options) {
    OpenRecords records("handaudit sample", options.records.records);
    options.wish.sequential = sequential_of(records, options);
    const RecordSpan span = records.span(options.records);
    SpanRows rows;
    std::vector<JournalEntry> journal;
    records.store().read([&](SQLite::Database& database) {
        rows = read_span_within(database, span, SpanDetail::kCalls);
        journal = read_journal(database);
    });
    options.wish.limit = limit_of(options, records, rows);
    print(sample_statement(facts_of(rows, Journal(journal), span), options.wish, records.time()),
          options.records.output());
}

} // namespace

void add_handaudit_sample(CLI::App& command) {
    const auto options = std::make_shared<SampleOptions>();
    CLI::App* sample_app =
        command.add_subcommand("sample", "The guides' sample, taken from the machine's record");
    add_records(*sample_app, options->records);
    add_span(*sample_app, options->records);
    sample_app
        ->add_option("--of", options->wish.size,
                     "Covered passages in a row; guides: 100, or 50 in small plants")
        ->check(CLI::Range(std::int64_t{1}, kMostSampleSize))
        ->capture_default_str();
    sample_app->add_flag("--all", options->wish.all, "Every sample of the span; without it the latest");
    sample_app->add_option("--station", options->station,
                           "Station file with limit and basis; without it those\n"
                           "of the latest closed shift");
    CLI::Option* limit = sample_app->add_option("--limit", options->limit_percent, "Limit, percent")
                             ->check(CLI::Range(0.0, 100.0));
    sample_app->add_option("--basis", options->basis, "Which guide, which edition")->needs(limit);
    sample_app
        ->add_option("--sequential", options->sequential_percent,
                     "Two percentages, as 1,10: when an animal-by-animal\naudit would have ended")
        ->delimiter(',')
        ->expected(2);
    sample_app
        ->add_option("--sequential-errors", options->errors_percent,
                     "Of 100 such audits: wrongly over, wrongly under;\n5,10 is custom")
        ->delimiter(',')
        ->expected(2);
    add_output(*sample_app, options->records);
    sample_app->callback([options] { show_sample(*options); });
}

} // namespace quietpass
