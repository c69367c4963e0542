// The help of a command within 80 columns: the library leaves long lines to the terminal, which breaks them
// within words and without indent. Give it to the outermost App before its subcommands are added.
#pragma once

#include <CLI/CLI.hpp>
#include <algorithm>
#include <sstream>
#include <string>

#include "daemon/tables/table_text.h"

namespace quietpass {

class WrappedHelp : public CLI::Formatter {
  public:
    explicit WrappedHelp(std::size_t name_columns = 30) { column_width(name_columns); }

    std::string make_option_desc(const CLI::Option* option) const override {
        return wrap(CLI::Formatter::make_option_desc(option));
    }

    std::string make_subcommand(const CLI::App* command) const override {
        std::ostringstream out;
        CLI::detail::format_help(out, command->get_display_name(true), wrap(command->get_description()),
                                 get_column_width());
        return out.str();
    }
    std::string make_description(const CLI::App* command) const override {
        return by_lines(command->get_description());
    }
    std::string make_footer(const CLI::App* command) const override {
        return by_lines(command->get_footer());
    }

  private:
    static std::string by_lines(const std::string& text) {
        std::istringstream lines(text);
        std::string out;
        for (std::string line; std::getline(lines, line);) out += wrapped(line);
        return out;
    }
    // What stands beside a name.
    std::string wrap(std::string text) const {
        std::replace(text.begin(), text.end(), '\n', ' ');
        std::string out = wrapped(text, 0, kTextColumns - get_column_width());
        out.pop_back();
        return out;
    }
};

} // namespace quietpass
