#include "daemon/changes/run_chart.h"

#include <algorithm>
#include <cmath>

#include "classifiers/statistics/p_chart.h"

namespace quietpass {

namespace {

void add_groups(std::vector<ChartGroup>& groups, const std::vector<ChartPassage>& passages, bool after,
                std::int64_t group_size) {
    std::int64_t in_group = group_size;
    for (const ChartPassage& passage : passages) {
        if (in_group == group_size) {
            groups.push_back({after, passage.entered_utc_ns, {}, {}});
            in_group = 0;
        }
        ++in_group;
        evaluation::Rate& rate = groups.back().vocal;
        ++rate.n;
        if (passage.vocal) ++rate.k;
    }
}

} // namespace

bool ChartGroup::outside() const {
    if (!limits) return false;
    const double share = *vocal.value();
    return share < limits->low || share > limits->high;
}

RunChart run_chart(const std::vector<ChartPassage>& before, const std::vector<ChartPassage>& after,
                   std::int64_t group_size) {
    std::vector<ChartGroup> groups;
    add_groups(groups, before, false, group_size);
    add_groups(groups, after, true, group_size);
    return charted(std::move(groups));
}

RunChart charted(std::vector<ChartGroup> groups) {
    RunChart chart{{}, std::move(groups)};
    evaluation::Rate all_before;
    for (const ChartGroup& group : chart.groups) {
        if (group.after) continue;
        all_before.k += group.vocal.k;
        all_before.n += group.vocal.n;
    }
    chart.mean = all_before.value();
    for (ChartGroup& group : chart.groups) {
        if (chart.mean && group.vocal.n > 0)
            group.limits = statistics::p_chart_limits(*chart.mean, group.vocal.n);
    }
    return chart;
}

DrawnChart drawn(const RunChart& chart, std::size_t columns) {
    double highest = 0.0;
    for (const ChartGroup& group : chart.groups) {
        highest = std::max(highest, *group.vocal.value());
        if (group.limits) highest = std::max(highest, group.limits->high);
    }
    constexpr double kStep_percent = 5.0;
    DrawnChart out;
    out.right_percent = kStep_percent * std::max(1.0, std::ceil(100.0 * highest / kStep_percent - 1e-9));
    const auto place = [&](double share) {
        const double at = 100.0 * share / out.right_percent * static_cast<double>(columns - 1);
        return std::min(columns - 1, static_cast<std::size_t>(std::lround(at)));
    };
    for (const ChartGroup& group : chart.groups) {
        std::string line(columns, ' ');
        if (group.limits) {
            line[place(group.limits->low)] = ':';
            line[place(group.limits->high)] = ':';
        }
        if (chart.mean) line[place(*chart.mean)] = '|';
        line[place(*group.vocal.value())] = group.outside() ? '#' : '*';
        out.lines.push_back(line);
    }
    return out;
}

} // namespace quietpass
