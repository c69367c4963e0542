#include "daemon/web/gzip.h"

#include <zlib.h>

#include <memory>

namespace quietpass {

namespace {

constexpr std::size_t kWorthIt = 2048; // bytes; about two packets

} // namespace

std::string gzipped(const std::string& bytes, GzipEffort effort) {
    z_stream stream{};
    // 15 bits of window, 16 more for gzip's frame (zlib.h).
    if (deflateInit2(&stream, effort == GzipEffort::kBest ? Z_BEST_COMPRESSION : Z_BEST_SPEED, Z_DEFLATED,
                     15 + 16, 8, Z_DEFAULT_STRATEGY) != Z_OK)
        return {};
    std::string out(deflateBound(&stream, bytes.size()), '\0');
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data()));
    stream.avail_in = static_cast<uInt>(bytes.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    stream.avail_out = static_cast<uInt>(out.size());
    const bool whole = deflate(&stream, Z_FINISH) == Z_STREAM_END;
    out.resize(whole ? stream.total_out : 0);
    deflateEnd(&stream);
    return out;
}

void gzip_body(WebAnswer& answer, const WebRequest& request) {
    if (!answer.body || answer.body->size() < kWorthIt || answer.status != 200) return;
    answer.headers.emplace_back("Vary", "Accept-Encoding");
    if (request.accept_encoding.find("gzip") == std::string::npos) return;
    std::string zipped = gzipped(*answer.body, GzipEffort::kQuick);
    if (zipped.empty() || zipped.size() >= answer.body->size()) return;
    answer.body = std::make_shared<const std::string>(std::move(zipped));
    answer.headers.emplace_back("Content-Encoding", "gzip");
}

} // namespace quietpass
