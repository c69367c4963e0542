#include "daemon/records/calls_csv.h"

#include "daemon/records/csv_line.h"

namespace quietpass {
namespace {

std::string reasons_of(const StationCall& call) {
    if (call.reason.empty() || call.heard.reasons.empty()) return call.reason + call.heard.reasons;
    return call.reason + "; " + call.heard.reasons;
}

} // namespace

std::string calls_csv(Species species, std::span<const StationCall> calls) {
    std::string out =
        "call_id,microphone,start_s,end_s,species,kind,score,level_db,f0_hz,passage_id,phase,counted,"
        "reasons,bang_before_db,hiss_before_db\n";
    CsvLine line;
    for (const StationCall& call : calls) {
        line.integer(call.id).text(call.microphone).number(call.heard.start_s, 3).number(call.heard.end_s, 3);
        line.text(name_of(species)).text(name_of(call.heard.kind)).number(call.heard.score, 3);
        line.number(call.heard.level_db, 1);
        call.heard.f0_hz > 0.0 ? line.number(call.heard.f0_hz, 1) : line.missing();
        call.passage_id ? line.integer(*call.passage_id) : line.missing();
        call.phase ? line.text(name_of(*call.phase)) : line.missing();
        line.yes_no(call.counted).text(reasons_of(call));
        for (const auto& level_db : {call.bang_before_db, call.hiss_before_db}) {
            level_db ? line.number(*level_db, 1) : line.missing();
        }
        out += line.take();
    }
    return out;
}

} // namespace quietpass
