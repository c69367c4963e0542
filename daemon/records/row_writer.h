// Store rows to SQL: one prepared statement a table, kept for the life of the connection. Inside an IMMEDIATE
// transaction of the caller's; each row of evidence is chained in the ledger with it. Not thread-safe.
//
// Errors: SQLite::Exception.
#pragma once

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <memory>
#include <string>
#include <utility>

#include "daemon/ledger/head_signer.h"
#include "daemon/ledger/ledger.h"
#include "daemon/records/store_rows.h"

namespace quietpass {

class RowWriter {
  public:
    explicit RowWriter(SQLite::Database& database);

    // signer: signs heads from now on, one over each shift's record in the same transaction.
    void sign_with(std::shared_ptr<HeadSigner> signer) { signer_ = std::move(signer); }

    void write(const StoreRow& row);

  private:
    void put(const ShiftOpened& row);
    void put(const ShiftHeard& row);
    void put(const ShiftClosed& row);
    void put(const CallRow& row);
    void put(const PassageRow& row);
    void put(const GapRow& row);
    void put(const EdgeRow& row);
    void put(const ContactFaultRow& row);
    void put(const MicrophoneRow& row);
    void put(const MinuteRow& row);
    void put(const AlarmEventRow& row);
    void put(const NoiseRow& row);
    void put(const SignHead& row);
    void sign(const std::string& why);

    SQLite::Database& database_;
    std::shared_ptr<HeadSigner> signer_;
    Ledger ledger_;
    SQLite::Statement shift_opened_;
    SQLite::Statement shift_heard_;
    SQLite::Statement shift_closed_;
    SQLite::Statement call_;
    SQLite::Statement passage_;
    SQLite::Statement gap_;
    SQLite::Statement edge_;
    SQLite::Statement contact_fault_;
    SQLite::Statement microphone_;
    SQLite::Statement minute_;
    SQLite::Statement alarm_event_;
    SQLite::Statement noise_;
};

} // namespace quietpass
