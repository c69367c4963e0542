#include "daemon/commands/run_log.h"

#include <spdlog/sinks/basic_file_sink.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include "daemon/failure.h"

namespace quietpass {

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
    log->set_pattern("%Y-%m-%dT%H:%M:%S.%eZ %l %v", spdlog::pattern_time_type::utc);
    log->flush_on(spdlog::level::info);
    return log;
}

} // namespace quietpass
