#include "tests/scenario/truth_files.h"

#include <cmath>
#include <cstdio>
#include <fstream>
#include <sstream>

#include "daemon/failure.h"

namespace quietpass::scenario {

namespace {

std::string fixed(double value, int digits) {
    if (!std::isfinite(value)) return "";
    char text[40];
    std::snprintf(text, sizeof text, "%.*f", digits, value);
    return text;
}

// Recording names are free text: quoted where they must be (RFC 4180).
std::string field(const std::string& text) {
    if (text.find_first_of(",\"\n") == std::string::npos) return text;
    std::string quoted = "\"";
    for (const char letter : text) quoted += letter == '"' ? std::string("\"\"") : std::string(1, letter);
    return quoted + "\"";
}

void write_whole(const std::string& path, const std::string& text) {
    const std::string aside = path + ".part";
    std::ofstream out(aside, std::ios::binary);
    out << text;
    out.close();
    if (!out || std::rename(aside.c_str(), path.c_str()) != 0) {
        std::remove(aside.c_str());
        throw Failure(kExitFailure, path + ": can't be written: check the folder and the space left");
    }
}

std::string contacts_text(const Timeline& timeline) {
    std::ostringstream out;
    out << "time_s,input,state\n";
    for (const Edge& edge : timeline.edges) {
        out << fixed(edge.time_s, 3) << ',' << name_of(edge.role) << ',' << (edge.closed ? 1 : 0) << '\n';
    }
    return out.str();
}

std::string passages_text(const Timeline& timeline) {
    std::ostringstream out;
    out << "passage,entered_s,body_held_s,held_s,stunned_s,released_s,vocal,calls,stuns,prods,stopped\n";
    for (const TruePassage& p : timeline.passages) {
        out << p.number;
        for (const double time : {p.entered_s, p.body_held_s, p.held_s, p.stunned_s, p.released_s}) {
            out << ',' << fixed(time, 3);
        }
        out << ',' << (p.vocal() ? 1 : 0) << ',' << p.calls << ',' << p.stuns() << ',' << p.prods << ','
            << (p.stopped ? 1 : 0) << '\n';
    }
    return out.str();
}

std::string passage_field(const Cue& cue) {
    return cue.passage == 0 ? "" : std::to_string(cue.passage);
}

std::string calls_text(const Timeline& timeline) {
    std::ostringstream out;
    out << "start_s,end_s,class,recording,passage,phase,counted,snr_db,place_m\n";
    for (const Cue& cue : timeline.cues) {
        if (cue.kind == CueKind::kDisturbance) continue;
        out << fixed(cue.start_s, 3) << ',' << fixed(cue.end_s, 3) << ',' << field(cue.sound_class) << ','
            << field(cue.recording) << ',' << passage_field(cue) << ',' << cue.phase << ','
            << (cue.counted ? 1 : 0) << ',' << fixed(cue.level_db, 2) << ','
            << (cue.place_m ? fixed(*cue.place_m, 2) : "") << '\n';
    }
    return out.str();
}

std::string sounds_text(const Timeline& timeline) {
    std::ostringstream out;
    out << "start_s,end_s,class,recording,passage,level_db\n";
    for (const Cue& cue : timeline.cues) {
        if (cue.kind != CueKind::kDisturbance) continue;
        out << fixed(cue.start_s, 3) << ',' << fixed(cue.end_s, 3) << ',' << field(cue.sound_class) << ','
            << field(cue.recording) << ',' << passage_field(cue) << ',' << fixed(cue.level_db, 2) << '\n';
    }
    return out.str();
}

} // namespace

void write_truth(const Timeline& timeline, const std::string& folder) {
    write_whole(folder + "/contacts.csv", contacts_text(timeline));
    write_whole(folder + "/truth.csv", passages_text(timeline));
    write_whole(folder + "/truth_calls.csv", calls_text(timeline));
    write_whole(folder + "/truth_sounds.csv", sounds_text(timeline));
}

} // namespace quietpass::scenario
