// Keeps a source's promises to its sink (contact_source.h): what it learnt of its inputs comes out in order
// of time, levels are told only while all of them are known, and after a loss all of them anew.
//
// Inputs are numbered from 0. At first, and after each loss, no level is known; the source learns them all at
// once or one by one. The moment the last of them is known is the return: until then whatever it learns is
// kept, so that a half-known device gives no edges. Stamps that step back are held at what is known already.
// One thread uses it, the source's.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/contacts/contact_source.h"

namespace quietpass {

// How often a loss that goes on is told, seconds.
inline constexpr double kTellLossEvery_s = 0.2;

class LevelReport {
  public:
    // contacts: which of the station's contacts each input is.
    LevelReport(std::size_t source, const std::vector<std::size_t>& contacts);

    // Nothing is known at now_ns. Before anything else; the sink must outlive the rest.
    void begin(ContactSink& sink, std::int64_t now_ns);

    void learn(std::size_t input, bool level, std::int64_t at_ns);
    // Everything that there is to learn up to at_ns was learnt. Nothing happens while a level is unknown.
    void known(std::int64_t at_ns);
    // Not everything was known up to to_ns. All levels are forgotten.
    void lost(std::int64_t to_ns, const std::string& why);
    // One input is not known any more; what is known of the others stays so.
    void lose(std::size_t input, std::int64_t at_ns, const std::string& why);
    // Levels that were learnt may have changed since; where all were known, that is a loss of its own.
    void forget() {
        for (Input& input : inputs_) input.level.reset();
    }
    // While levels are unknown, tells the loss as it grows, now and then: for the first time when there was
    // nothing to tell for first_after_s. What was learnt is kept.
    void tell_incomplete(std::int64_t now_ns, double first_after_s, const std::string& why);

    // Whether all levels are known.
    bool complete() const { return complete_; }
    // The first input whose level isn't known.
    std::optional<std::size_t> unknown() const;
    // Up to when everything is known or told as lost.
    std::int64_t known_ns() const { return known_ns_; }

  private:
    struct Input {
        std::size_t contact = 0;
        std::optional<bool> level;
    };

    void post_lost(std::int64_t to_ns, const std::string& why);
    void post_change(const Input& input, std::int64_t at_ns, bool after_loss);

    std::size_t source_;
    std::vector<Input> inputs_;
    ContactSink* sink_ = nullptr;
    std::int64_t known_ns_ = 0;
    bool complete_ = false;
    bool was_lost_ = false;
    std::string why_;
};

} // namespace quietpass
