// The JSON interface below /api/v1/, without sockets: a request in, an answer out. openapi.json describes
// it; FORMATS.md says what the figures mean.
//
// Who: a session by cookie, and for everything but GET and HEAD its token in X-Quietpass-Token. Each route
// has the least role that may use it. Bad requests are answered by 400 … 422 with {"error":{"what","where",
// "do"}}; trouble of the store by 503.
//
// Threads: answer() from any, several at a time; login() (hashes a password: slow, 64 MiB) from as few as
// the memory allows. Neither throws.
#pragma once

#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "daemon/clock.h"
#include "daemon/records/store.h"
#include "daemon/web/export_jobs.h"
#include "daemon/web/live_board.h"
#include "daemon/web/login_throttle.h"
#include "daemon/web/page_metrics.h"
#include "daemon/web/people.h"
#include "daemon/web/profile_shelf.h"
#include "daemon/web/record_reader.h"
#include "daemon/web/sessions.h"
#include "daemon/web/web_message.h"

namespace quietpass {

class Api {
  public:
    struct Call; // a request on its way through a route
    struct Parts {
        const StationSettings& settings;
        const Clock& clock; // of people: real time, whatever the station's speed
        std::filesystem::path out;
        People& people;
        Sessions& sessions;
        LoginThrottle& throttle;
        LiveBoard& board;
        PageMetrics& metrics;
        std::function<void()> alarms_changed = {}; // a person entered something of an alarm
        std::function<void(bool warning, const std::string&)> say = {}; // a line for the log
        std::function<void()> reload = {};                              // the settings are to be taken anew
    };

    // Throws Failure when the store can't be used.
    explicit Api(Parts parts);

    static bool is_login(const WebRequest& request);

    WebAnswer answer(const WebRequest& request);

    // The session that may hear the live feed; nothing: the answer says why not.
    std::optional<Session> may_listen(const WebRequest& request, WebAnswer& refusal);
    // Whether it still may. A wall screen's session is used by listening.
    bool still_listens(const std::string& session_id);

    // Alarms' rows after this one, of whichever process.
    std::vector<AlarmEventRow> alarm_rows(std::int64_t after_event_id);

  private:
    struct Route;
    static const std::vector<Route>& routes();

    WebAnswer answered(const WebRequest& request);
    std::optional<Session> session_of(const WebRequest& request, bool use = true);
    void record(const std::string& who, const char* what, const std::string& subject,
                const std::string& detail);

    WebAnswer login(const Call& call);
    WebAnswer logout(const Call& call);
    WebAnswer session(const Call& call);
    WebAnswer live(const Call& call);
    WebAnswer alarms(const Call& call);
    WebAnswer acknowledge(const Call& call);
    WebAnswer shifts(const Call& call);
    WebAnswer shift(const Call& call);
    WebAnswer calls(const Call& call);
    WebAnswer call(const Call& call);
    WebAnswer audio(const Call& call);
    WebAnswer spectrogram(const Call& call);
    WebAnswer peaks(const Call& call);
    WebAnswer report(const Call& call);
    std::string station_text(SQLite::Database& database) const;
    WebAnswer station(const Call& call);
    WebAnswer reload(const Call& call);
    WebAnswer checks(const Call& call);
    WebAnswer take_reload(const Call& call);
    WebAnswer use_profile(const Call& call);
    WebAnswer profiles(const Call& call);
    WebAnswer compare_profiles(const Call& call);
    template <typename Work>
    auto case_step(const Call& call, Work work);
    WebAnswer cases(const Call& call);
    WebAnswer one_case(const Call& call);
    WebAnswer open_new_case(const Call& call);
    WebAnswer gather(const Call& call);
    WebAnswer drop(const Call& call);
    WebAnswer hold_clips(const Call& call);
    WebAnswer step(const Call& call);
    WebAnswer export_of_case(const Call& call);
    WebAnswer export_list(const Call& call);
    WebAnswer one_export(const Call& call);
    WebAnswer export_file(const Call& call);
    WebAnswer verify_export(const Call& call);
    WebAnswer add_findings(const Call& call);
    WebAnswer chart(const Call& call);
    WebAnswer entries(const Call& call); // of the journal
    WebAnswer enter(const Call& call);
    WebAnswer end_lot(const Call& call);
    WebAnswer entered(const Call& call, JournalEntry entry);
    WebAnswer withdraw(const Call& call);
    WebAnswer change_comparison(const Call& call);
    WebAnswer lot_figures(const Call& call);
    WebAnswer lots_figures(const Call& call);
    WebAnswer factors(const Call& call);
    WebAnswer audits(const Call& call);
    WebAnswer audit(const Call& call);
    WebAnswer begin_audit(const Call& call);
    WebAnswer add_score(const Call& call);
    WebAnswer take_back_score(const Call& call);
    WebAnswer finish_audit(const Call& call);
    WebAnswer withdraw_audit(const Call& call);
    WebAnswer audit_comparison(const Call& call);
    WebAnswer sample(const Call& call);
    static RecordSpan span_asked(const Call& call, SQLite::Database& database);
    WebAnswer openapi(const Call& call);

    Parts parts_;
    RecordReader reader_;
    std::mutex writing_; // of store_
    Store store_;
    std::mutex reporting_; // one report at a time
    ExportJobs exports_;
    std::optional<ShelvedProfile> profile_; // in use
};

} // namespace quietpass
