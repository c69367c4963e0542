// One transfer by libcurl with what every transfer here needs: deadlines, no signals, certificates checked,
// no redirects, no proxy from the environment, an end on request. The caller sets the rest on handle().
//
// One thread. Errors: the constructor throws std::runtime_error when libcurl can't start.
#pragma once

#include <curl/curl.h>

#include <array>
#include <atomic>
#include <memory>
#include <string>

namespace quietpass {

class CurlTransfer {
  public:
    // schemes: comma-separated, all that may be spoken. ca_file: empty for the system's authorities.
    // within_s: for the whole, connecting included.
    CurlTransfer(const std::string& url, const char* schemes, const std::string& ca_file, double within_s,
                 const std::atomic<bool>& stop);
    CurlTransfer(const CurlTransfer&) = delete;
    CurlTransfer& operator=(const CurlTransfer&) = delete;

    CURL* handle() const { return handle_.get(); }
    // A header of HTTP.
    void add_header(const std::string& line);

    CURLcode perform();
    long response_code() const; // the receiver's last; 0: none
    // What went wrong, one line.
    std::string error(CURLcode code) const;

  private:
    struct FreeHandle {
        void operator()(CURL* handle) const { curl_easy_cleanup(handle); }
    };
    struct FreeList {
        void operator()(curl_slist* list) const { curl_slist_free_all(list); }
    };
    std::unique_ptr<curl_slist, FreeList> headers_;
    std::array<char, CURL_ERROR_SIZE> error_{};
    std::unique_ptr<CURL, FreeHandle> handle_; // last: its end may still write into the others
};

} // namespace quietpass
