#include "tests/soak/account.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "daemon/records/sha256.h"
#include "daemon/records/store.h"

namespace quietpass::soak {

namespace {

constexpr double kSame_s = 0.4;     // an entry in the store and in the plan
constexpr double kPending_s = 60.0; // what a crash may take with it: passages that weren't decided yet

struct Seen {
    Passage passage;
    double entered_s = 0.0; // world
    double end_s = 0.0;
    bool taken = false;
};

struct Span {
    double start_s = 0.0;
    double end_s = 0.0;
    std::string why;
    bool holds(double time_s) const { return start_s - kSame_s <= time_s && time_s <= end_s + kSame_s; }
};

// All rows of the store in world seconds.
struct World {
    std::vector<Seen> seen;
    std::vector<Span> gaps;      // in which an entry can't be seen
    std::vector<Span> not_there; // between what the records say was heard
    std::vector<double> begun_s; // sessions
};

void add_shift(const ShiftRows& rows, const StationTimes& times, Account& account, World& world,
               std::string& text) {
    text += fmt::format("shift {} {} {:.3f}\n", rows.shift.shift_id, rows.shift.name, rows.shift.start_s);
    for (const Passage& passage : rows.passages) {
        world.seen.push_back(
            {passage, times.world_s(passage.entered_s), times.world_s(passage.end_s), false});
        text += fmt::format("passage {} {:.3f} {:.3f} {:.3f} {:.3f} {} {} {}\n", passage.id,
                            passage.entered_s, passage.held_s, passage.stunned_s, passage.end_s,
                            passage.calls, passage.vocal, passage.excluded);
    }
    for (const StationCall& call : rows.calls) {
        text += fmt::format("call {} {:.3f} {:.3f}\n", call.id, call.heard.start_s, call.heard.end_s);
    }
    for (const Gap& gap : rows.gaps) {
        ++account.gaps[std::string(name_of(gap.cause))];
        text +=
            fmt::format("gap {} {:.3f} {:.3f} {}\n", gap.source, gap.start_s, gap.end_s, name_of(gap.cause));
        if (gap.cause != GapCause::kContactsLost && gap.cause != GapCause::kNotWritten) continue;
        world.gaps.push_back(
            {times.world_s(gap.start_s), times.world_s(gap.end_s), std::string(name_of(gap.cause))});
    }
    for (const Edge& edge : rows.edges) {
        text += fmt::format("edge {:.3f} {} {}\n", edge.time_s, name_of(edge.role), edge.closed);
    }
}

World read_world(const std::deque<Session>& sessions, const Store& store, Account& account) {
    World world;
    std::string text;
    const std::vector<StoredShift> shifts = store.shifts();
    double heard_until_s = -std::numeric_limits<double>::infinity();
    bool killed_before = false;
    for (std::size_t i = 0; i < sessions.size(); ++i) {
        const Session& session = sessions[i];
        if (session.times.empty()) continue;
        const std::int64_t last = i + 1 < sessions.size() ? sessions[i + 1].shifts_before
                                                          : std::numeric_limits<std::int64_t>::max();
        world.not_there.push_back(
            {heard_until_s - (killed_before ? kPending_s : 0.0), session.opened_s,
             killed_before ? "pending when it crashed, or not running" : "not running"});
        world.begun_s.push_back(session.opened_s);
        killed_before = false;
        heard_until_s = session.opened_s;
        for (const StoredShift& shift : shifts) {
            if (shift.shift_id <= session.shifts_before || shift.shift_id > last) continue;
            const auto rows = store.read_shift(shift.shift_id);
            if (!rows) continue;
            add_shift(*rows, session.times, account, world, text);
            const double end_s = rows->shift.end_s.value_or(rows->known_until_s);
            heard_until_s = std::max(heard_until_s, session.times.world_s(end_s));
            killed_before = rows->shift.record_json.find("\"killed\"") != std::string::npos;
        }
    }
    world.not_there.push_back({heard_until_s, std::numeric_limits<double>::infinity(), "not running"});
    account.digest = sha256_hex(text);
    std::stable_sort(world.seen.begin(), world.seen.end(),
                     [](const Seen& one, const Seen& other) { return one.entered_s < other.entered_s; });
    return world;
}

std::vector<Seen>::iterator from(std::vector<Seen>& seen, double time_s) {
    return std::lower_bound(seen.begin(), seen.end(), time_s,
                            [](const Seen& one, double at_s) { return one.entered_s < at_s; });
}

// The passage that an animal's entry is a second one of, because a stray edge began it, or because the
// contacts told nothing of the one that was in. With nobody of its own it is this animal's.
Seen* doubled_at(std::vector<Seen>& seen, double time_s) {
    const auto behind = from(seen, time_s);
    if (behind == seen.begin()) return nullptr;
    Seen& one = *(behind - 1);
    const auto& flags = one.passage.flags;
    const bool doubled = std::find(flags.begin(), flags.end(), "double_entry") != flags.end();
    if (!doubled || time_s > one.end_s || (one.taken && one.passage.excluded.empty())) return nullptr;
    return &one;
}

void take_animal(const Animal& animal, World& world, Account& account) {
    Seen* nearest = nullptr;
    for (auto one = from(world.seen, animal.entered_s - kSame_s);
         one != world.seen.end() && one->entered_s <= animal.entered_s + kSame_s; ++one) {
        const auto off_s = [&](const Seen& seen) { return std::abs(seen.entered_s - animal.entered_s); };
        if (!one->taken && (nearest == nullptr || off_s(*one) < off_s(*nearest))) nearest = &*one;
    }
    if (nearest == nullptr) nearest = doubled_at(world.seen, animal.entered_s);
    if (nearest != nullptr) {
        nearest->taken = true;
        const Passage& passage = nearest->passage;
        if (!passage.excluded.empty()) {
            ++account.excluded[passage.excluded];
            return;
        }
        ++account.scored;
        if (animal.vocal) ++account.vocal_scored;
        if (animal.vocal && passage.vocal) ++account.vocal_found;
        if (!animal.vocal && passage.vocal) ++account.vocal_false;
        return;
    }
    for (const std::vector<Span>* spans : {&world.not_there, &world.gaps}) {
        for (const Span& span : *spans) {
            if (!span.holds(animal.entered_s)) continue;
            ++account.not_seen[span.why];
            return;
        }
    }
    account.unaccounted.push_back(
        fmt::format("the animal that entered at {:.3f} s is nowhere", animal.entered_s));
}

// What made a passage that is no animal's entry; empty: nothing did.
std::string maker_of(const Seen& seen, const Plan& plan, const World& world) {
    const auto made =
        std::lower_bound(plan.made_closures_s.begin(), plan.made_closures_s.end(), seen.entered_s - kSame_s);
    if (made != plan.made_closures_s.end() && *made <= seen.entered_s + kSame_s) return "a made edge";
    // An animal that was in while the daemon was not, or did not know the contacts: what is left of it.
    const auto animal = std::upper_bound(plan.animals.begin(), plan.animals.end(), seen.entered_s + kSame_s,
                                         [](double at_s, const Animal& one) { return at_s < one.entered_s; });
    if (animal == plan.animals.begin()) return "";
    const double entered_s = (animal - 1)->entered_s;
    const double released_s = (animal - 1)->released_s;
    if (seen.entered_s > released_s + kSame_s) return "";
    if (seen.passage.excluded.empty()) return ""; // half an animal must not pass for a quiet one
    for (const double begun_s : world.begun_s) {
        if (entered_s >= begun_s || begun_s > seen.entered_s + kSame_s) continue;
        return "the rest of one after a start";
    }
    for (const Span& gap : world.gaps) {
        if (entered_s <= gap.end_s + kSame_s && gap.start_s <= seen.entered_s + kSame_s)
            return "the rest of one after a contact outage";
    }
    for (const double made_s : plan.made_closures_s) {
        if (entered_s <= made_s && made_s <= seen.entered_s + kSame_s)
            return "the rest of one after a made edge";
    }
    return "";
}

} // namespace

Account account_of(const Plan& plan, const std::deque<Session>& sessions, const std::filesystem::path& file) {
    const Store store(file);
    Account account;
    World world = read_world(sessions, store, account);
    account.animals = plan.animals.size();
    account.passages = world.seen.size();
    for (const Animal& animal : plan.animals) take_animal(animal, world, account);
    for (const Seen& seen : world.seen) {
        if (seen.taken) continue;
        const std::string maker = maker_of(seen, plan, world);
        if (!maker.empty()) {
            ++account.no_animals[maker + (seen.passage.excluded.empty() ? ", scored" : ", excluded")];
            continue;
        }
        account.unaccounted.push_back(
            fmt::format("passage {} at {:.3f} s ({}) is no animal's and nothing made it", seen.passage.id,
                        seen.entered_s, seen.passage.excluded.empty() ? "scored" : seen.passage.excluded));
    }
    return account;
}

} // namespace quietpass::soak
