#include "daemon/commands/tune_command.h"

#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "daemon/failure.h"

namespace quietpass {

void tune(const std::vector<std::string>& arguments) {
    std::error_code error;
    const std::filesystem::path self = std::filesystem::read_symlink("/proc/self/exe", error);
    const std::string program = (self.parent_path() / "quietpass-tune").string();

    std::vector<std::string> words = {"quietpass tune"};
    words.insert(words.end(), arguments.begin(), arguments.end());
    std::vector<char*> argv;
    for (std::string& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);
    execv(program.c_str(), argv.data());
    throw Failure(kExitFailure, "tune: can't start " + program + " (" + std::strerror(errno) +
                                    "); build or install the target quietpass-tune beside quietpass");
}

} // namespace quietpass
