// The recordings that a scenario may use: a manifest (TSV with the columns path, class, recording, tier,
// licence, origin, note) and a folder that its paths start from. Clips are read when they are first drawn and
// kept.
//
// Which parts of a clip sound like its class: the labels file (TSV: path, start_s, end_s, label) with `call`
// (`grunt` for pig_grunt); else a note `squeal_segs=a-b,c-d` in the manifest; else what clip.h finds.
//
// Draws are dealt like cards: every recording of a class comes once before any comes again.
// Folds are by the manifest's `recording`, so that clips cut from one recording stay in one fold.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "tests/scenario/clip.h"
#include "tests/scenario/random.h"
#include "tests/scenario/scenario.h"

namespace quietpass::scenario {

class RecordingShelf {
  public:
    // Throws Failure when the manifest can't be read. Without a recordings folder the shelf is empty.
    explicit RecordingShelf(const Scenario& scenario);

    bool has(const std::string& sound_class) const;

    // Puts all drawn recordings back: what is drawn afterwards does not depend on what was drawn before.
    void gather() { decks_.clear(); }

    // The next clip of the class. Throws Failure (exit 2) when there is none.
    const Clip& draw(const std::string& sound_class, Random& random);

    // The clip with this recording name or path. Throws Failure (exit 2).
    const Clip& find(const std::string& sound_class, const std::string& name);

    // The names of what may be drawn, sorted.
    std::vector<std::string> recordings(const std::string& sound_class) const;

  private:
    struct Entry {
        std::string path;
        std::string recording;
        std::vector<ClipPart> known_parts;
        std::unique_ptr<Clip> clip;
    };
    struct Deck {
        std::vector<std::size_t> cards; // recordings still to come, last first
    };
    const Clip& loaded(Entry& entry);

    std::string file_; // the scenario's, for messages
    std::string folder_;
    double low_hz_;
    double high_hz_;
    std::map<std::string, std::vector<Entry>> classes_;
    std::map<std::string, Deck> decks_;
};

} // namespace quietpass::scenario
