// Every short sequence of what can befall one alarm, and what must hold in each.
#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <set>

#include "tests/alarms/alarm_desk.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

// One letter a step; a restart in the middle must change nothing.
struct Played {
    AlarmDesk desk;
    bool there = false; // of a cause that lasts
    int seen = 0;       // how often it was seen in all
};

AlarmCause kMoment = AlarmCause::kCallAfterStun;
AlarmCause kLasting = AlarmCause::kContactsLost;

void step(Played& played, AlarmCause cause, char letter) {
    AlarmDesk& desk = played.desk;
    const bool lasts = nature_of(cause).end == AlarmEnd::kGone;
    switch (letter) {
        case 'a': // seen, or there
        case 'b': // … of another animal
            if (!lasts) {
                desk.happened(cause, letter == 'a' ? 1 : 2);
                ++played.seen;
            } else {
                if (!played.there) ++played.seen;
                played.there = true;
                desk.there(cause);
            }
            break;
        case 'g':
            played.there = false;
            desk.gone(cause);
            break;
        case 'k':
            desk.person("acknowledged", desk.last_alarm());
            break;
        case 'c':
            desk.person("cleared", desk.last_alarm());
            break;
        case 's': // less than any gap
            desk.after(7.0);
            break;
        case 'r': // the gap, and a reminder of what is at once
            desk.after(301.0);
            break;
        case 'q': // all spans are over
            desk.after(1801.0);
            break;
        case 'R':
            desk.restart();
            if (lasts && played.there) desk.there(cause);
            break;
        default:
            FAIL("no such step");
    }
    desk.book->advance(desk.now_ns);
}

Played play(AlarmCause cause, const std::string& letters) {
    Played played;
    played.desk.restart();
    for (const char letter : letters) step(played, cause, letter);
    return played;
}

// What the rows of one alarm must look like, whatever came.
std::string broken_rule(const AlarmDesk& desk, AlarmCause cause) {
    std::map<std::int64_t, std::string> state;
    std::map<std::int64_t, std::int64_t> count;
    std::int64_t open = 0;
    std::int64_t highest = 0;
    for (const AlarmEventRow& row : desk.rows) {
        const bool of_person = !row.by.empty() && !row.told;
        std::string& now = state[row.alarm_id];
        if (row.event == "raised") {
            if (!now.empty()) return "raised twice";
            if (row.alarm_id <= highest) return "a number used again";
            if (open != 0) return "two open alarms of one cause";
            highest = open = row.alarm_id;
            if (row.count != 1) return "raised with a count";
        } else if (now.empty() && !of_person) {
            return "something before it was raised";
        }
        if (now == "cleared" && !of_person && !(row.event == "cleared" && row.told))
            return "something after it was cleared";
        if (row.event == "again" && row.count < count[row.alarm_id]) return "the count went back";
        if (!of_person || now == "raised" || (now == "acknowledged" && row.event == "cleared")) {
            now = row.event == "again" ? (nature_of(cause).anew || now == "raised" ? "raised" : now)
                                       : row.event;
        }
        if (row.event == "cleared" && row.alarm_id == open) open = 0;
        if (row.event != "acknowledged") count[row.alarm_id] = std::max(count[row.alarm_id], row.count);
    }
    std::map<std::string, const AlarmMessage*> last;
    const AlarmRules rules = alarm_rules(cause, desk.settings);
    std::map<std::string, std::pair<std::int64_t, std::string>>
        asked; // when a person was asked, for which animal
    for (const AlarmMessage& message : desk.messages) {
        const AlarmMessage* const before = last[message.alarm];
        if (before == nullptr && message.event != "raised") return "the first message is not raised";
        if (before != nullptr && message.event == "raised") return "raised told twice";
        if (before != nullptr && before->event == "cleared") return "a message after cleared";
        const bool asks = message.event == "raised" || message.event == "again";
        const std::string animal =
            message.facts.contains("passage_id") ? message.facts.at("passage_id") : std::string();
        if (asks && before != nullptr) {
            const auto& [when_ns, whose] = asked[message.alarm];
            if (message.utc_ns - when_ns < rules.again_ns && (animal == whose || !rules.nature.by_animal))
                return "told too soon";
            if (before->event == "acknowledged" && message.count == before->count)
                return "told again after it was acknowledged";
        }
        if (asks) asked[message.alarm] = {message.utc_ns, animal};
        last[message.alarm] = &message;
    }
    return "";
}

void for_all(const std::string& alphabet, std::size_t length,
             const std::function<void(const std::string&)>& visit) {
    std::string letters(length, alphabet[0]);
    std::vector<std::size_t> at(length, 0);
    for (;;) {
        visit(letters);
        std::size_t i = 0;
        while (i < length && ++at[i] == alphabet.size()) at[i++] = 0;
        if (i == length) return;
        for (std::size_t j = 0; j <= i; ++j) letters[j] = alphabet[at[j]];
    }
}

std::vector<std::string> timed(const AlarmDesk& desk) {
    std::vector<std::string> lines;
    for (const AlarmMessage& message : desk.messages) {
        lines.push_back(message.event + ' ' + message.alarm + ' ' + std::to_string(message.count) + ' ' +
                        std::to_string(message.utc_ns));
    }
    return lines;
}

} // namespace

TEST_CASE(
    "Every sequence of six steps keeps the rules of an alarm of a moment, and none that was seen goes "
    "untold") {
    std::size_t sequences = 0;
    for_all("abkcsrq", 6, [&](const std::string& letters) {
        ++sequences;
        Played played = play(kMoment, letters);
        const std::string broken = broken_rule(played.desk, kMoment);
        if (!broken.empty()) FAIL(letters << ": " << broken);
        // Sightings are rows, each once.
        std::int64_t seen = 0;
        std::map<std::int64_t, std::int64_t> counts;
        for (const AlarmEventRow& row : played.desk.rows) {
            if (row.event == "raised" || row.event == "again") counts[row.alarm_id] = row.count;
        }
        for (const auto& [alarm, count] : counts) seen += count;
        if (seen != played.seen) FAIL(letters << ": seen " << played.seen << " times, counted " << seen);
        // The last one reached a person: told, acknowledged after it, or cleared.
        played.desk.after(61.0);
        std::int64_t told = 0;
        for (const AlarmMessage& message : played.desk.messages) {
            if (message.alarm == std::to_string(played.desk.last_alarm())) told = message.count;
        }
        const bool told_all = counts.empty() || told == counts.rbegin()->second;
        const bool open = played.desk.book->is_open(kMoment, "");
        if (open && !told_all) {
            // Only what a person acknowledged before the gap was over needs no message.
            const bool acknowledged = letters.find('k') != std::string::npos;
            if (!acknowledged) FAIL(letters << ": not told");
        }
    });
    CHECK(sequences == 117649);
}

TEST_CASE("Every sequence of six steps keeps the rules of an alarm that lasts") {
    for_all("agkcsrq", 6, [&](const std::string& letters) {
        Played played = play(kLasting, letters);
        const std::string broken = broken_rule(played.desk, kLasting);
        if (!broken.empty()) FAIL(letters << ": " << broken);
        if (!played.there) {
            played.desk.after(61.0);
            if (played.desk.book->is_open(kLasting, "")) FAIL(letters << ": gone and not cleared");
        } else if (letters.find('c') == std::string::npos) {
            if (!played.desk.book->is_open(kLasting, "")) FAIL(letters << ": there and not open");
        }
    });
}

TEST_CASE("A restart at any place of any sequence of five changes no message") {
    for_all("abkcsrq", 5, [&](const std::string& letters) {
        const auto without = timed(play(kMoment, letters).desk);
        for (std::size_t at = 1; at <= letters.size(); ++at) {
            const std::string with = letters.substr(0, at) + "R" + letters.substr(at);
            if (timed(play(kMoment, with).desk) != without) FAIL(with);
        }
    });
    // Of what lasts, where it is there at the restart: else the span until it is over begins anew.
    for_all("agkcsrq", 5, [&](const std::string& letters) {
        const auto without = timed(play(kLasting, letters).desk);
        for (std::size_t at = 1; at <= letters.size(); ++at) {
            if (!play(kLasting, letters.substr(0, at)).there) continue;
            const std::string with = letters.substr(0, at) + "R" + letters.substr(at);
            if (timed(play(kLasting, with).desk) != without) FAIL(with);
        }
    });
}
