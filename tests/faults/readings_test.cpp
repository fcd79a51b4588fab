// Readings files and lines: what they say, every mistake with its place, and that nothing is lost on the way back.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "faults/readings_file.h"
#include "placed_benches.h"
#include "records/tree.h"
#include "support/how_many.h"
#include "support/random_text.h"
#include "support/schema_check.h"

namespace {

using namespace voltsill;
using ::testing::HasSubstr;

const placed::Build& readings_build() {
    static const placed::Build build = placed::build("rain-garden", examples::read("rain-garden.toml").bench);
    return build;
}

struct Asked {
    Questions questions{readings_build().bench, readings_build().placed};
    ReadingsRead read;
};
std::unique_ptr<Asked> read_file(const std::string& text) {
    auto out = std::make_unique<Asked>();
    out->read = read_readings(text, "readings.toml", out->questions);
    return out;
}
std::unique_ptr<Asked> read_lines(const std::vector<std::string>& lines) {
    auto out = std::make_unique<Asked>();
    out->read = read_reading_lines(lines, "--reading", out->questions);
    return out;
}
std::string rendered(const Problems& problems) {
    std::string out;
    for (const Problem& p : problems) out += render(p) + '\n';
    return out;
}
/// The words of all readings, or what is wrong.
std::vector<std::string> words_of(const Asked& asked) {
    if (!asked.read.file) return {rendered(asked.read.problems)};
    std::vector<std::string> out;
    for (const GivenReading& g : asked.read.file->readings) out.push_back(g.words);
    return out;
}

const std::vector<Fault>& readings_faults() {
    static const std::vector<Fault> faults = faults_of(readings_build().bench, readings_build().placed);
    return faults;
}

/// A package on the board, and the label of its last pin.
std::string any_package() {
    for (const WiredPart& part : readings_build().placed.wiring.parts)
        if (part.added && part.package && part.package->pin_of_number.size() == 20) return part.name;
    return {};
}

/// What a look shows is said in the words of the faults that show it; nothing else is taken for one of them.
TEST(ReadingsFileTest, LooksSayWhatIsSeen) {
    Questions questions(readings_build().bench, readings_build().placed);
    questions.know(readings_faults());
    const auto read = [&](const std::string& line) { return read_reading_lines({line}, "--reading", questions); };
    int said = 0;
    for (const Fault& fault : readings_faults())
        for (const Sight& sight : fault.sights) {
            const std::string what = sight.wire >= 0 ? "wire " + std::to_string(sight.wire)
                                                     : readings_build().placed.wiring.parts[fault.part].name;
            const ReadingsRead alone = read(what + " = " + sight.text);
            ASSERT_TRUE(alone.file) << what << " = " << sight.text << '\n' << rendered(alone.problems);
            const Reading& r = alone.file->readings[0].reading;
            EXPECT_EQ(r.kind, Reading::Kind::no);
            ASSERT_GE(r.sight, 0);
            EXPECT_EQ(questions.sights()[r.sight].text, sight.text);
            ++said;
        }
    EXPECT_GT(said, 200);
    const ReadingsRead wrong = read("wire 3 = in the garden");
    ASSERT_FALSE(wrong.file);
    EXPECT_EQ(wrong.problems[0].code, "unknown-answer");
    EXPECT_THAT(rendered(wrong.problems), HasSubstr("in 19t"));
    const ReadingsRead around = read("around controller = as planned");
    ASSERT_TRUE(around.file) << rendered(around.problems);
    EXPECT_EQ(around.file->readings[0].words, "controller and its wires as planned: as planned");
    EXPECT_FALSE(read("around contrller = as planned").file);
    EXPECT_EQ(read("around contrller = as planned").problems[0].nearest, "controller");
    const ReadingsRead along = read("wires of rail usb = as planned");
    ASSERT_TRUE(along.file) << rendered(along.problems);
    EXPECT_EQ(along.file->readings[0].words, "wires of rail usb as planned: as planned");
    EXPECT_TRUE(read("wires of ground = not as planned").file);
    EXPECT_EQ(read("wires of ust = as planned").problems[0].nearest, "usb");
    EXPECT_TRUE(read("supply usb = 5.02 V").file);
    EXPECT_TRUE(read("rail usb to plus of usb = 0.3 Ohm").file);
    EXPECT_TRUE(read("0 V of usb to ground = 10.2 Ohm").file);
    EXPECT_EQ(read("plus of usb = 5 V").problems[0].code, "post-without-volts");
    EXPECT_EQ(read("plus of usb = 5 V").problems[0].nearest, "supply usb");
    EXPECT_EQ(read("rail usb to plus of us = 0.3 Ohm").problems[0].nearest, "plus of usb");
    EXPECT_EQ(read("supply logic = 3.3 V").problems[0].code, "unknown-point");  // made on the bench
}

TEST(ReadingsFileTest, ALookNeedsNoSignBeforeWhatItShows) {
    Questions questions(readings_build().bench, readings_build().placed);
    questions.know(readings_faults());
    const auto read = [&](const std::string& line) { return read_reading_lines({line}, "--reading", questions); };
    int said = 0;
    for (const Fault& fault : readings_faults())
        for (const Sight& sight : fault.sights) {
            const std::string what = sight.wire >= 0 ? "wire " + std::to_string(sight.wire)
                                                     : readings_build().placed.wiring.parts[fault.part].name;
            const ReadingsRead with = read(what + " = " + sight.text), without = read(what + " " + sight.text);
            ASSERT_TRUE(without.file) << what << " " << sight.text << '\n' << rendered(without.problems);
            EXPECT_EQ(without.file->readings[0].words, with.file->readings[0].words);
            ++said;
        }
    EXPECT_GT(said, 200);
    const auto missing = std::ranges::find(readings_faults(), FaultKind::wire_missing, &Fault::kind);
    ASSERT_NE(missing, readings_faults().end());
    const std::string wire = "wire " + std::to_string(missing->wires.front());
    const ReadingsRead wrong = read(wire + " mising");
    ASSERT_EQ(wrong.problems.size(), 1u);
    EXPECT_EQ(wrong.problems[0].code, "unknown-answer");
    EXPECT_EQ(wrong.problems[0].nearest, "missing");
    EXPECT_EQ(read(any_package() + " is dead").problems.at(0).code, "no-answer");
}

TEST(ReadingsFileTest, SaysWhatTheIssueSays) {
    const std::string u = any_package();
    ASSERT_FALSE(u.empty());
    const auto asked = read_file(
        "[meter]\nvolts_error = \"0.5 % + 2 mV\"\nohms_error = \"1 %\"\ntime_error = \"20 %\"\n"
        "[[readings]]\nat = \"" + u + ".20\"\nreads = \"3.28 V\"\nwhen = \"gauge.ECHO high, usb off\"\n"
        "[[readings]]\nat = \"rail logic\"\nreads = \"4.2 V ± 10 mV\"\n"
        "[[seen]]\nlink = \"tank echo\"\nwhat = \"works when touched\"\n"
        "[[readings]]\nbetween = [\"" + u + ".20\", \"ground\"]\nreads = \"4.7 kΩ\"\n"
        "[[readings]]\nat = \"gauge.TRIG\"\nreads = \"drifts\"\n"
        "[[readings]]\nlook = \"wire 3\"\nas_planned = false\n"
        "[[readings]]\nsupply_of = \"" + u + "\"\ndips = true\n"
        "[[readings]]\nat = \"controller.D2\"\nreads = \"300 ns\"\n"
        "[[seen]]\npart = \"" + u + "\"\nwhat = \"gets hot\"\nis = false\n"
        "[weights]\nwire-missing = 3\n[options]\npairs = true\n");
    ASSERT_TRUE(asked->read.file) << rendered(asked->read.problems);
    const ReadingsFile& file = *asked->read.file;
    EXPECT_DOUBLE_EQ(file.errors->volts_share, 0.005);
    EXPECT_DOUBLE_EQ(file.errors->volts, 0.002);
    EXPECT_DOUBLE_EQ(file.errors->ohms_share, 0.01);
    EXPECT_DOUBLE_EQ(file.errors->ohms, 0) << "a floor that is not said is none";
    EXPECT_DOUBLE_EQ(file.errors->seconds_share, 0.2);
    EXPECT_EQ(file.weights.at(FaultKind::wire_missing), 3);
    EXPECT_TRUE(file.pairs);
    ASSERT_EQ(file.readings.size(), 9u);
    const auto question = [&](std::size_t k) { return asked->questions.all()[file.readings[k].reading.question]; };
    EXPECT_EQ(question(0).means, Means::voltmeter);
    const BenchState& state = asked->questions.states()[question(0).state];
    ASSERT_EQ(state.told.size(), 1u);
    EXPECT_EQ(state.told[0].part + "." + state.told[0].pin, "gauge.ECHO");
    EXPECT_TRUE(state.told[0].high);
    EXPECT_THAT(state.down, ::testing::UnorderedElementsAre("usb", "logic", "low"))
        << "the controller and its regulator hang on usb";
    EXPECT_DOUBLE_EQ(file.readings[0].reading.value, 3.28);
    EXPECT_NEAR(file.readings[1].reading.error, 0.01, 1e-12);
    EXPECT_EQ(question(2).behaviour, Behaviour::works_when_touched) << "order of the file, not of its sections";
    EXPECT_EQ(question(3).means, Means::ohmmeter);
    EXPECT_EQ(question(3).state, Questions::power_off);
    EXPECT_EQ(file.readings[4].reading.kind, Reading::Kind::drifts);
    EXPECT_EQ(question(5).wire, 3);
    EXPECT_EQ(file.readings[5].reading.kind, Reading::Kind::no);
    EXPECT_EQ(question(6).sight, ScopeSight::ripple);
    EXPECT_EQ(question(7).sight, ScopeSight::rise_time);
    EXPECT_EQ(readings_build().bench.links[question(7).link].name, "tank echo");
    EXPECT_EQ(file.readings[8].reading.kind, Reading::Kind::no);
}

TEST(ReadingsFileTest, LinesAndFileMeanTheSame) {
    const std::string u = any_package();
    const auto lines = read_lines({u + ".20 = 3.28 V when ECHO high, usb off", "rail logic = 4.2 V",
                                   "tank echo works when touched", u + ".20 to ground = 4.7 kΩ",
                                   "gauge.TRIG = drifts", "wire 3 not as planned", "dips at " + u + " = yes",
                                   "rise time at controller.D2 of tank echo = 300 ns", u + " gets hot = no",
                                   "tank trigger fails", "nothing works", "wire 4 = as planned", u + " as planned"});
    const auto file = read_file(
        "[[readings]]\nat = \"" + u + ".20\"\nreads = \"3.28 V\"\nwhen = \"tank echo high and usb off\"\n"
        "[[readings]]\nat = \"logic\"\nreads = \"4.2 V\"\n"
        "[[seen]]\nlink = \"tank echo\"\nwhat = \"works when touched\"\n"
        "[[readings]]\nbetween = [\"ground\", \"" + u + ".20\"]\nreads = \"4k7\"\n"
        "[[readings]]\nat = \"TRIG\"\nreads = \"drifts\"\n"
        "[[readings]]\nlook = \"wire 3\"\nas_planned = false\n"
        "[[readings]]\nsupply_of = \"" + u + "\"\ndips = true\n"
        "[[readings]]\nat = \"controller.D2\"\nreads = \"0.3 us\"\nof = \"tank echo\"\n"
        "[[seen]]\npart = \"" + u + "\"\nwhat = \"gets hot\"\nis = false\n"
        "[[seen]]\nlink = \"tank trigger\"\nwhat = \"works\"\nis = false\n"
        "[[seen]]\nwhat = \"nothing works\"\n"
        "[[readings]]\nlook = \"wire 4\"\nas_planned = true\n"
        "[[readings]]\nlook = \"" + u + "\"\nas_planned = true\n");
    EXPECT_EQ(words_of(*lines), words_of(*file));
    EXPECT_EQ(words_of(*lines).size(), 13u);
}

/// What was read, written and read again is the same, whatever was asked.
TEST(ReadingsFileTest, WrittenAndReadAgainIsTheSame) {
    rc::check([] {
        Questions questions(readings_build().bench, readings_build().placed);
        questions.know(readings_faults());
        ReadingsFile file{.pairs = *rc::gen::arbitrary<bool>()};
        if (*rc::gen::arbitrary<bool>())
            file.errors = MeterErrors{.volts = 1e-3 * *rc::gen::inRange(0, 100),
                                      .volts_share = 1e-3 * *rc::gen::inRange(0, 100),
                                      .seconds_share = 0.25};
        if (*rc::gen::arbitrary<bool>()) file.weights[FaultKind::pin_open] = 0.1 * *rc::gen::inRange(0, 1000);
        const int points = static_cast<int>(questions.points().size());
        const auto& wires = readings_build().placed.placement.wires;
        const int parts = static_cast<int>(readings_build().placed.wiring.parts.size());
        for (int k = *rc::gen::inRange(0, 6); k > 0; --k) {
            const int p = *rc::gen::inRange(1, points),
                      link = *rc::gen::inRange(0, static_cast<int>(readings_build().bench.links.size()));
            Reading reading{.value = 1e-3 * *rc::gen::inRange(-500, 5500)};
            const int high = questions.state_of_link(link, true);
            switch (*rc::gen::inRange(0, 10)) {
                case 0: reading.question = questions.volts(p, high >= 0 ? high : Questions::at_rest); break;
                case 1: reading.question = questions.ohms(0, p); reading.value = 4700; break;
                case 2:
                    reading.question =
                        questions.look_at_wire(wires[*rc::gen::inRange(0, static_cast<int>(wires.size()))].number);
                    break;
                case 3: reading.question = questions.look_at_part(*rc::gen::inRange(0, parts)); break;
                case 7: reading.question = questions.look_around(*rc::gen::inRange(0, parts)); break;
                case 9:
                    reading.question = questions.look_along(*rc::gen::element(0, questions.point("rail usb")));
                    break;
                case 8: reading.question = questions.supply_alone(questions.point("rail usb")); break;
                case 4:
                    reading.question = questions.behaviour(static_cast<Behaviour>(*rc::gen::inRange(0, 5)), link);
                    break;
                case 5: reading.question = questions.ripple(*rc::gen::inRange(0, parts)); break;
                default: reading.question = questions.rise_time(link, p); reading.value = 1e-7; break;
            }
            const Question& q = questions.all()[reading.question];
            if (q.means == Means::eye || q.means == Means::behaviour || q.sight == ScopeSight::ripple)
                if (q.means != Means::voltmeter && q.means != Means::ohmmeter)
                    reading = {.question = reading.question,
                               .kind = *rc::gen::arbitrary<bool>() ? Reading::Kind::yes : Reading::Kind::no};
            if (reading.kind == Reading::Kind::no && q.means == Means::eye && *rc::gen::arbitrary<bool>())
                for (std::size_t s = 0; s < questions.sights().size(); ++s)
                    if (questions.sees(q, questions.sights()[s].wire, questions.sights()[s].part))
                        reading.sight = static_cast<int>(s);
            if (q.means == Means::scope && q.sight == ScopeSight::rise_time)
                reading.kind = Reading::Kind::value, reading.value = 1e-7;
            file.readings.push_back(
                {reading, {}, questions.words(reading.question) + ": " + answer_words(questions, reading)});
        }
        const std::string text = readings_text(file, questions);
        const ReadingsRead again = read_readings(text, "again.toml", questions);
        if (!again.file) RC_FAIL(text + rendered(again.problems));
        RC_ASSERT(again.file->readings.size() == file.readings.size());
        for (std::size_t k = 0; k < file.readings.size(); ++k) {
            RC_ASSERT(again.file->readings[k].reading.question == file.readings[k].reading.question);
            RC_ASSERT(again.file->readings[k].words == file.readings[k].words);
            RC_ASSERT(again.file->readings[k].reading.sight == file.readings[k].reading.sight);
            const LineForm form = line_form(questions, file.readings[k].reading.question);
            const ReadingsRead line = read_reading_lines(
                {form.before + answer_words(questions, file.readings[k].reading) + form.after}, "--reading", questions);
            if (!line.file) RC_FAIL(rendered(line.problems));
            RC_ASSERT(line.file->readings[0].words == file.readings[k].words);
        }
        RC_ASSERT(again.file->errors.has_value() == file.errors.has_value());
        if (file.errors) {
            const MeterErrors &a = *file.errors, &b = *again.file->errors;
            for (const auto share : {&MeterErrors::volts, &MeterErrors::volts_share, &MeterErrors::ohms,
                                     &MeterErrors::ohms_share, &MeterErrors::seconds_share})
                RC_ASSERT(std::abs(a.*share - b.*share) < 1e-9);
        }
        RC_ASSERT(again.file->weights == file.weights);
        RC_ASSERT(again.file->pairs == file.pairs);
    });
}

/// What stands for no number is said where it may be read: a floating point drifts, and ohms may be open.
TEST(ReadingsFileTest, AWrongAnswerIsToldWhatThereIsToSay) {
    const std::tuple<const char*, bool, bool> answers[] = {
        {"gauge.ECHO = maybe", true, false},
        {"gauge.ECHO to ground = maybe", false, true},
        {"rise time at controller.D2 of tank echo = maybe", false, false},
    };
    for (const auto& [line, drifts, open] : answers) {
        const auto asked = read_lines({line});
        ASSERT_EQ(asked->read.problems.size(), 1u) << line;
        const std::string& expected = asked->read.problems[0].expected;
        EXPECT_EQ(expected.find("\"drifts\"") != std::string::npos, drifts) << line << ": " << expected;
        EXPECT_EQ(expected.find("\"open\"") != std::string::npos, open) << line << ": " << expected;
    }
}

struct Mistake {
    const char* text;
    const char* code;
    int line, column;
    const char* nearest;
};

TEST(ReadingsFileTest, EveryMistakeHasItsPlace) {
    const Mistake mistakes[] = {
        {"[[readings]]\nat = \"gauge.ECO\"\nreads = \"3 V\"\n", "unknown-pin", 2, 13, "ECHO"},
        {"[[readings]]\nat = \"guage.ECHO\"\nreads = \"3 V\"\n", "unknown-part", 2, 7, "gauge"},
        {"[[readings]]\nat = \"rail logik\"\nreads = \"3 V\"\n", "unknown-point", 2, 7, "rail logic"},
        {"[[readings]]\nat = \"GND\"\nreads = \"3 V\"\n", "ambiguous-pin", 2, 7, ""},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"3 A\"\n", "wrong-unit", 3, 12, ""},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"drift\"\n", "not-a-number", 3, 10, "drifts"},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"open\"\n", "not-a-number", 3, 10, ""},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"3 V\"\nwhen = \"gauge.ECHO hihg\"\n", "no-level", 4, 20, "high"},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"3 V\"\nwhen = \"usb off, gauge.ECO high\"\n", "unknown-name", 4,
         18, "gauge.ECHO"},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"3 V\"\nwhen = \"usb high\"\n", "wrong-level", 4, 9, ""},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"3 V\"\nwhen = \"controller.D2 high\"\n", "not-a-driver", 4, 9,
         "gauge.ECHO"},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"3 V\"\nwhen = \"power off\"\n", "power-off", 2, 7, ""},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"3 V\"\nwhen = \"tank echo high, gauge.ECHO low\"\n",
         "contradiction", 4, 25, ""},
        {"[[readings]]\nat = \"gauge.ECHO\"\n", "missing-key", 1, 1, ""},
        {"[[readings]]\nreads = \"3 V\"\n", "missing-key", 1, 1, ""},
        {"[[readings]]\nat = \"gauge.ECHO\"\nlook = \"wire 1\"\nreads = \"3 V\"\n", "two-places", 3, 1, ""},
        {"[[readings]]\nlook = \"wire 9999\"\nas_planned = true\n", "unknown-wire", 2, 14, ""},
        {"[[readings]]\nbetween = [\"gauge.ECHO\"]\nreads = \"3 Ω\"\n", "two-points", 2, 11, ""},
        {"[[readings]]\nbetween = [\"gauge.ECHO\", \"gauge.ECHO\"]\nreads = \"3 Ω\"\n", "same-point", 2, 26, ""},
        {"[[readings]]\nat = \"gauge.ECHO\"\nreads = \"3 V\"\nas_planned = true\n", "key-elsewhere", 4, 1, ""},
        {"[[readings]]\nat = \"gauge.ECHO\"\nof = 7\nreads = \"300 ns\"\n", "wrong-type", 3, 6, ""},
        {"[[readings]]\nat = 5\nof = \"tank echo\"\nreads = \"300 ns\"\n", "wrong-type", 2, 6, ""},
        {"[[seen]]\nlink = \"tank eco\"\nwhat = \"works\"\n", "unknown-link", 2, 9, "tank echo"},
        {"[[seen]]\nlink = \"tank echo\"\nwhat = \"work when touched\"\n", "unknown-behaviour", 3, 9,
         "works when touched"},
        {"[[seen]]\nwhat = \"works\"\n", "missing-key", 2, 8, ""},
        {"[[seen]]\nlink = \"tank echo\"\nwhat = \"nothing works\"\n", "key-elsewhere", 2, 1, ""},
        {"[weights]\nwire-mising = 2\n", "unknown-fault", 2, 1, "wire-missing"},
        {"[weights]\nwire-missing = -2\n", "out-of-range", 2, 16, ""},
        {"[meter]\nvolts_error = \"0.5 % + 2 mA\"\n", "wrong-unit", 2, 26, ""},
        {"[meter]\nvolts_eror = \"2 mV\"\n", "unknown-key", 2, 1, "volts_error"},
        {"[options]\npairs = \"yes\"\n", "wrong-type", 2, 9, ""},
    };
    std::string all;
    for (const Mistake& m : mistakes) {
        const auto asked = read_file(m.text);
        EXPECT_FALSE(asked->read.file) << m.text;
        ASSERT_EQ(asked->read.problems.size(), 1u) << m.text << rendered(asked->read.problems);
        const Problem& p = asked->read.problems[0];
        EXPECT_EQ(p.code, m.code) << m.text << rendered({p});
        EXPECT_EQ(p.place.line, m.line) << m.text << rendered({p});
        EXPECT_EQ(p.place.column, m.column) << m.text << rendered({p});
        EXPECT_EQ(p.nearest, m.nearest) << m.text;
        EXPECT_THAT(rendered({p}), HasSubstr("^")) << m.text;
        if (std::string_view(m.text).starts_with("[[")) all += m.text;
    }
    EXPECT_EQ(read_file(all)->read.problems.size(), 26u) << "all mistakes at once";
}

/// One mistake hides no other in the same reading, and none is told that only follows from another.
TEST(ReadingsFileTest, EveryMistakeOfAReadingIsToldAtOnce) {
    const std::pair<const char*, std::vector<std::pair<std::string, int>>> readings[] = {
        {"at = \"gauge.ECO\"\nreads = \"3 A\"\nwhen = \"usb hihg\"\n",
         {{"unknown-pin", 2}, {"wrong-unit", 3}, {"no-level", 4}}},
        {"at = \"gauge.ECO\"\nreads = \"3,3 V\"\n", {{"unknown-pin", 2}, {"decimal-comma", 3}}},
        {"at = \"gauge.ECO\"\nreads = \"drifts\"\n", {{"unknown-pin", 2}}},
        {"at = \"gauge.ECO\"\nreads = \"300 ns\"\n", {{"unknown-pin", 2}}},
        {"at = \"gauge.ECO\"\n", {{"missing-key", 1}, {"unknown-pin", 2}}},
        {"at = \"gauge.ECHO\"\nreads = \"4.7 kΩ\"\nwhen = \"power off\"\n", {{"power-off", 2}}},
        {"at = \"controller.D22\"\nof = \"tank eco\"\nreads = \"300 nx\"\n",
         {{"unknown-pin", 2}, {"unknown-link", 3}, {"unknown-unit", 4}}},
        {"at = \"gauge.ECHO\"\nof = \"tank echo\"\nreads = \"3 V\"\n", {{"key-elsewhere", 3}}},
        {"between = [\"gauge.ECO\", \"grond\"]\nreads = \"3 V\"\n",
         {{"unknown-pin", 2}, {"unknown-point", 2}, {"wrong-unit", 3}}},
        {"between = [\"gauge.ECO\", \"ground\"]\nreads = \"open\"\n", {{"unknown-pin", 2}}},
        {"look = \"wire 9999\"\n", {{"missing-key", 1}, {"unknown-wire", 2}}},
        {"supply_of = \"U999\"\n", {{"missing-key", 1}, {"unknown-part", 2}}},
    };
    for (const auto& [text, expected] : readings) {
        const auto asked = read_file(std::string("[[readings]]\n") + text);
        std::vector<std::pair<std::string, int>> told;
        for (const Problem& p : asked->read.problems) told.emplace_back(p.code, p.place.line);
        EXPECT_EQ(told, expected) << text << rendered(asked->read.problems);
    }
    const auto seen = read_file("[[seen]]\nlink = \"tank eco\"\nwhat = \"work when touched\"\n");
    EXPECT_EQ(seen->read.problems.size(), 2u) << rendered(seen->read.problems);
}

TEST(ReadingsFileTest, LinesPointAtTheirLetters) {
    const Mistake mistakes[] = {
        {"gauge.ECO = 3 V", "unknown-pin", 2, 7, "ECHO"},
        {"gauge.ECHO = 3 A", "wrong-unit", 2, 16, ""},
        {"gauge.ECHO = 3 V when gauge.TRG high", "unknown-name", 2, 23, "gauge.TRIG"},
        {"gauge.ECHO", "no-answer", 2, 1, ""},
        {"tank eco fails", "unknown-link", 2, 1, "tank echo"},
        {"wire 9999 = yes", "unknown-wire", 2, 6, ""},
        {"gauge.ECHO to ground = 3 V", "wrong-unit", 2, 26, ""},
        {"gauge.ECHO to ground = 3 k when gauge.ECHO high", "power-on", 2, 33, ""},
        {"gauge = maybe", "unknown-answer", 2, 9, ""},
    };
    for (const Mistake& m : mistakes) {
        const auto asked = read_lines({"rail usb = 5 V", m.text});
        ASSERT_EQ(asked->read.problems.size(), 1u) << m.text;
        const Problem& p = asked->read.problems[0];
        EXPECT_EQ(p.code, m.code) << rendered({p});
        EXPECT_EQ(p.place.line, m.line) << rendered({p});
        EXPECT_EQ(p.place.column, m.column) << rendered({p});
        EXPECT_EQ(p.nearest, m.nearest) << rendered({p});
    }
}

/// Whatever is typed is read or refused with something to show, and never both.
TEST(ReadingsFileTest, AnyTextIsReadOrRefused) {
    rc::check([] {
        const std::string text = *random_text();
        Questions questions(readings_build().bench, readings_build().placed);
        for (const std::string& line : {text, "gauge.ECHO = " + text, "rail usb = 5 V when " + text, text + " fails"}) {
            const ReadingsRead read = read_reading_lines({line}, "--reading", questions);
            RC_ASSERT(read.file.has_value() != has_error(read.problems));
            for (const Problem& p : read.problems) RC_ASSERT(!render(p).empty());
        }
    });
}

TEST(ReadingsFileTest, SchemaTakesWhatTheReaderTakes) {
    const test::SchemaCheck schema(readings_schema());
    const auto accepts = [&](const std::string& text) {
        return schema.accepts(test::as_json(parse_toml(text, "readings.toml").root));
    };
    std::ifstream in(VOLTSILL_ROOT "/examples/readings/tank-echo.toml", std::ios::binary);
    std::stringstream example;
    example << in.rdbuf();
    EXPECT_TRUE(accepts(example.str()));
    EXPECT_TRUE(read_file(example.str())->read.file) << rendered(read_file(example.str())->read.problems);
    for (const char* wrong :
         {"[[readings]]\nad = \"x\"\n", "[[readings]]\nat = 3\n", "[options]\npairs = 1\n",
          "[[seen]]\nlink = \"tank echo\"\n", "[weights]\nwire-missing = -1\n", "[meter]\nvolts = \"1 V\"\n"}) {
        EXPECT_FALSE(accepts(wrong)) << wrong;
        EXPECT_FALSE(read_file(wrong)->read.file) << wrong;
    }
}

}  // namespace
