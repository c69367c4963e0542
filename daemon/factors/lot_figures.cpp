#include "daemon/factors/lot_figures.h"

#include <algorithm>

namespace quietpass {

LotFigures lot_figures(std::span<const PassageFacts> facts, double confidence) {
    LotFigures figures;
    for (const PassageFacts& passage : facts) {
        if (!passage.scored()) continue;
        if (!passage.lot) {
            ++figures.without_lot;
            continue;
        }
        auto row = std::find_if(figures.lots.begin(), figures.lots.end(),
                                [&](const LotRow& known) { return known.lot == *passage.lot; });
        if (row == figures.lots.end()) {
            figures.lots.push_back({*passage.lot, passage.row.entered_utc_ns, {}, {}});
            row = figures.lots.end() - 1;
        }
        for (evaluation::Rate* rate : {&row->vocal, &figures.all}) {
            ++rate->n;
            if (passage.vocal()) ++rate->k;
        }
    }
    std::vector<evaluation::Rate> rates;
    for (LotRow& row : figures.lots) {
        row.interval = wilson_interval(row.vocal.k, row.vocal.n, confidence);
        rates.push_back(row.vocal);
    }
    figures.plain = wilson_interval(figures.all.k, figures.all.n, confidence);
    figures.allowing_for_lots = statistics::cluster_share(rates, confidence);
    return figures;
}

} // namespace quietpass
