// A report's page as other programs read it: poppler's pdftotext, pdfinfo … Tests only; fails the test where
// one fails.
#pragma once

#include <catch2/catch.hpp>
#include <regex>
#include <string>
#include <vector>

#include "tests/end_to_end/program.h"

namespace quietpass::test {

inline std::string tool(const std::vector<std::string>& words) {
    const Outcome outcome = run_program(words);
    INFO(words.front() << ": " << outcome.err);
    REQUIRE(outcome.exit_code == 0);
    return outcome.out;
}

// All white space is one blank: a page wraps where it likes.
inline std::string flat(const std::string& text) {
    return std::regex_replace(text, std::regex("\\s+"), " ");
}

inline std::string text_of_pdf(const TestFolder& folder, const std::string& pdf) {
    write_text(folder / "report.pdf", pdf);
    return flat(tool({"/usr/bin/pdftotext", (folder / "report.pdf").string(), "-"}));
}

inline int pages_of(const TestFolder& folder, const std::string& pdf) {
    write_text(folder / "pages.pdf", pdf);
    const std::string facts = tool({"/usr/bin/pdfinfo", (folder / "pages.pdf").string()});
    std::smatch found;
    REQUIRE(std::regex_search(facts, found, std::regex("Pages: +([0-9]+)")));
    return std::stoi(found[1]);
}

inline bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

} // namespace quietpass::test
