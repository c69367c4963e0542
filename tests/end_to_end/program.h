// Runs the real programs as a user would, and looks at what they print and how they exit. Tests only; one
// thread.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "tests/test_folder.h"

namespace quietpass::test {

using quietpass::TestFolder;
using Environment = std::map<std::string, std::string>;

struct Outcome {
    int exit_code = -1; // 128 + signal when it was killed
    std::string out;
    std::string err;
};

// The programs under test.
std::string quietpass_program();

// Runs to the end; a run longer than two minutes is killed and fails the test that asked.
Outcome run_program(const std::vector<std::string>& words, const Environment& environment = {});

// A program that goes on in the background, its output in files.
class Background {
  public:
    Background(const std::vector<std::string>& words, const Environment& environment,
               std::filesystem::path out, std::filesystem::path err);
    ~Background(); // kills and collects it
    Background(const Background&) = delete;
    Background& operator=(const Background&) = delete;

    void signal(int number) const;
    pid_t pid() const { return pid_; }
    // The exit code, as in Outcome.
    int wait();
    bool running();
    std::string out() const;
    std::string err() const;

  private:
    pid_t pid_ = -1;
    int exit_code_ = -1;
    std::filesystem::path out_;
    std::filesystem::path err_;
};

// Asks `holds` again and again until it is true; false after a minute.
bool wait_until(const std::function<bool()>& holds);

std::string text_of(const std::filesystem::path& file);
void write_text(const std::filesystem::path& file, const std::string& text);
std::vector<std::string> lines_of(const std::string& text);

std::filesystem::path testdata();

// A shift that the build made with scenario-builder ("demo", "short"): audio.wav, contacts.csv, truth.csv.
std::filesystem::path made_shift(const std::string& name);

} // namespace quietpass::test
