// Sheets about faults: what is printed against the dictionary of the same build; who gets what; progress.
#include "engine/sheets.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "documents/markdown.h"
#include "schema_check.h"
#include "support/file_text.h"

namespace voltsill {
namespace {

std::string bench_bytes(const std::string& name) {
    return voltsill::test::file_text("examples/" + name + ".toml");
}

SheetsOptions about_faults(Audience audience) {
    SheetsOptions options{.audience = audience, .seats = 6};
    options.place.effort = 0.2;
    return options;
}

const SheetsResult& fault_sheets(Audience audience) {
    static std::map<Audience, SheetsResult> made;
    const auto at = made.find(audience);
    if (at != made.end()) return at->second;
    return made
        .emplace(audience, make_sheets(bench_bytes("first-bench"), "first-bench.toml", {}, about_faults(audience)))
        .first->second;
}

std::string plain(const doc::Text& text) {
    std::string out;
    for (const doc::Run& run : text) out += run.text;
    return out;
}

std::vector<const doc::Table*> tables_of(const doc::Document& document) {
    std::vector<const doc::Table*> out;
    for (const doc::Block& block : document.blocks)
        if (const auto* table = std::get_if<doc::Table>(&block)) out.push_back(table);
    return out;
}

/// What the build of these sheets would read with any fault; its questions by their words.
struct Beside {
    const SheetsResult& result;
    Dictionary dictionary;
    explicit Beside(const SheetsResult& r)
        : result(r), dictionary(*r.bench, r.sheets.placed, faults_of(*r.bench, r.sheets.placed)) {}
    int question(const std::string& words, bool how) {
        for (int q = 0; q < std::ssize(dictionary.questions().all()); ++q)
            if ((how ? dictionary.questions().how(q) : dictionary.questions().words(q)) == words) return q;
        ADD_FAILURE() << words;
        return 0;
    }
    int hypothesis(const std::string& words) {
        for (int h = 1; h < std::ssize(dictionary.hypotheses()); ++h)
            if (dictionary.words(h) == words) return h;
        ADD_FAILURE() << words;
        return 0;
    }
};

/// Every line of the printed chart, read back: its window holds what each named cause reads on this build, and the
/// line "as planned" is what the good build reads.
TEST(FaultSheets, EveryPrintedWindowIsWhatTheDictionaryPredicts) {
    const SheetsResult& r = fault_sheets(Audience::fault_causes);
    ASSERT_EQ(r.documents.size(), 1u);
    Beside beside(r);
    int planned = 0, otherwise = 0;
    std::size_t row_number = 0;
    for (const doc::Table* table : tables_of(r.documents[0].document)) {
        const ChartRow& row = r.sheets.faults->rows.at(row_number++);
        int question = -1;
        std::size_t reading = 0, answer = 0;
        for (const auto& cells : table->rows) {
            const std::string number = plain(cells[0]), reads = plain(cells[1]), text = plain(cells[2]);
            if (std::isdigit(static_cast<unsigned char>(number.back()))) {
                reading = std::stoul(number) - 1, answer = 0;
                const std::string& how = row.readings.at(reading).how;
                EXPECT_THAT(text, ::testing::StartsWith(how));
                question = beside.question(how, true);
                EXPECT_EQ(reads,
                          answer_words(beside.dictionary.questions(), question, beside.dictionary.predict(question, 0)))
                    << how;
                ++planned;
                continue;
            }
            const ChartAnswer& said = row.readings.at(reading).answers.at(answer++);
            const Prediction told = outside_of(said.reads, row.readings.at(reading).planned);
            EXPECT_EQ(reads, answer_words(beside.dictionary.questions(), question, told));
            for (const ChartCause& cause : said.causes) {
                EXPECT_THAT(text, ::testing::HasSubstr(cause.words));
                const Prediction p = beside.dictionary.predict(question, beside.hypothesis(cause.words));
                EXPECT_EQ(p.floats, said.reads.floats) << cause.words;
                if (p.kind == Prediction::Kind::chance || p.floats) continue;
                EXPECT_GE(p.lo, said.reads.lo - 1e-9) << cause.words;
                EXPECT_LE(p.hi, said.reads.hi + 1e-9) << cause.words;
            }
            ++otherwise;
        }
    }
    EXPECT_EQ(row_number, r.sheets.faults->rows.size());
    EXPECT_GE(planned, 4);
    EXPECT_GE(otherwise, planned);
}

/// Who shall find the fault reads the same symptoms and readings, and no cause: neither on paper nor in the JSON.
TEST(FaultSheets, WhoSearchesIsToldNoCause) {
    const SheetsResult &with = fault_sheets(Audience::fault_causes), &without = fault_sheets(Audience::faults);
    ASSERT_EQ(without.documents.size(), 1u);
    const std::string page = doc::render_markdown(without.documents[0].document), json = to_json(without);
    for (const ChartRow& row : with.sheets.faults->rows) {
        EXPECT_THAT(page, ::testing::HasSubstr(row.symptom));
        for (const ChartCause& cause : row.causes) EXPECT_THAT(json, ::testing::Not(::testing::HasSubstr(cause.words)));
        for (const ChartReading& reading : row.readings)
            for (const ChartAnswer& answer : reading.answers)
                for (const ChartCause& cause : answer.causes)
                    EXPECT_THAT(page + json, ::testing::Not(::testing::HasSubstr(cause.words)));
    }
    EXPECT_FALSE(with.sheets.faults->rows.empty());
}

TEST(FaultSheets, EachSeatHasTheFaultOfItsKey) {
    const SheetsResult& r = fault_sheets(Audience::planted);
    ASSERT_EQ(r.documents.size(), 2u);
    const PlantedSet& set = *r.sheets.planted;
    ASSERT_EQ(set.of_seat.size(), 6u);
    const auto tables = tables_of(r.documents[0].document);
    ASSERT_EQ(tables.size(), 1 + set.faults.size());
    ASSERT_EQ(tables[0]->rows.size(), 6u);
    for (std::size_t seat = 0; seat < 6; ++seat) {
        const PlantedFault& fault = set.faults.at(set.of_seat[seat]);
        EXPECT_EQ(plain(tables[0]->rows[seat][0]), std::to_string(seat + 1));
        EXPECT_EQ(plain(tables[0]->rows[seat][1]), std::to_string(set.of_seat[seat] + 1) + ". " + fault.fault.words);
        EXPECT_EQ(plain(tables[0]->rows[seat][2]), to_word(fault.grade));
        if (seat > 0) {
            EXPECT_NE(set.of_seat[seat], set.of_seat[seat - 1]) << "neighbours";
        }
    }
    // What the key says the meter reads is what the dictionary of this build says.
    Beside beside(r);
    for (std::size_t k = 0; k < set.faults.size(); ++k) {
        const int h = beside.hypothesis(set.faults[k].fault.words);
        for (const auto& cells : tables[1 + k]->rows) {
            const int q = beside.question(plain(cells[1]), false);
            EXPECT_EQ(plain(cells[2]), words(beside.dictionary.predict(q, h))) << plain(cells[1]);
            EXPECT_EQ(plain(cells[3]), words(beside.dictionary.predict(q, 0))) << plain(cells[1]);
        }
    }
    // The sheet for the learner gives none of them away.
    const std::string page = doc::render_markdown(r.documents[1].document);
    EXPECT_EQ(r.documents[1].name, "find-the-fault");
    for (const PlantedFault& fault : set.faults) {
        EXPECT_THAT(page, ::testing::Not(::testing::HasSubstr(fault.fault.words)));
        EXPECT_THAT(page, ::testing::Not(::testing::HasSubstr(fault.plant)));
    }
}

TEST(FaultSheets, KeepToTheirSchemaAndAreNobodyElses) {
    for (const Audience audience : {Audience::faults, Audience::fault_causes, Audience::planted})
        EXPECT_EQ(sample::complaint(nlohmann::json::parse(to_json(fault_sheets(audience)))), "");
    SheetsOptions everybody = about_faults(Audience::all);
    everybody.slips = false;
    const SheetsResult all = make_sheets(bench_bytes("first-bench"), "first-bench.toml", {}, everybody);
    EXPECT_FALSE(all.sheets.faults || all.sheets.planted);
    std::set<std::string> names;
    for (const NamedDocument& d : all.documents) names.insert(d.name);
    for (const char* name : {"faults", "fault-causes", "planted", "find-the-fault"}) EXPECT_FALSE(names.contains(name));
}

/// Progress rises, and whoever says no gets nothing, at any time.
TEST(FaultSheets, TellHowFarTheyAreAndCanBeStopped) {
    std::vector<double> told;
    const auto listen = [&](double share, const std::string&) {
        told.push_back(share);
        return true;
    };
    make_sheets(bench_bytes("first-bench"), "first-bench.toml", {}, about_faults(Audience::planted), listen);
    EXPECT_TRUE(std::ranges::is_sorted(told));
    EXPECT_GT(std::ranges::count_if(told, [](double s) { return s > 0.5 && s < 0.9; }), 20);
    for (const double stop : {0.0, 0.55, 0.8}) {
        const SheetsResult r =
            make_sheets(bench_bytes("first-bench"), "first-bench.toml", {}, about_faults(Audience::planted),
                        [&](double share, const std::string&) { return share < stop; });
        EXPECT_TRUE(r.cancelled) << stop;
        EXPECT_TRUE(r.documents.empty()) << stop;
    }
}

}  // namespace
}  // namespace voltsill
