#include "daemon/web/static_files.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "daemon/failure.h"
#include "daemon/records/sha256.h"
#include "daemon/web/gzip.h"

namespace quietpass {

namespace {

constexpr std::size_t kMostBytes = 64U << 20U;
constexpr std::size_t kWorthZipping = 512;

constexpr const char* kPlainStyle =
    R"css(:root { color-scheme: light dark; font: 1.125rem/1.5 system-ui, sans-serif; }
body { max-width: 40rem; margin: 3rem auto; padding: 0 1rem; }
)css";

// Until the page is built into a folder.
std::string plain_page(const std::string& style) {
    return R"html(<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>quietpass</title>
<link rel="stylesheet" href="/)html" +
           style + R"html(">
</head>
<body>
<h1>quietpass</h1>
<p>The station answers. Its figures are at <code>/api/v1/</code>, described in
<a href="/api/v1/openapi.json">openapi.json</a>.</p>
<p>It measures. It is never a safety device and replaces no trained person.</p>
</body>
</html>
)html";
}

std::string type_of(const std::string& name) {
    static const std::map<std::string, std::string> types = {{".html", "text/html; charset=utf-8"},
                                                             {".js", "text/javascript; charset=utf-8"},
                                                             {".css", "text/css; charset=utf-8"},
                                                             {".json", "application/json"},
                                                             {".svg", "image/svg+xml"},
                                                             {".png", "image/png"},
                                                             {".ico", "image/x-icon"},
                                                             {".woff2", "font/woff2"},
                                                             {".map", "application/json"},
                                                             {".txt", "text/plain; charset=utf-8"},
                                                             {".webmanifest", "application/manifest+json"}};
    const auto found = types.find(std::filesystem::path(name).extension().string());
    return found == types.end() ? "application/octet-stream" : found->second;
}

// "app.4F2A9C01.js", "app-QRSTUVWX.js": eight letters and digits or more, with a digit or without a small
// letter.
bool name_has_hash(const std::string& name) {
    const std::string stem = std::filesystem::path(name).stem().string();
    const std::size_t mark = stem.find_last_of(".-");
    if (mark == std::string::npos || stem.size() - mark - 1 < 8) return false;
    const auto hash = stem.substr(mark + 1);
    const auto is = [](unsigned char letter) { return std::isalnum(letter) != 0; };
    const auto digit = [](unsigned char letter) { return std::isdigit(letter) != 0; };
    const auto small = [](unsigned char letter) { return std::islower(letter) != 0; };
    return std::all_of(hash.begin(), hash.end(), is) &&
           (std::any_of(hash.begin(), hash.end(), digit) || std::none_of(hash.begin(), hash.end(), small));
}

} // namespace

StaticFiles::StaticFiles(const std::string& folder) {
    if (folder.empty()) {
        const std::string style = "page." + sha256_hex(kPlainStyle).substr(0, 12) + ".css";
        add("/" + style, kPlainStyle);
        add("/index.html", plain_page(style));
        return;
    }
    std::size_t bytes = 0;
    std::error_code error;
    std::filesystem::recursive_directory_iterator files(folder, error);
    if (error)
        throw Failure(kExitUsage, "[page] files " + folder + ": can't be read; give the built page's folder");
    for (const auto& entry : files) {
        if (!entry.is_regular_file()) continue;
        std::ifstream stream(entry.path(), std::ios::binary);
        std::string content{std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
        bytes += content.size();
        if (bytes > kMostBytes) throw Failure(kExitUsage, "[page] files " + folder + ": more than 64 MiB");
        add("/" + entry.path().lexically_relative(folder).generic_string(), std::move(content));
    }
    if (!files_.contains("/index.html")) {
        throw Failure(kExitUsage,
                      "[page] files " + folder + ": no index.html is there; give the built page's folder");
    }
}

void StaticFiles::add(const std::string& name, std::string bytes) {
    File file;
    file.type = type_of(name);
    file.etag = '"' + sha256_hex(bytes).substr(0, 32) + '"';
    file.hashed = name_has_hash(name);
    const bool text = !file.type.starts_with("image/png") && !file.type.starts_with("font/");
    if (text && bytes.size() >= kWorthZipping) {
        std::string zipped = gzipped(bytes, GzipEffort::kBest);
        if (!zipped.empty() && zipped.size() < bytes.size())
            file.gzipped = std::make_shared<const std::string>(std::move(zipped));
    }
    file.bytes = std::make_shared<const std::string>(std::move(bytes));
    files_.emplace(name, std::move(file));
}

WebAnswer StaticFiles::answer(const WebRequest& request) const {
    const std::string last = request.path.substr(request.path.rfind('/') + 1);
    const bool page = last.find('.') == std::string::npos;
    const auto found = files_.find(page ? "/index.html" : request.path);
    if (found == files_.end())
        return {404, "text/plain; charset=utf-8", std::make_shared<std::string>("not here\n"), {}, {}};
    const File& file = found->second;
    WebAnswer answer;
    answer.type = file.type;
    answer.headers = {{"ETag", file.etag},
                      {"Vary", "Accept-Encoding"},
                      {"Cache-Control", file.hashed ? "public, max-age=31536000, immutable" : "no-cache"}};
    if (request.if_none_match == file.etag) {
        answer.status = 304;
        return answer;
    }
    const bool zip = file.gzipped && request.accept_encoding.find("gzip") != std::string::npos;
    if (zip) answer.headers.emplace_back("Content-Encoding", "gzip");
    answer.body = zip ? file.gzipped : file.bytes;
    return answer;
}

} // namespace quietpass
