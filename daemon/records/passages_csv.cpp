#include "daemon/records/passages_csv.h"

#include "daemon/records/csv_line.h"

namespace quietpass {
namespace {

// The reason for an exclusion has no column of its own, so it leads the flags.
std::string flags_of(const Passage& passage) {
    std::string out = passage.excluded.empty() ? "" : "excluded=" + passage.excluded;
    for (const std::string& flag : passage.flags) {
        if (!out.empty()) out += ';';
        out += flag;
    }
    return out;
}

} // namespace

std::string passages_csv(std::span<const Passage> passages) {
    std::string out =
        "passage_id,entered_s,body_held_s,held_s,stunned_s,released_s,calls,vocal,covered,held_for_s,stuns,"
        "prods,flags,body_held_for_s,to_stun_s,restrained_for_s,bangs\n";
    CsvLine line;
    for (const Passage& passage : passages) {
        line.integer(passage.id).number(passage.entered_s, 3).number(passage.body_held_s, 3);
        line.number(passage.held_s, 3).number(passage.stunned_s, 3).number(passage.released_s, 3);
        line.integer(passage.calls).yes_no(passage.vocal).yes_no(passage.covered);
        line.number(passage.held_for_s(), 3).integer(passage.stuns).integer(passage.prods);
        line.text(flags_of(passage)).number(passage.body_held_for_s(), 3).number(passage.to_stun_s(), 3);
        line.number(passage.restrained_for_s(), 3);
        passage.bangs ? line.integer(*passage.bangs) : line.missing();
        out += line.take();
    }
    return out;
}

} // namespace quietpass
