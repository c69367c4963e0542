#include "classifiers/tuning/text_columns.h"

namespace quietpass::tuning {
namespace {

bool continues(char byte) {
    return (static_cast<unsigned char>(byte) & 0xC0) == 0x80;
}

} // namespace

std::size_t columns_of(const std::string& text) {
    std::size_t count = 0;
    for (const char byte : text) count += continues(byte) ? 0 : 1;
    return count;
}

std::string in_columns(const std::string& text, std::size_t columns) {
    const std::size_t wide = columns_of(text);
    if (wide <= columns) return text + std::string(columns - wide, ' ');
    std::size_t at = 0;
    for (std::size_t count = 0; at < text.size(); ++at) {
        if (!continues(text[at]) && ++count == columns) break;
    }
    return text.substr(0, at) + "…";
}

std::string wrapped(const std::string& text, std::size_t indent, std::size_t columns) {
    std::string out;
    std::size_t used = 0;
    std::size_t from = 0;
    bool started = false; // the line has a word
    while (from < text.size()) {
        std::size_t to = text.find_first_not_of(' ', from);
        if (to == std::string::npos) break;
        to = text.find(' ', to);
        if (to == std::string::npos) to = text.size();
        std::string word = text.substr(from, to - from); // with the spaces before it
        if (started && used + columns_of(word) > columns) {
            out += "\n" + std::string(indent, ' ');
            used = indent;
            word.erase(0, word.find_first_not_of(' '));
        }
        out += word;
        used += columns_of(word);
        started = true;
        from = to;
    }
    return out + "\n";
}

} // namespace quietpass::tuning
