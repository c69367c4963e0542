#include "tests/soak/plan.h"

#include <algorithm>
#include <array>
#include <utility>

#include "tests/scenario/random.h"

namespace quietpass::soak {

namespace {

using scenario::Random;

struct KindFacts {
    std::string_view name;
    int cards;    // in the deck that faults are dealt from
    double least; // length, as a share of the slot
    double most;
};

constexpr std::array<KindFacts, kFaultKinds> kFacts = {{
    {"none", 4, 0.0, 0.0},
    {"samples lost, told", 2, 0.0002, 0.004},
    {"samples lost, flagged", 1, 0.0002, 0.004},
    {"samples lost, untold", 1, 0.0005, 0.004},
    {"microphone unplugged", 2, 0.01, 0.2},
    {"microphone dead", 1, 0.1, 0.4},
    {"microphone clipped", 1, 0.1, 0.4},
    {"hum", 1, 0.2, 0.5},
    {"contacts lost", 2, 0.005, 0.25},
    {"stray edges", 2, 0.3, 0.6},
    {"doubled edges", 2, 0.3, 0.6},
    {"bouncing contacts", 1, 0.3, 0.6},
    {"clock an hour wrong", 1, 0.3, 0.6},
    {"files: disk full", 1, 0.3, 0.6},
    {"files: read-only", 1, 0.3, 0.6},
    {"files: slow", 1, 0.3, 0.6},
    {"whole disk full", 1, 0.1, 0.5},
    {"store locked", 1, 0.1, 0.5},
    {"receiver dead", 1, 0.3, 0.6},
    {"receiver answers 500", 1, 0.3, 0.6},
    {"receiver hangs", 1, 0.3, 0.6},
    {"reload", 1, 0.02, 0.02},
    {"reload, broken file", 1, 0.02, 0.02},
    {"restart", 1, 0.02, 0.2},
    {"crash", 1, 0.02, 0.2},
}};

constexpr double kWorkAfter_s = 600.0;
constexpr double kPowerBefore_s = 240.0;
constexpr double kPowerAfter_s = 180.0;

double world_s(std::int64_t utc_ns, std::int64_t zero_utc_ns) {
    return static_cast<double>(utc_ns - zero_utc_ns) * 1e-9;
}

void place_work(const PlanWish& wish, const std::vector<Reel*>& reels, const Schedule& schedule,
                std::int64_t zero_utc_ns, Plan& plan) {
    Random random(wish.seed, "reels");
    const auto shifts = static_cast<std::size_t>(2 * wish.days);
    std::int64_t border_ns = zero_utc_ns;
    while (plan.works.size() < shifts) {
        border_ns = schedule.next_border(border_ns).value();
        const auto shift = schedule.shift_at(border_ns);
        if (!shift || shift->start_utc_ns != border_ns) continue;
        Work work;
        work.start_s = world_s(border_ns, zero_utc_ns) + kWorkAfter_s;
        const double latest_s = std::min(work.start_s + wish.shift_hours * 3600.0,
                                         world_s(*shift->end_utc_ns, zero_utc_ns) - kWorkAfter_s);
        double next_s = work.start_s;
        for (;;) {
            const std::size_t reel = random.index(reels.size());
            if (!work.reels.empty() && next_s + reels[reel]->length_s() > latest_s) break;
            work.reels.push_back({next_s, reel});
            next_s += reels[reel]->length_s();
        }
        work.end_s = next_s;
        work.power_on_s = work.start_s - kPowerBefore_s;
        work.power_off_s = work.end_s + kPowerAfter_s;
        plan.works.push_back(std::move(work));
    }
    for (std::size_t i = 1; i < plan.works.size(); i += 2) plan.day_ends_s.push_back(plan.works[i].end_s);
}

class Deck {
  public:
    explicit Deck(Random& random) : random_(random) {}
    FaultKind deal() {
        if (cards_.empty()) {
            for (std::size_t kind = 0; kind < kFaultKinds; ++kind)
                cards_.insert(cards_.end(), static_cast<std::size_t>(kFacts[kind].cards),
                              static_cast<FaultKind>(kind));
            random_.shuffle(cards_);
        }
        const FaultKind kind = cards_.back();
        cards_.pop_back();
        return kind;
    }

  private:
    Random& random_;
    std::vector<FaultKind> cards_;
};

void deal_faults(const PlanWish& wish, Plan& plan) {
    Random random(wish.seed, "faults");
    Deck deck(random);
    for (const Work& work : plan.works) {
        for (double slot_s = work.start_s; slot_s + wish.slot_s <= work.end_s; slot_s += wish.slot_s) {
            Fault fault;
            fault.kind = deck.deal();
            const KindFacts& facts = kFacts[static_cast<std::size_t>(fault.kind)];
            fault.start_s = slot_s + wish.slot_s * random.uniform(0.05, 0.3);
            fault.end_s = fault.start_s + wish.slot_s * random.uniform(facts.least, facts.most);
            fault.sign = random.chance(0.5) ? 1.0 : -1.0;
            if (fault.kind != FaultKind::kNone) plan.faults.push_back(fault);
        }
    }
}

// The daemon stays on through two nights of three; in the third it is stopped after work and started before
// the next.
void place_runs(const PlanWish& wish, Plan& plan) {
    Random random(wish.seed, "runs");
    double start_s = plan.works.front().power_on_s + 30.0;
    auto fault = plan.faults.begin();
    for (std::size_t i = 0; i < plan.works.size(); ++i) {
        for (; fault != plan.faults.end() && fault->start_s < plan.works[i].end_s; ++fault) {
            if (fault->kind != FaultKind::kRestart && fault->kind != FaultKind::kCrash) continue;
            plan.runs.push_back({start_s, fault->start_s, fault->kind == FaultKind::kCrash});
            start_s = fault->end_s;
        }
        const bool last = i + 1 == plan.works.size();
        const bool day_over = i % 2 == 1;
        if (!last && !(day_over && (i / 2) % 3 == 2)) continue;
        plan.runs.push_back({start_s, plan.works[i].power_off_s - 30.0, false});
        if (!last) start_s = plan.works[i + 1].power_on_s + 30.0;
    }
}

bool within(const std::vector<Fault>& faults, FaultKind kind, double time_s) {
    return std::any_of(faults.begin(), faults.end(), [&](const Fault& fault) {
        return fault.kind == kind && fault.start_s <= time_s && time_s < fault.end_s;
    });
}

void play_reels(const PlanWish& wish, const std::vector<Reel*>& reels, std::size_t contacts, Plan& plan) {
    Random random(wish.seed, "edges");
    std::vector<ScriptedSource::Change>& changes = plan.changes;
    for (const Work& work : plan.works) {
        for (const PlacedReel& placed : work.reels) {
            for (Animal animal : reels[placed.reel]->animals()) {
                animal.entered_s += placed.start_s;
                animal.released_s += placed.start_s;
                plan.animals.push_back(animal);
            }
            for (const ContactChange& change : reels[placed.reel]->changes()) {
                if (change.what != ContactChange::What::kLevel) continue;
                const double time_s = placed.start_s + change.time_s;
                changes.push_back({time_s, change.contact, change.closed});
                if (!change.closed) continue;
                if (within(plan.faults, FaultKind::kBounce, time_s)) {
                    for (int bounce = 1; bounce <= 2; ++bounce) {
                        changes.push_back({time_s + 0.004 * bounce, change.contact, bounce == 2});
                    }
                }
                if (within(plan.faults, FaultKind::kDoubledEdges, time_s) && random.chance(0.3)) {
                    const double again_s = time_s + random.uniform(0.15, 0.6);
                    changes.push_back({again_s, change.contact, false});
                    changes.push_back({again_s + 0.1, change.contact, true});
                    plan.made_closures_s.push_back(again_s + 0.1);
                }
            }
        }
    }
    for (const Fault& fault : plan.faults) {
        if (fault.kind != FaultKind::kStrayEdges) continue;
        for (int stray = 0; stray < 3; ++stray) {
            const double at_s = random.uniform(fault.start_s, fault.end_s);
            const std::size_t contact = random.index(contacts);
            changes.push_back({at_s, contact, true});
            changes.push_back({at_s + 0.3, contact, false});
            plan.made_closures_s.push_back(at_s);
        }
    }
    std::stable_sort(changes.begin(), changes.end(),
                     [](const auto& one, const auto& other) { return one.time_s < other.time_s; });
    std::sort(plan.made_closures_s.begin(), plan.made_closures_s.end());
}

} // namespace

std::string_view name_of(FaultKind kind) {
    return kFacts[static_cast<std::size_t>(kind)].name;
}

Plan make_plan(const PlanWish& wish, const std::vector<Reel*>& reels, const Schedule& schedule,
               std::int64_t zero_utc_ns, std::size_t contacts) {
    Plan plan;
    place_work(wish, reels, schedule, zero_utc_ns, plan);
    deal_faults(wish, plan);
    place_runs(wish, plan);
    play_reels(wish, reels, contacts, plan);
    return plan;
}

} // namespace quietpass::soak
