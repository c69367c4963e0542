#include "tests/scenario/timeline.h"

#include "tests/scenario/cue_sheet.h"
#include "tests/scenario/passage_times.h"

namespace quietpass::scenario {

Timeline make_timeline(const Scenario& scenario, RecordingShelf& shelf) {
    shelf.gather();
    PassageTimes times = make_passage_times(scenario);
    Timeline timeline;
    timeline.cues = make_cues(scenario, times, shelf);
    timeline.edges = make_edges(scenario, times);
    timeline.length_s = times.length_s;
    timeline.passages = std::move(times.passages);
    timeline.stops = std::move(times.stops);
    return timeline;
}

} // namespace quietpass::scenario
