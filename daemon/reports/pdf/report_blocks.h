// The blocks of a report's page. Each writes with the pen and nothing else. One thread.
#pragma once

#include "daemon/records/local_time.h"
#include "daemon/reports/pdf/pen.h"
#include "daemon/reports/report_figures.h"
#include "daemon/reports/report_words.h"

namespace quietpass {

struct PageContext {
    const ReportFigures& figures;
    const ReportWords& words;
    const LocalTime& time;
    std::size_t most_rows = 8; // of a block's list
    double chart_height_pt = 80.0;
};

// pdf/headline_block.cpp
std::string title_of(const PageContext& page);
std::string time_line_of(const PageContext& page);
void write_title(Pen& pen, const PageContext& page);
void write_share(Pen& pen, const PageContext& page);

// pdf/chart_block.cpp
void write_chart(Pen& pen, const PageContext& page);

// pdf/cycle_blocks.cpp
void write_phases(Pen& pen, const PageContext& page);
void write_times(Pen& pen, const PageContext& page);
void write_stuns(Pen& pen, const PageContext& page);
void write_coverage(Pen& pen, const PageContext& page);

// pdf/factor_block.cpp
void write_factors(Pen& pen, const PageContext& page);

// pdf/people_blocks.cpp
void write_alarms(Pen& pen, const PageContext& page);
void write_changes(Pen& pen, const PageContext& page);
void write_audit(Pen& pen, const PageContext& page);

// pdf/signature_block.cpp
void write_foot(Pen& pen, const PageContext& page); // cautions and the signature

} // namespace quietpass
