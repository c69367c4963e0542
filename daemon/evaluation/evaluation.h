// All that one `quietpass evaluate` has found out, as the table, the CSV files and the JSON tell it. Plain
// values.
#pragma once

#include <string>
#include <vector>

#include "classifiers/evaluation/clip_figures.h"
#include "classifiers/evaluation/events.h"
#include "classifiers/evaluation/figures.h"
#include "classifiers/evaluation/judged_passage.h"
#include "classifiers/evaluation/share_rows.h"

namespace quietpass {

struct UsedProfile {
    std::string path;
    std::string sha256;
};

struct Evaluation {
    std::string species; // empty when nothing said so
    std::vector<std::string> shifts;
    std::string clips;                 // the folder; empty: none
    std::vector<UsedProfile> profiles; // of the clips; the i-th of fold i, or one for all
    std::string rates_from;            // what the shares are corrected with

    std::vector<evaluation::FigureRow> figures;
    std::vector<evaluation::ShareRow> shares;
    std::vector<evaluation::ConfounderRow> confounders; // of the shifts
    std::vector<evaluation::ClassRow> classes;          // of the clips
    std::vector<evaluation::JudgedPassage> passages;
    std::vector<evaluation::JudgedClip> judged_clips;
    evaluation::BootstrapSettings bootstrap;
};

} // namespace quietpass
