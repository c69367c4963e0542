#include "daemon/commands/run_news.h"

#include <spdlog/spdlog.h>

#include <cstdio>
#include <utility>

#include "daemon/build_facts.h"
#include "daemon/commands/passage_line.h"
#include "daemon/hearing/separation.h"

namespace quietpass {

namespace {

void show(const std::string& lines) {
    std::fputs(lines.c_str(), stdout);
    std::fflush(stdout);
}

} // namespace

void RunNews::say(bool warning, const std::string& line) {
    log_->log(warning ? spdlog::level::warn : spdlog::level::info, line);
}

void RunNews::killed_shifts(std::size_t count) {
    if (count == 0) return;
    log_->warn("{} shift(s) left open by a killed run were closed with what was written", count);
}

void RunNews::listening(const StationSettings& settings, bool scores) {
    cuts_ = settings.has(Role::kCut);
    if (show_) show(passage_line_header(cuts_));
    log_->info("quietpass {} listens at {} ({}), {} microphone(s)", kVersion, settings.name,
               name_of(settings.species), settings.microphones.size());
    if (!scores) return;
    const Separation separation = separation_of(settings);
    say(separation.by != SeparatedBy::kLevelAndDelay, separation.note);
}

void RunNews::heard(std::int64_t samples, bool hanging) {
    if (samples > 0 && !std::exchange(told_ready_, true)) manager_.ready();
    if (!hanging) manager_.progress(samples);
}

void RunNews::passage(const Passage& passage) {
    if (show_) show(passage_line_of(passage, cuts_));
    const char* heard = !passage.excluded.empty() ? ": not scored" : passage.vocal ? ": vocal" : ": silent";
    manager_.status("passage " + std::to_string(passage.id) + heard);
}

void RunNews::health(const MicrophoneMinute& minute) {
    if (const auto news = health_news_.take(minute)) say(news->warning, news->text);
}

void RunNews::records(const StoreState& state) {
    if (state.failing || !state.error.empty()) {
        log_->error("records can't be written: {}; {} rows wait, {} lost, {} malformed", state.error,
                    state.waiting, state.dropped, state.malformed);
    } else {
        log_->info("records are written again");
    }
}

void RunNews::edges_file(bool written) {
    const bool was_failing = std::exchange(edges_failing_, !written);
    if (!written && !was_failing) log_->error("contacts.csv can't be written; edges go to the store only");
}

void RunNews::reload_refused(const std::string& why) {
    log_->error("the settings are not taken, the station goes on as it was: {}", why);
}

} // namespace quietpass
