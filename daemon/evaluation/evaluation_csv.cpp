#include "daemon/evaluation/evaluation_csv.h"

#include <string_view>

#include "daemon/records/csv_line.h"

namespace quietpass {

namespace {

using namespace evaluation;

constexpr int kShareDecimals = 4;
constexpr int kPercentDecimals = 2;

void add(CsvLine& line, const std::optional<double>& value, int decimals = kShareDecimals) {
    value ? line.number(*value, decimals) : line.missing();
}

void add(CsvLine& line, const std::optional<Interval>& interval, double scale = 1.0,
         int decimals = kShareDecimals) {
    interval ? line.number(scale * interval->low, decimals).number(scale * interval->high, decimals)
             : line.missing().missing();
}

std::string figures_csv(const Evaluation& evaluation) {
    std::string out =
        "unit,by,group,positives,true_positives,negatives,false_positives,sensitivity,sensitivity_low,"
        "sensitivity_high,specificity,specificity_low,specificity_high,precision,precision_low,"
        "precision_high,f1,f1_low,f1_high,f1_by_recording_low,f1_by_recording_high,kappa,kappa_low,"
        "kappa_high,pabak\n";
    CsvLine line;
    for (const FigureRow& row : evaluation.figures) {
        const Figures& figures = row.figures;
        const Confusion& counts = figures.counts;
        const bool rejects = tells_quiet_apart(row);
        line.text(row.unit).text(row.by).text(row.group).integer(counts.positives());
        line.integer(counts.true_positives);
        rejects ? line.integer(counts.negatives()) : line.missing();
        line.integer(counts.false_positives);
        add(line, counts.sensitivity().value());
        add(line, figures.sensitivity);
        add(line, rejects ? counts.specificity().value() : std::nullopt);
        add(line, rejects ? figures.specificity : std::nullopt);
        add(line, counts.precision().value());
        add(line, figures.precision);
        add(line, counts.f1());
        add(line, figures.f1);
        add(line, figures.by_cluster.f1);
        add(line, rejects ? counts.kappa() : std::nullopt);
        add(line, rejects ? figures.by_cluster.kappa : std::nullopt);
        add(line, rejects ? counts.pabak() : std::nullopt);
        out += line.take();
    }
    return out;
}

std::string shares_csv(const Evaluation& evaluation) {
    std::string out =
        "shift,snr_db,passages,vocal,called,true_percent,percent,percent_low,percent_high,error_points,"
        "inside,corrected_percent,corrected_low,corrected_high\n";
    CsvLine line;
    for (const ShareRow& row : evaluation.shares) {
        const auto percent = [](std::optional<double> share) {
            if (share) *share *= 100.0;
            return share;
        };
        line.text(row.shift.empty() ? "all" : row.shift);
        row.level ? line.integer(*row.level) : line.missing();
        line.integer(row.called.n).integer(row.vocal).integer(row.called.k);
        add(line, percent(row.true_share()), kPercentDecimals);
        add(line, percent(row.called.value()), kPercentDecimals);
        add(line, row.interval, 100.0, kPercentDecimals);
        add(line, row.error_points(), kPercentDecimals);
        line.yes_no(row.inside());
        add(line, row.corrected ? std::optional(100.0 * row.corrected->share) : std::nullopt,
            kPercentDecimals);
        add(line, row.corrected ? std::optional(row.corrected->interval) : std::nullopt, 100.0,
            kPercentDecimals);
        out += line.take();
    }
    return out;
}

std::string confounders_csv(const Evaluation& evaluation) {
    std::string out = "class,sounds,called,share,share_low,share_high,false_calls,quiet_passages\n";
    CsvLine line;
    for (const ConfounderRow& row : evaluation.confounders) {
        line.text(row.kind.empty() ? "nothing" : row.kind).integer(row.called.n).integer(row.called.k);
        add(line, row.called.value());
        add(line, row.interval);
        line.integer(row.false_calls).integer(row.quiet_passages);
        out += line.take();
    }
    return out;
}

std::string classes_csv(const Evaluation& evaluation) {
    std::string out = "class,is_call,clips,called,share,share_low,share_high,recordings,recordings_called\n";
    CsvLine line;
    for (const ClassRow& row : evaluation.classes) {
        line.text(row.kind).yes_no(row.is_call).integer(row.clips.n).integer(row.clips.k);
        add(line, row.clips.value());
        add(line, row.interval);
        line.integer(row.recordings.n).integer(row.recordings.k);
        out += line.take();
    }
    return out;
}

std::string judged_passages_csv(const Evaluation& evaluation) {
    std::string out = "shift,passage,entered_s,standing,vocal,called,snr_db,recording\n";
    CsvLine line;
    for (const JudgedPassage& passage : evaluation.passages) {
        line.text(passage.shift).integer(passage.number).number(passage.entered_s, 3);
        line.text(name_of(passage.standing));
        passage.standing == Standing::kNoTruth ? line.missing() : line.yes_no(passage.vocal);
        passage.standing == Standing::kNotInRecord ? line.missing() : line.yes_no(passage.called);
        add(line, passage.snr_db, kPercentDecimals);
        line.text(passage.recording);
        out += line.take();
    }
    return out;
}

std::string judged_clips_csv(const Evaluation& evaluation) {
    std::string out = "path,class,recording,fold,set_apart,is_call,called,score\n";
    CsvLine line;
    for (const JudgedClip& clip : evaluation.judged_clips) {
        line.text(clip.path).text(clip.kind).text(clip.recording).integer(clip.fold);
        line.yes_no(clip.set_apart).yes_no(clip.is_call).yes_no(clip.called);
        add(line, clip.score, 3);
        out += line.take();
    }
    return out;
}

} // namespace

std::vector<NamedBytes> evaluation_csv(const Evaluation& evaluation) {
    std::vector<NamedBytes> files;
    const auto add_file = [&](bool any, const char* name, std::string (*bytes)(const Evaluation&)) {
        if (any) files.push_back({name, bytes(evaluation)});
    };
    add_file(!evaluation.figures.empty(), "figures.csv", figures_csv);
    add_file(!evaluation.shares.empty(), "shares.csv", shares_csv);
    add_file(!evaluation.confounders.empty(), "confounders.csv", confounders_csv);
    add_file(!evaluation.classes.empty(), "classes.csv", classes_csv);
    add_file(!evaluation.passages.empty(), "judged_passages.csv", judged_passages_csv);
    add_file(!evaluation.judged_clips.empty(), "judged_clips.csv", judged_clips_csv);
    return files;
}

} // namespace quietpass
