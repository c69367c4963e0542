// What is given bytes that nobody would send: each reads them as its part of the program does, and throws
// only what that part says it throws. Anything else is a fault. Under libFuzzer (`tests/fuzz/run`) each is a
// program of its own; in the suite all run over their corpus and what is made from it (corpora_test.cpp).
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace quietpass::fuzz {

void station_file(std::string_view bytes);
void profile(std::string_view bytes);
void contacts_csv(std::string_view bytes);
void line_protocol(std::string_view bytes); // and the payloads of MQTT
void sound_file(std::string_view bytes);    // libsndfile behind FileSource
void bundle(std::string_view bytes);        // verify --bundle
void json_body(std::string_view bytes);     // the first byte chooses the route
void http_request(std::string_view bytes);  // through the real server
void websocket_frames(std::string_view bytes);

struct Fuzzed {
    const char* name; // of the folder in corpus/
    void (*run)(std::string_view bytes);
};
inline const std::vector<Fuzzed>& all_fuzzed() {
    static const std::vector<Fuzzed> all = {{"station_file", station_file},
                                            {"profile", profile},
                                            {"contacts_csv", contacts_csv},
                                            {"line_protocol", line_protocol},
                                            {"sound_file", sound_file},
                                            {"bundle", bundle},
                                            {"json_body", json_body},
                                            {"http_request", http_request},
                                            {"websocket_frames", websocket_frames}};
    return all;
}

} // namespace quietpass::fuzz
