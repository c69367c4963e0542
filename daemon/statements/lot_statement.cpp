#include "daemon/statements/lot_statement.h"

#include <cstdio>

#include "daemon/factors/lot_figures.h"
#include "daemon/records/utc_text.h"
#include "daemon/statements/figure_texts.h"

namespace quietpass {

namespace {

const std::vector<Column> kLotColumns = {
    {"lot", "lot", 0, ShownTo::kAll, true},     {"", "first animal", 0, ShownTo::kPeople},
    {"first", "", 0, ShownTo::kMachines},       {"", "vocal", 0, ShownTo::kPeople},
    {"vocal", "", 0, ShownTo::kMachines},       {"passages", "", 0, ShownTo::kMachines},
    {"", "% (95 %)", 0, ShownTo::kPeople},      {"percent", "", 2, ShownTo::kMachines},
    {"percent_low", "", 2, ShownTo::kMachines}, {"percent_high", "", 2, ShownTo::kMachines},
};

Cell percent(double share) {
    return 100.0 * share;
}

std::vector<std::string> words_of(const LotFigures& figures) {
    std::vector<std::string> lines;
    if (figures.lots.empty()) {
        lines.push_back("No scored passage has a lot; enter lots with `quietpass lot add`.");
        return lines;
    }
    lines.push_back("All lots: " + counts_text(figures.all) + ", " +
                    percent_text(figures.all.value(), figures.plain) + " % if all animals were independent.");
    if (figures.allowing_for_lots) {
        const statistics::ClusterShare& share = *figures.allowing_for_lots;
        char more[160];
        std::snprintf(more, sizeof more,
                      " %% allowing for lots that differ: these %lld animals tell as much as %.0f one by one "
                      "would (design effect %.2f, %lld lots).",
                      static_cast<long long>(share.all.n), share.effective_animals, share.design_effect,
                      static_cast<long long>(share.lots));
        lines.push_back("All lots: " + percent_text(share.all.value(), share.interval) + more);
    } else {
        lines.push_back("One lot says nothing of how lots differ.");
    }
    if (figures.without_lot > 0) {
        lines.push_back(std::to_string(figures.without_lot) +
                        " scored passages have no lot and are left out.");
    }
    return lines;
}

} // namespace

Statement lot_statement(const std::vector<PassageFacts>& facts, const LocalTime& time) {
    const LotFigures figures = lot_figures(facts);
    Section section{"lots", coverage_words(facts), {kLotColumns, {}}, words_of(figures)};
    for (const LotRow& row : figures.lots) {
        section.table.rows.push_back(
            {row.lot, row.first_utc_ns ? Cell(time.text(*row.first_utc_ns)) : Cell(),
             row.first_utc_ns ? Cell(utc_text(*row.first_utc_ns)) : Cell(), counts_text(row.vocal),
             row.vocal.k, row.vocal.n, percent_text(row.vocal.value(), row.interval),
             percent(*row.vocal.value()), percent(row.interval->low), percent(row.interval->high)});
    }
    Statement statement;
    const auto& by_lots = figures.allowing_for_lots;
    statement.figures = {{"vocal", figures.all.k},
                         {"passages", figures.all.n},
                         {"percent", figures.plain ? percent(*figures.all.value()) : Cell()},
                         {"percent_low", figures.plain ? percent(figures.plain->low) : Cell()},
                         {"percent_high", figures.plain ? percent(figures.plain->high) : Cell()},
                         {"percent_low_by_lots", by_lots ? percent(by_lots->interval.low) : Cell()},
                         {"percent_high_by_lots", by_lots ? percent(by_lots->interval.high) : Cell()},
                         {"design_effect", by_lots ? Cell(by_lots->design_effect) : Cell()},
                         {"effective_animals", by_lots ? Cell(by_lots->effective_animals) : Cell()},
                         {"without_lot", figures.without_lot}};
    statement.sections.push_back(section);
    return statement;
}

} // namespace quietpass
