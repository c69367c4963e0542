#include "daemon/commands/change_compare_command.h"

#include <memory>

#include "daemon/commands/records_options.h"
#include "daemon/statements/change_statement.h"

namespace quietpass {

namespace {

struct CompareOptions {
    RecordsOptions records;
    std::string before = kUsualWindow;
    std::string after = kUsualWindow;
    ChangeWish wish;
};

Window window_of(const OpenRecords& records, const std::string& option, const std::string& text) {
    const std::optional<Window> window = window_from(text, records.time());
    if (!window) records.fail(option + " " + text + ": expected " + kWindowExpected);
    return *window;
}

void compare_change(CompareOptions& options) {
    OpenRecords records("change compare", options.records.records);
    ChangeWish& wish = options.wish;
    wish.before = window_of(records, "--before", options.before);
    wish.after = window_of(records, "--after", options.after);
    std::optional<ComparedChange> compared;
    records.store().read(
        [&](SQLite::Database& database) { compared = change_statement(database, wish, records.time()); });
    if (!compared)
        records.fail(std::to_string(wish.change_id) + ": no such change is in force; see `change list`");
    print(compared->statement, options.records.output());
}

} // namespace

void add_change_compare(CLI::App& change) {
    const auto options = std::make_shared<CompareOptions>();
    CLI::App* compare_app = change.add_subcommand("compare", "Passages before a change against those after");
    add_records(*compare_app, options->records);
    compare_app->add_option("id", options->wish.change_id, "The change's number in the list")->required();
    const char* const kWindow =
        "How far: a time (7d, 36h, 90m), a number of scored\n"
        "passages (400), or two moments FROM,TO";
    compare_app->add_option("--before", options->before, kWindow)->capture_default_str();
    compare_app->add_option("--after", options->after, kWindow)->capture_default_str();
    compare_app
        ->add_option("--hoped", options->wish.hoped_percent,
                     "Percent hoped for after; half of before without it")
        ->check(CLI::Range(0.0, 100.0));
    compare_app->add_option("--level", options->wish.level, "A p under this counts as shown; 0.05 is custom")
        ->check(CLI::Range(kLeastLevel, kMostLevel))
        ->capture_default_str();
    compare_app
        ->add_option("--power", options->wish.power_percent,
                     "How many of 100 true changes of the hoped size are to\nbe found; 80 is custom")
        ->check(CLI::Range(kLeastPower_percent, kMostPower_percent))
        ->capture_default_str();
    compare_app->add_option("--group", options->wish.group, "Scored passages in a group of the run chart")
        ->check(CLI::Range(kLeastGroup, kMostGroup))
        ->capture_default_str();
    add_output(*compare_app, options->records);
    compare_app->footer("--csv has the run chart, --json everything.");
    compare_app->callback([options] { compare_change(*options); });
}

} // namespace quietpass
