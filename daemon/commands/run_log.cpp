#include "daemon/commands/run_log.h"

#include <spdlog/pattern_formatter.h>
#include <spdlog/sinks/basic_file_sink.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include "classifiers/one_line.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

// A message is one line whatever it quotes: nobody writes an entry into the log that is not the daemon's.
class OneLineFormatter : public spdlog::formatter {
  public:
    void format(const spdlog::details::log_msg& message, spdlog::memory_buf_t& out) override {
        const std::string line = in_one_line({message.payload.data(), message.payload.size()});
        spdlog::details::log_msg shown = message;
        shown.payload = line;
        pattern_.format(shown, out);
    }

    std::unique_ptr<spdlog::formatter> clone() const override { return std::make_unique<OneLineFormatter>(); }

  private:
    spdlog::pattern_formatter pattern_{"%Y-%m-%dT%H:%M:%S.%eZ %l %v", spdlog::pattern_time_type::utc};
};

} // namespace

std::shared_ptr<spdlog::logger> make_log(const std::string& path) {
    std::shared_ptr<spdlog::logger> log;
    try {
        if (path.empty()) {
            log = std::make_shared<spdlog::logger>("quietpass",
                                                   std::make_shared<spdlog::sinks::stderr_sink_mt>());
        } else {
            log = std::make_shared<spdlog::logger>("quietpass",
                                                   std::make_shared<spdlog::sinks::basic_file_sink_mt>(path));
        }
    } catch (const spdlog::spdlog_ex&) {
        throw Failure(kExitFailure,
                      "run: --log " + path + ": can't be written; check the folder and its permissions");
    }
    log->set_formatter(std::make_unique<OneLineFormatter>());
    log->flush_on(spdlog::level::info);
    return log;
}

} // namespace quietpass
