// Edges of a made line, some left out or doubled, and how many animals they are read as.
#include "daemon/passages/head_count.h"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

namespace quietpass {
namespace {

struct MadeEdge {
    HeadCount::Mark mark;
    double running_s;
};

// Animals 15 s apart, give or take 3, that travel 40 s to the stun and 12 s on, give or take 1.
struct Line {
    std::vector<MadeEdge> edges;
    double last_s = 0.0;

    static double entry_s(int i) { return 15.0 * i + 3 * std::sin(2.1 * i); }
    static double stun_s(int i) { return entry_s(i) + 40 + std::sin(1.3 * i); }
    static double release_s(int i) { return stun_s(i) + 12 + 0.7 * std::sin(0.9 * i); }

    explicit Line(int animals) {
        for (int i = 0; i < animals; ++i) {
            edges.push_back({HeadCount::kEntry, entry_s(i)});
            edges.push_back({HeadCount::kStun, stun_s(i)});
            edges.push_back({HeadCount::kRelease, release_s(i)});
        }
        last_s = release_s(animals - 1);
    }
    void lose(HeadCount::Mark mark, double running_s) {
        std::erase_if(edges, [&](const MadeEdge& e) { return e.mark == mark && e.running_s == running_s; });
    }
    void add(HeadCount::Mark mark, double running_s) { edges.push_back({mark, running_s}); }
};

int animals_in(Line line, bool releases = true) {
    std::stable_sort(line.edges.begin(), line.edges.end(),
                     [](const MadeEdge& a, const MadeEdge& b) { return a.running_s < b.running_s; });
    HeadCount heads(true, releases);
    HeadCount::Knowledge begin_at;
    begin_at.to_stun = {40.0, 1.0};
    begin_at.to_release = {12.0, 1.0};
    begin_at.gap_s = 15.0;
    int animals = 0;
    const auto count = [&](const std::vector<HeadCount::Found>& found) {
        animals += static_cast<int>(
            std::count_if(found.begin(), found.end(), [](const HeadCount::Found& f) { return f.animal; }));
    };
    for (const MadeEdge& edge : line.edges) {
        if (edge.mark == HeadCount::kRelease && !releases) continue;
        heads.add(edge.mark, edge.running_s, 0);
        count(heads.settle(edge.running_s, begin_at, false));
    }
    count(heads.settle(line.last_s + 100, begin_at, true));
    CHECK(heads.empty());
    return animals;
}

TEST_CASE("A whole line is read as its animals") {
    CHECK(animals_in(Line(40)) == 40);
    CHECK(animals_in(Line(40), false) == 40);
    CHECK(animals_in(Line(3)) == 3);
}

TEST_CASE("An animal of which one edge is lost is still one") {
    for (int i = 0; i < 40; ++i) {
        CAPTURE(i);
        Line entry(40), stun(40), release(40);
        entry.lose(HeadCount::kEntry, Line::entry_s(i));
        stun.lose(HeadCount::kStun, Line::stun_s(i));
        release.lose(HeadCount::kRelease, Line::release_s(i));
        CHECK(animals_in(entry) == 40);
        CHECK(animals_in(stun) == 40);
        CHECK(animals_in(release) == 40);
        CHECK(animals_in(entry, false) == 40);
        CHECK(animals_in(stun, false) == 40);
    }
}

TEST_CASE("An animal's second edge is no animal") {
    for (int i = 0; i < 40; ++i) {
        CAPTURE(i);
        Line entry(40), stun(40), release(40);
        entry.add(HeadCount::kEntry, Line::entry_s(i) + 2.5);
        stun.add(HeadCount::kStun, Line::stun_s(i) + 2.5);
        release.add(HeadCount::kRelease, Line::release_s(i) + 2.5);
        CHECK(animals_in(entry) == 40);
        CHECK(animals_in(stun) == 40);
        CHECK(animals_in(release) == 40);
        CHECK(animals_in(entry, false) == 40);
        CHECK(animals_in(stun, false) == 40);
    }
}

TEST_CASE("An animal seen at its release only is one; without a release contact nothing tells of it") {
    Line line(40);
    line.lose(HeadCount::kEntry, Line::entry_s(20));
    line.lose(HeadCount::kStun, Line::stun_s(20));
    CHECK(animals_in(line) == 40);
    CHECK(animals_in(line, false) == 39);
}

TEST_CASE("An animal counted twice in front of one whose stun was lost is one") {
    Line line(40);
    line.add(HeadCount::kEntry, Line::entry_s(20) + 2);
    line.lose(HeadCount::kStun, Line::stun_s(21));
    CHECK(animals_in(line) == 40);
}

TEST_CASE("A line that began with a lost entry is not read shifted by one") {
    Line line(40);
    line.lose(HeadCount::kEntry, Line::entry_s(0));
    CHECK(animals_in(line) == 40);
    CHECK(animals_in(line, false) == 40);
}

} // namespace
} // namespace quietpass
