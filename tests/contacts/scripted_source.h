// A contact source that plays a list of timed events on a simulated clock: what a device would do, without
// one.
//
// It has no thread: play() posts, on the caller's thread, what is due by the clock's time, and that all is
// known until then. Levels are as read.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "daemon/clock.h"
#include "daemon/contacts/contact_source.h"

namespace quietpass {

class ScriptedSource final : public ContactSource {
  public:
    struct Change {
        double time_s = 0.0; // of the clock
        std::size_t contact = 0;
        bool level = false;
    };
    // The source does not answer from start_s to end_s: changes in it are seen at its end, as far as they
    // lasted.
    struct Loss {
        double start_s = 0.0;
        double end_s = 0.0;
    };

    ScriptedSource(std::size_t number, const Clock& clock, std::vector<Change> changes,
                   std::vector<Loss> losses = {});

    const std::string& name() const override { return name_; }
    void start(ContactSink& sink) override { sink_ = &sink; }
    void stop() override { sink_ = nullptr; }

    void play();

  private:
    void post(ContactEvent event);

    std::size_t number_;
    std::string name_ = "script";
    const Clock& clock_;
    std::vector<Change> changes_;        // in order of time
    std::vector<Loss> losses_;           // in order of time, apart from each other
    std::map<std::size_t, bool> levels_; // of each contact of the script, as they are
    ContactSink* sink_ = nullptr;
    std::size_t next_change_ = 0;
    std::size_t next_loss_ = 0;
    std::int64_t known_ns_ = 0;
};

} // namespace quietpass
