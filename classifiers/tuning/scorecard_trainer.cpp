#include "classifiers/tuning/scorecard_trainer.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <stdexcept>
#include <string>
#include <tuple>
#include <utility>

#include "classifiers/scorecard.h"
#include "classifiers/tuning/booster.h"
#include "classifiers/tuning/threshold_grid.h"

namespace quietpass::tuning {
namespace {

constexpr std::size_t kThresholdsPerMeasure = 40;
constexpr std::size_t kMostProposals = 400;

struct Proposal {
    std::vector<Condition> all_of;
    double gain = 0.0;
};

auto order_of(const Condition& condition) {
    return std::make_tuple(condition.measure, condition.above, condition.threshold);
}

bool by_conditions(const std::vector<Condition>& a, const std::vector<Condition>& b) {
    return std::lexicographical_compare(
        a.begin(), a.end(), b.begin(), b.end(),
        [](const Condition& x, const Condition& y) { return order_of(x) < order_of(y); });
}

// Two conditions on one side of one measure are the narrower one.
void add_condition(std::vector<Condition>& all_of, const Condition& condition) {
    for (Condition& other : all_of) {
        if (other.measure == condition.measure && other.above == condition.above) {
            other.threshold = condition.above ? std::max(other.threshold, condition.threshold)
                                              : std::min(other.threshold, condition.threshold);
            return;
        }
    }
    all_of.push_back(condition);
    std::sort(all_of.begin(), all_of.end(),
              [](const Condition& a, const Condition& b) { return order_of(a) < order_of(b); });
}

void propose(const Tree& tree, int at, const std::vector<Condition>& so_far, const ThresholdGrid& grid,
             std::vector<Proposal>& out) {
    const TreeNode& node = tree[static_cast<std::size_t>(at)];
    if (node.column < 0) return;
    for (const bool above : {false, true}) {
        std::vector<Condition> all_of = so_far;
        add_condition(all_of, grid.condition(static_cast<std::size_t>(node.column), node.threshold, above));
        // "f <= t" alone says no more than "f > t" alone.
        if (all_of.size() > 1 || above) out.push_back({all_of, node.gain});
        propose(tree, above ? node.above : node.below, all_of, grid, out);
    }
}

std::vector<Proposal> proposals_of(const std::vector<Tree>& trees, const ThresholdGrid& grid) {
    std::vector<Proposal> all;
    for (const Tree& tree : trees) propose(tree, 0, {}, grid, all);
    std::stable_sort(all.begin(), all.end(),
                     [](const Proposal& a, const Proposal& b) { return by_conditions(a.all_of, b.all_of); });
    std::vector<Proposal> merged;
    for (Proposal& proposal : all) {
        if (!merged.empty() && merged.back().all_of == proposal.all_of) {
            merged.back().gain += proposal.gain;
        } else {
            merged.push_back(std::move(proposal));
        }
    }
    std::stable_sort(merged.begin(), merged.end(),
                     [](const Proposal& a, const Proposal& b) { return a.gain > b.gain; });
    if (merged.size() > kMostProposals) merged.resize(kMostProposals);
    return merged;
}

Matrix holding(const std::vector<Proposal>& proposals, const std::vector<const LabelledSound*>& sounds) {
    Matrix matrix{sounds.size(), proposals.size(), std::vector<float>(sounds.size() * proposals.size())};
    for (std::size_t row = 0; row < sounds.size(); ++row) {
        for (std::size_t p = 0; p < proposals.size(); ++p) {
            const std::vector<Condition>& all_of = proposals[p].all_of;
            const bool all = std::all_of(all_of.begin(), all_of.end(), [&](const Condition& condition) {
                return holds(condition, sounds[row]->measures);
            });
            matrix.values[row * proposals.size() + p] = all ? 1.0F : 0.0F;
        }
    }
    return matrix;
}

struct Weighed {
    double base = 0.0;
    std::vector<double> points; // by column
};

// A stump over a column of 0 and 1 is a step of the base and points for that column.
Weighed points_of(const std::vector<Tree>& trees, std::size_t columns) {
    Weighed out;
    out.points.assign(columns, 0.0);
    for (const Tree& tree : trees) {
        const TreeNode& root = tree[0];
        if (root.column < 0) {
            out.base += root.value;
            continue;
        }
        const double without = tree[static_cast<std::size_t>(root.below)].value;
        const double with = tree[static_cast<std::size_t>(root.above)].value;
        out.base += without;
        out.points[static_cast<std::size_t>(root.column)] += with - without;
    }
    return out;
}

std::vector<double> spreads_of(const Matrix& matrix, const std::vector<double>& points,
                               const std::vector<float>& weights) {
    std::vector<double> held(matrix.columns, 0.0);
    double all = 0.0;
    for (std::size_t row = 0; row < matrix.rows; ++row) {
        const auto weight = static_cast<double>(weights[row]);
        all += weight;
        for (std::size_t p = 0; p < matrix.columns; ++p)
            held[p] += weight * static_cast<double>(matrix.at(row, p));
    }
    std::vector<double> spreads(matrix.columns);
    for (std::size_t p = 0; p < matrix.columns; ++p) {
        const double share = held[p] / all;
        spreads[p] = std::abs(points[p]) * std::sqrt(share * (1 - share));
    }
    return spreads;
}

std::vector<Proposal> strongest(const std::vector<Proposal>& proposals, const std::vector<double>& spreads,
                                std::size_t most) {
    std::vector<std::size_t> order;
    for (std::size_t p = 0; p < proposals.size(); ++p) {
        if (spreads[p] > 0) order.push_back(p);
    }
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return spreads[a] > spreads[b]; });
    if (order.size() > most) order.resize(most);
    std::vector<Proposal> out;
    for (const std::size_t p : order) out.push_back(proposals[p]);
    return out;
}

Scorecard card_of(const std::vector<Proposal>& proposals, const Weighed& weighed) {
    Scorecard card;
    card.base = weighed.base;
    for (std::size_t p = 0; p < proposals.size(); ++p) {
        Term term{proposals[p].all_of, weighed.points[p]};
        // A single condition that takes points away is its opposite that gives them: reasons then name what
        // speaks for a call.
        if (term.all_of.size() == 1 && term.points < 0) {
            card.base += term.points;
            term.points = -term.points;
            term.all_of[0].above = !term.all_of[0].above;
        }
        card.terms.push_back(std::move(term));
    }
    return card;
}

// What is learned from, the two sides weighed against each other.
struct Training {
    std::vector<const LabelledSound*> sounds;
    std::vector<float> labels;
    std::vector<float> weights;
};

Training training_of(const std::vector<const LabelledSound*>& given, SpanLabel target, double target_share) {
    Training out;
    double sides[2] = {0.0, 0.0};
    for (const LabelledSound* sound : given) {
        if (sound->label == SpanLabel::kIgnore) continue;
        const bool wanted = sound->label == target;
        out.sounds.push_back(sound);
        out.labels.push_back(wanted ? 1.0F : 0.0F);
        out.weights.push_back(sound->weight);
        sides[wanted ? 1 : 0] += static_cast<double>(sound->weight);
    }
    if (sides[0] <= 0 || sides[1] <= 0) {
        throw std::invalid_argument("training needs both sounds to find and other sounds");
    }
    for (std::size_t i = 0; i < out.weights.size(); ++i) {
        const bool wanted = out.labels[i] > 0.5F;
        const double share = wanted ? target_share : 1 - target_share;
        out.weights[i] *=
            static_cast<float>(share * static_cast<double>(out.sounds.size()) / sides[wanted ? 1 : 0]);
    }
    return out;
}

Booster::Settings proposing_parameters(const TrainingSettings& settings) {
    return {{"max_depth", std::to_string(settings.depth)},
            {"eta", "0.1"},
            {"tree_method", "hist"},
            {"max_bin", "64"},
            {"subsample", "0.7"},
            {"colsample_bynode", "0.5"},
            {"min_child_weight", "8"},
            {"seed", std::to_string(settings.seed % 1000000)}};
}

void note_difference(TrainedCard& out, const Training& training, const std::vector<float>& margins) {
    for (std::size_t i = 0; i < training.sounds.size(); ++i) {
        const double score = score_of(out.card, training.sounds[i]->measures);
        out.largest_difference =
            std::max(out.largest_difference, std::abs(score - static_cast<double>(margins[i])));
    }
}

// Thousandths of a point are enough to judge by, and all that a person wants to read.
double readable(double points) {
    return std::round(points * 1000) / 1000;
}

// Stumps on one threshold together: a step of the base and points over it.
Weighed merged_stumps(const std::vector<Tree>& trees, const ThresholdGrid& grid,
                      std::vector<Proposal>& terms) {
    std::map<std::pair<std::size_t, float>, double> steps;
    Weighed out;
    for (const Tree& tree : trees) {
        const TreeNode& root = tree[0];
        if (root.column < 0) {
            out.base += root.value;
            continue;
        }
        const double below = tree[static_cast<std::size_t>(root.below)].value;
        const double above = tree[static_cast<std::size_t>(root.above)].value;
        const Condition over = grid.condition(static_cast<std::size_t>(root.column), root.threshold, true);
        out.base += below;
        steps[{over.measure, over.threshold}] += above - below;
    }
    out.base = readable(out.base);
    for (const auto& [step, points] : steps) {
        if (readable(points) == 0.0) continue;
        terms.push_back({{{step.first, true, step.second}}, 0.0});
        out.points.push_back(readable(points));
    }
    return out;
}

struct Stumps {
    std::vector<Proposal> terms;
    Weighed weighed;
};

// Until the terms are used up.
Stumps boosted_stumps(Booster& booster, const ThresholdGrid& grid, const TrainingSettings& settings) {
    constexpr int kRoundsAtOnce = 10;
    Stumps out;
    for (int rounds = 0; rounds < settings.stump_rounds; rounds += kRoundsAtOnce) {
        booster.boost(kRoundsAtOnce);
        out.terms.clear();
        out.weighed = merged_stumps(booster.trees(), grid, out.terms);
        if (out.terms.size() + kRoundsAtOnce > settings.terms) break;
    }
    if (out.terms.empty()) throw std::invalid_argument("too few sounds to learn from");
    return out;
}

// One sign a column: which way its points may go, 0 for both.
std::string courses_of(const Stumps& free, std::size_t columns, double two_way_share) {
    std::vector<double> up(columns, 0.0);
    std::vector<double> down(columns, 0.0);
    for (std::size_t i = 0; i < free.terms.size(); ++i) {
        const double points = free.weighed.points[i];
        (points > 0 ? up : down)[free.terms[i].all_of[0].measure] += std::abs(points);
    }
    std::string out = "(";
    for (std::size_t c = 0; c < columns; ++c) {
        const bool two_way = std::min(up[c], down[c]) >= two_way_share * std::max(up[c], down[c]);
        out += c == 0 ? "" : ",";
        out += two_way ? "0" : up[c] > down[c] ? "1" : "-1";
    }
    return out + ")";
}

// Boosted stumps are a scorecard as they stand: stumps on one threshold are one term. Boosted freely they say
// which way each measure goes; boosted again, it goes that way only.
TrainedCard stump_card(const Training& t, const ThresholdGrid& grid, const TrainingSettings& settings) {
    const Matrix steps = grid.steps_of(t.sounds);
    Booster::Settings parameters = proposing_parameters(settings);
    if (settings.two_way_share > 0) {
        Booster free(steps, t.labels, t.weights, parameters);
        const Stumps stumps = boosted_stumps(free, grid, settings);
        parameters.emplace_back("monotone_constraints",
                                courses_of(stumps, steps.columns, settings.two_way_share));
    }
    Booster booster(steps, t.labels, t.weights, parameters);
    const auto [terms, weighed] = boosted_stumps(booster, grid, settings);
    TrainedCard out;
    out.gains = spreads_of(holding(terms, t.sounds), weighed.points, t.weights);
    out.card = card_of(terms, weighed);
    note_difference(out, t, booster.margins(steps));
    return out;
}

// Trees propose conditions, the strongest become terms, and stumps over them alone set their points.
TrainedCard proposed_card(const Training& t, const ThresholdGrid& grid, const TrainingSettings& settings) {
    std::vector<Proposal> proposals;
    {
        Booster proposing(grid.steps_of(t.sounds), t.labels, t.weights, proposing_parameters(settings));
        proposing.boost(settings.proposing_rounds);
        proposals = proposals_of(proposing.trees(), grid);
    }

    if (proposals.empty()) throw std::invalid_argument("too few sounds to learn from");

    TrainedCard out;
    for (const std::size_t most :
         {settings.terms * 5 / 2, settings.terms * 3 / 2, settings.terms, std::size_t{0}}) {
        const Matrix matrix = holding(proposals, t.sounds);
        Booster weighing(matrix, t.labels, t.weights,
                         {{"max_depth", "1"},
                          {"eta", "0.15"},
                          {"tree_method", "hist"},
                          {"lambda", "5"},
                          {"min_child_weight", "4"}});
        weighing.boost(settings.weighing_rounds);
        const Weighed weighed = points_of(weighing.trees(), proposals.size());
        const std::vector<double> spreads = spreads_of(matrix, weighed.points, t.weights);
        if (most > 0) {
            proposals = strongest(proposals, spreads, most);
            continue;
        }
        out.card = card_of(proposals, weighed);
        out.gains = spreads;
        note_difference(out, t, weighing.margins(matrix));
    }
    return out;
}

} // namespace

TrainedCard train_scorecard(const std::vector<const LabelledSound*>& sounds, SpanLabel target,
                            const TrainingSettings& settings) {
    const Training training = training_of(sounds, target, settings.call_weight_share);
    const ThresholdGrid grid(training.sounds, kThresholdsPerMeasure);
    return settings.depth == 1 ? stump_card(training, grid, settings)
                               : proposed_card(training, grid, settings);
}

} // namespace quietpass::tuning
