#include "daemon/alarms/delivery/curl_transfer.h"

#include <algorithm>
#include <stdexcept>

namespace quietpass {

namespace {

bool started() {
    static const bool kStarted = curl_global_init(CURL_GLOBAL_DEFAULT) == CURLE_OK;
    return kStarted;
}

int go_on(void* stop, curl_off_t, curl_off_t, curl_off_t, curl_off_t) {
    return static_cast<const std::atomic<bool>*>(stop)->load() ? 1 : 0;
}

// What receivers answer is not needed, and could be long.
size_t swallow(char*, size_t size, size_t count, void*) {
    return size * count;
}

} // namespace

CurlTransfer::CurlTransfer(const std::string& url, const char* schemes, const std::string& ca_file,
                           double within_s, const std::atomic<bool>& stop) {
    if (!started()) throw std::runtime_error("libcurl can't be started");
    handle_.reset(curl_easy_init());
    if (!handle_) throw std::runtime_error("libcurl has no memory");
    const auto set = [this](CURLoption option, auto value) {
        if (curl_easy_setopt(handle_.get(), option, value) != CURLE_OK) {
            throw std::runtime_error("this libcurl lacks an option that is needed");
        }
    };
    const long within_ms = static_cast<long>(within_s * 1000.0);
    set(CURLOPT_URL, url.c_str());
    set(CURLOPT_PROTOCOLS_STR, schemes);
    set(CURLOPT_NOSIGNAL, 1L);
    set(CURLOPT_CONNECTTIMEOUT_MS, within_ms);
    set(CURLOPT_TIMEOUT_MS, within_ms);
    // Also of goodbyes, which the others don't bound.
    set(CURLOPT_SERVER_RESPONSE_TIMEOUT, std::max(1L, within_ms / 1000));
    set(CURLOPT_PROXY, "");
    set(CURLOPT_SSLVERSION, static_cast<long>(CURL_SSLVERSION_TLSv1_2));
    if (!ca_file.empty()) set(CURLOPT_CAINFO, ca_file.c_str());
    set(CURLOPT_ERRORBUFFER, error_.data());
    set(CURLOPT_NOPROGRESS, 0L);
    set(CURLOPT_XFERINFOFUNCTION, go_on);
    set(CURLOPT_XFERINFODATA, static_cast<void*>(const_cast<std::atomic<bool>*>(&stop)));
    set(CURLOPT_WRITEFUNCTION, swallow);
}

void CurlTransfer::add_header(const std::string& line) {
    curl_slist* const longer = curl_slist_append(headers_.get(), line.c_str());
    if (longer == nullptr) throw std::runtime_error("libcurl has no memory");
    static_cast<void>(headers_.release());
    headers_.reset(longer);
    curl_easy_setopt(handle_.get(), CURLOPT_HTTPHEADER, headers_.get());
}

CURLcode CurlTransfer::perform() {
    error_[0] = '\0';
    return curl_easy_perform(handle_.get());
}

long CurlTransfer::response_code() const {
    long code = 0;
    curl_easy_getinfo(handle_.get(), CURLINFO_RESPONSE_CODE, &code);
    return code;
}

std::string CurlTransfer::error(CURLcode code) const {
    std::string text = error_[0] != '\0' ? error_.data() : curl_easy_strerror(code);
    std::replace_if(
        text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }, ' ');
    return text;
}

} // namespace quietpass
