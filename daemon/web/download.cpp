#include "daemon/web/download.h"

#include "daemon/web/api_route.h"
#include "daemon/web/byte_range.h"

namespace quietpass {

WebAnswer file_answer(const WebRequest& request, const std::filesystem::path& file, const std::string& type,
                      const std::string& etag) {
    std::error_code error;
    const std::uint64_t size = std::filesystem::file_size(file, error);
    if (error) throw Refusal{404, "the file is not there", file.filename().string(), "verify the records"};
    const ByteRange range = byte_range(request.range, size);
    if (range.kind == ByteRange::Kind::kCantBe) {
        throw Refusal{416,
                      "this range can't be given",
                      "Range",
                      "ask for one range within the file",
                      {{"Content-Range", "bytes */" + std::to_string(size)}}};
    }
    WebAnswer answer;
    answer.type = type;
    answer.headers = {{"Accept-Ranges", "bytes"}, {"ETag", '"' + etag + '"'}};
    answer.file = FilePart{file, range.first, range.bytes};
    if (range.kind == ByteRange::Kind::kPart) {
        answer.status = 206;
        answer.headers.emplace_back("Content-Range", "bytes " + std::to_string(range.first) + "-" +
                                                         std::to_string(range.first + range.bytes - 1) + "/" +
                                                         std::to_string(size));
    }
    return answer;
}

} // namespace quietpass
