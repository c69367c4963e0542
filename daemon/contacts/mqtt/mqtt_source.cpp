#include "daemon/contacts/mqtt/mqtt_source.h"

#include <algorithm>
#include <cstdio>
#include <optional>

#include "daemon/contacts/back_off.h"
#include "daemon/contacts/level_report.h"
#include "daemon/contacts/mqtt/contact_payload.h"
#include "daemon/contacts/mqtt/mqtt_link.h"
#include "daemon/contacts/source_thread.h"
#include "daemon/contacts/wait_lost.h"

namespace quietpass {

namespace {

constexpr int kTurn_ms = 10;

std::vector<std::size_t> contacts_of(const std::vector<MqttInput>& inputs) {
    std::vector<std::size_t> contacts;
    for (const MqttInput& input : inputs) contacts.push_back(input.contact);
    return contacts;
}

std::vector<std::string> topics_of(const std::vector<MqttInput>& inputs) {
    std::vector<std::string> topics;
    for (const MqttInput& input : inputs) topics.push_back(input.address.topic);
    return topics;
}

MqttServer broker_of(const std::vector<MqttInput>& inputs, std::optional<Login> login, std::string ca_file) {
    const MqttAddress& address = inputs.front().address;
    return {address.host, address.port, address.tls, std::move(ca_file), std::move(login)};
}

// What came, as it can stand in a log.
std::string shown(std::string_view payload) {
    std::string text(payload.substr(0, 40));
    std::replace_if(
        text.begin(), text.end(), [](char letter) { return letter < ' ' || letter > '~'; }, '.');
    return "'" + text + "'";
}

} // namespace

struct MqttSource::Parts {
    Parts(std::size_t number, const std::vector<MqttInput>& inputs, std::string client_id,
          std::optional<Login> login, std::string ca_file, const Clock& the_clock,
          const MqttTiming& the_timing)
        : name(inputs.front().address.source()),
          clock(the_clock),
          timing(the_timing),
          topics(topics_of(inputs)),
          link(broker_of(inputs, std::move(login), std::move(ca_file)), std::move(client_id), topics,
               [this](std::string_view topic, std::string_view payload) { hear(topic, payload); }),
          report(number, contacts_of(inputs)) {}

    void run();
    bool listen();
    void hear(std::string_view topic, std::string_view payload);

    // A question that the broker hasn't answered yet.
    struct Question {
        int id = 0;
        std::int64_t asked_ns = 0; // by the Clock
        RealTime::time_point asked_at;
    };

    const std::string name;
    const Clock& clock;
    const MqttTiming timing;
    const std::vector<std::string> topics;

    // Of the source's thread alone while it runs.
    MqttLink link;
    LevelReport report;
    std::optional<Question> question;
    RealTime::time_point last_sign; // that the broker is there
    RealTime::time_point last_asked;
    std::string why;

    SourceThread thread; // last: it ends before the rest goes
};

void MqttSource::Parts::run() {
    BackOff back_off(timing.first_retry_s, timing.last_retry_s);
    while (!thread.stopping()) {
        question.reset();
        last_sign = last_asked = RealTime::now();
        why = "";
        if (link.open()) {
            while (!thread.stopping() && listen()) {
                if (report.complete()) back_off.reset();
            }
            if (thread.stopping()) break;
        }
        if (why.empty()) why = link.why();
        link.close();
        if (!wait_lost(thread, report, clock, why, back_off.next())) break;
    }
    link.close();
}

// False when the connection is of no use any more.
bool MqttSource::Parts::listen() {
    if (!link.turn(kTurn_ms)) return false;
    const RealTime::time_point now = RealTime::now();
    if (question && link.answered() == question->id) {
        report.known(question->asked_ns);
        question.reset();
        last_sign = now;
    }
    if (now - last_sign > real_seconds(timing.answer_within_s)) {
        char text[64];
        std::snprintf(text, sizeof text, "the broker did not answer for %.1f s", timing.answer_within_s);
        why = text;
        return false;
    }
    if (link.subscribed() && !question && now - last_asked >= real_seconds(timing.ask_every_s)) {
        const std::int64_t asked_ns = clock.monotonic_ns();
        if (const int id = link.ask(); id != 0) question = Question{id, asked_ns, now};
        last_asked = now;
    }
    if (const auto missing = report.unknown()) {
        report.tell_incomplete(clock.monotonic_ns(), timing.answer_within_s,
                               "no state of topic " + topics[*missing] + " came; is it retained?");
    }
    return true;
}

void MqttSource::Parts::hear(std::string_view topic, std::string_view payload) {
    const auto place = std::find(topics.begin(), topics.end(), topic);
    if (place == topics.end()) return;
    const auto input = static_cast<std::size_t>(place - topics.begin());
    const auto word = contact_word_from(payload);
    if (word == ContactWord::kClosed || word == ContactWord::kOpen) {
        report.learn(input, *word == ContactWord::kClosed, clock.monotonic_ns());
        return;
    }
    report.lose(input, clock.monotonic_ns(),
                "topic " + *place + " says " + shown(payload) +
                    (word ? "" : ", which is none of the words of a contact"));
}

MqttSource::MqttSource(std::size_t number, const std::vector<MqttInput>& inputs, std::string client_id,
                       std::optional<Login> login, std::string ca_file, const Clock& clock,
                       const MqttTiming& timing)
    : parts_(std::make_unique<Parts>(number, inputs, std::move(client_id), std::move(login),
                                     std::move(ca_file), clock, timing)) {}

MqttSource::~MqttSource() {
    stop();
}

const std::string& MqttSource::name() const {
    return parts_->name;
}

void MqttSource::start(ContactSink& sink) {
    parts_->report.begin(sink, parts_->clock.monotonic_ns());
    parts_->thread.start([this] { parts_->run(); });
}

void MqttSource::stop() {
    parts_->thread.stop();
}

} // namespace quietpass
