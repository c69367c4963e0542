// Reports in another language than English.

#include <catch2/catch.hpp>
#include <regex>
#include <set>

#include "daemon/reports/pdf/report_bytes.h"
#include "daemon/reports/report_words.h"
#include "tests/reports/made_plant.h"
#include "tests/reports/read_page.h"

using namespace quietpass;
using namespace quietpass::test;

TEST_CASE("In Spanish a report has the same figures on as many pages, and no English words of its own") {
    TestFolder folder;
    make_bad_plant(folder / "bad.db");
    make_good_plant(folder / "good.db");
    make_pig_month(folder / "pigs.db");
    const auto month = month_span("2026-03", LocalTime("Europe/Copenhagen"));
    const ReportSpan shift{SpanKind::kShift, "", 29, {}, {}};
    for (const auto& [file, span] : {std::pair("bad.db", shift), {"good.db", shift}, {"pigs.db", month}}) {
        CAPTURE(file);
        const Store store(folder / file);
        const auto in = [&, span = span](ReportLanguage language) { // clang takes no binding by itself
            return report_bytes(store, span, ReportFormat::kPdf, Paper::kA4, language);
        };
        const std::string english = in(ReportLanguage::kEnglish);
        const std::string spanish = in(ReportLanguage::kSpanish);
        CHECK(pages_of(folder, english) == pages_of(folder, spanish));
        const std::string page = text_of_pdf(folder, spanish);
        const std::string of_english = text_of_pdf(folder, english);
        CHECK(has(page, "de los animales vocalizaron en la sujeción"));
        CHECK(has(page, "no es un dispositivo de seguridad"));
        for (const char* word : {" cried", " scored", " heard", "Cautions", "Mean of", "the trade looks",
                                 "The code,", "quietpass measures", "Alarms and"}) {
            CAPTURE(word);
            CHECK(has(of_english, word));
            CHECK_FALSE(has(page, word));
        }
        // Each percentage with its interval, as in English.
        const std::regex range("([0-9]+\\.[0-9]{2}) \\(([0-9.]+) (to|a) ([0-9.]+)\\)");
        const auto ranges = [&](const std::string& text) {
            std::multiset<std::string> all;
            for (std::sregex_iterator i(text.begin(), text.end(), range), end; i != end; ++i)
                all.insert((*i)[1].str() + " " + (*i)[2].str() + " " + (*i)[4].str());
            return all;
        };
        CHECK(ranges(page).size() > 3);
        CHECK(ranges(page) == ranges(of_english));
    }
}

TEST_CASE("A factor's level is said in the report's language, a lot's name as it was entered") {
    const ReportWords& words = spanish_report_words();
    CHECK(level_text("hold_time", "under 5 s", words) == "menos de 5 s");
    CHECK(level_text("hold_time", "5 to 10 s", words) == "5 a 10 s");
    CHECK(level_text("prods", "3 or more", words) == "3 o más");
    CHECK(level_text("second_stun", "yes", words) == "sí");
    CHECK(level_text("lot", "north to south", words) == "north to south");
    CHECK(level_text("hold_time", "5 to 10 s", english_report_words()) == "5 to 10 s");
}
