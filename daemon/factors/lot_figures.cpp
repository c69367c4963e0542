#include "daemon/factors/lot_figures.h"

#include <string>
#include <unordered_map>
#include <vector>

namespace quietpass {

LotFigures lot_figures(std::span<const PassageFacts> facts, double confidence) {
    LotFigures figures;
    std::unordered_map<std::string, std::size_t> number_of;
    for (const PassageFacts& passage : facts) {
        if (!passage.scored()) continue;
        if (!passage.lot) {
            ++figures.without_lot;
            continue;
        }
        const auto [number, is_new] = number_of.try_emplace(*passage.lot, figures.lots.size());
        if (is_new) figures.lots.push_back({*passage.lot, passage.row.entered_utc_ns, {}, {}});
        LotRow& row = figures.lots[number->second];
        for (evaluation::Rate* rate : {&row.vocal, &figures.all}) {
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
