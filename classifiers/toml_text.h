// The one place where TOML is parsed: the library (toml++ 3.3) has undefined behaviour at characters from
// U+FAC9 to U+FEFE (presentation forms, variation selectors of emoji) where it looks for white space. They
// are welcome in comments and in text of one line, and refused anywhere else before the library sees them.
//
// Pure; any thread. Errors: toml::parse_error with the line.
#pragma once

#include <toml++/toml.h>

#include <string_view>

namespace quietpass {

// name: what messages call the text, a path or nothing.
toml::table toml_from(std::string_view text, std::string_view name = {});

} // namespace quietpass
