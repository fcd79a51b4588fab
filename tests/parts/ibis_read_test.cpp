/// What the reader of IBIS takes and what it says about mistakes. Rules of the format: ANSI/EIA-656-B
/// and later versions, from memory.
#include <gmock/gmock.h>

#include "ibis_text.h"

namespace voltsill {
namespace {

using namespace ibis_text;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

Problems problems_of(const std::string& text) {
    Problems problems;
    read_ibis(text, "test.ibs", problems);
    return problems;
}

/// The one problem of a code, with the text it points at.
std::string told(const std::string& text, const std::string& code) {
    for (const Problem& p : problems_of(text))
        if (p.code == code)
            return fmt::format("{}:{} {}", p.place.line,
                               p.excerpt.substr(static_cast<std::size_t>(p.place.column - 1),
                                                static_cast<std::size_t>(p.place.width)),
                               p.nearest);
    return "not told:\n" + all(problems_of(text));
}

const std::string input = head("Input", "Vinl = 0.8V\nVinh=2.0\n");

TEST(IbisRead, ExamplesAreClean) {
    for (const char* name : {"octal-buffer.ibs", "alarm-open-drain.ibs", "schmitt-input.ibs"}) {
        const Problems problems = problems_of(on_disk(name));
        EXPECT_THAT(problems, IsEmpty()) << all(problems);
    }
}

TEST(IbisRead, ComponentsPinsAndSelectors) {
    const IbisFile f = reading(on_disk("octal-buffer.ibs"));
    EXPECT_EQ(f.version, "4.2");
    ASSERT_EQ(f.components.size(), 1u);
    EXPECT_EQ(f.components[0].name, "OCTAL_BUFFER");
    ASSERT_EQ(f.components[0].pins.size(), 9u);
    const IbisPin& y3 = f.components[0].pins[5];
    EXPECT_EQ(y3.number, "17");
    EXPECT_EQ(y3.signal, "Y3");
    EXPECT_EQ(y3.model, "BUFFER");
    EXPECT_DOUBLE_EQ(y3.package.ohms->at(ibis_typ), 0.045);
    EXPECT_DOUBLE_EQ(y3.package.henries->at(ibis_typ), 4.6e-9);
    EXPECT_FALSE(f.components[0].pins[6].package.ohms) << "NA: the package's";
    ASSERT_TRUE(f.selector("BUFFER"));
    EXPECT_EQ(f.selector("BUFFER")->choices[0].model, "OUT_24");
    EXPECT_EQ(f.selector("BUFFER")->choices[0].text, "full strength, 24 mA");
    EXPECT_DOUBLE_EQ(f.components[0].package.farads->at(ibis_max), 0.9e-12);
}

TEST(IbisRead, ScaleFactorsAreCaseSensitiveAndUnitsIgnored) {
    const auto c_comp = [](const std::string& number) {
        const IbisFile f = reading(
            file("[Model] A_MODEL\nModel_type Input\nC_comp " + number + "\n[Voltage Range] 5 4 6\n"));
        return f.model("A_MODEL")->c_comp->at(ibis_typ);
    };
    const std::vector<std::pair<std::string, double>> cases{
        {"1.5T", 1.5e12}, {"1.5GHz", 1.5e9}, {"1.5M", 1.5e6},  {"1.5kOhms", 1.5e3}, {"1.5", 1.5},
        {"1.5m", 1.5e-3}, {"1.5uF", 1.5e-6}, {"1.5n", 1.5e-9}, {"1.5pF", 1.5e-12},  {"1.5f", 1.5e-15},
        {"1.5V", 1.5},    {"+1.5", 1.5},     {"15e-1", 1.5},   {".5", 0.5},         {"300ohms", 300},
        {"1.5F", 1.5},    {"0.0015kV", 1.5}};
    for (const auto& [text, value] : cases) EXPECT_DOUBLE_EQ(c_comp(text + " NA NA"), value) << text;
}

TEST(IbisRead, KeywordsInAnyCaseWithUnderscoresTabsAndCrLf) {
    std::string text = file(input);
    const auto replace = [&](const std::string& from, const std::string& to) {
        const auto at = text.find(from);
        ASSERT_NE(at, std::string::npos);
        text.replace(at, from.size(), to);
    };
    replace("[Voltage Range] 5.0 4.5", "[vOLTAGE_rANGE]\t5.0\t4.5");
    std::string crlf;
    for (const char c : text) crlf += c == '\n' ? std::string("\r\n") : std::string(1, c);
    EXPECT_THAT(problems_of(crlf), IsEmpty()) << all(problems_of(crlf));
    EXPECT_DOUBLE_EQ(reading(crlf).model("A_MODEL")->voltage->at(ibis_min), 4.5);
    EXPECT_EQ(reading(crlf).components[0].manufacturer, "nobody");
}

TEST(IbisRead, CommentCharacterCanBeSet) {
    std::string text = file(input);
    text.replace(text.find("[File Name]"), 0, "| a comment\n[Comment Char] !_char\n! another [Bad keyword\n");
    const auto pin = text.find("1 A A_MODEL");
    text.replace(pin, 11, "1 A|B A_MODEL ! ignored");
    EXPECT_EQ(reading(text).components[0].pins[0].signal, "A|B");
}

TEST(IbisRead, MinimumAndMaximumFallBackToTypicalAndSaySo) {
    const IbisFile f =
        reading(file("[Model] A_MODEL\nModel_type Input\nC_comp 2pF NA na\n[Voltage Range] 5 4.5 5.5\n"
                     "[GND Clamp]\n-1 -10m NA NA\n-0.5 -1m NA NA\n0 0 NA NA\n"));
    const IbisModel& m = *f.model("A_MODEL");
    EXPECT_DOUBLE_EQ(m.c_comp->at(ibis_min), 2e-12);
    EXPECT_DOUBLE_EQ(m.c_comp->at(ibis_max), 2e-12);
    EXPECT_FALSE(m.c_comp->given[ibis_min]);
    EXPECT_EQ(m.gnd_clamp->corner[ibis_max], m.gnd_clamp->corner[ibis_typ]);
    EXPECT_THAT(m.remarks, Contains(HasSubstr("C_comp: minimum and maximum not given")));
    EXPECT_THAT(m.remarks, Contains(HasSubstr("no minimum column")));
    EXPECT_THAT(m.remarks, Contains(HasSubstr("no maximum column")));
}

TEST(IbisRead, ATypicalFigureMustBeGiven) {
    EXPECT_EQ(told(file("[Model] A_MODEL\nModel_type Input\nC_comp NA 1p 2p\n[Voltage Range] 5 4 6\n"),
                   "typical-missing"),
              "14:NA ");
}

/// Reference notes, section 7: a clamp table as found in use, with NA and with short rows.
TEST(IbisRead, ShortRowsAreTakenWithAWarning) {
    const std::string text = file(input + "[GND Clamp]\n0 0 NA NA\n-0.3 0 NA NA\n-0.4 -0.05m\n-0.5 -0.5m\n");
    const auto problems = problems_of(text);
    EXPECT_FALSE(has_error(problems)) << all(problems);
    EXPECT_EQ(problems.at(0).code, "short-rows");
    const IbisFile f = reading(text);
    EXPECT_THAT(f.model("A_MODEL")->gnd_clamp->corner[ibis_typ].volts, ElementsAre(-0.5, -0.4, -0.3, 0));
    EXPECT_THAT(f.model("A_MODEL")->gnd_clamp->corner[ibis_typ].amps, ElementsAre(-0.5e-3, -0.05e-3, 0, 0));
}

TEST(IbisRead, EveryUnsupportedKeywordIsListedWithItsLine) {
    const std::string text = file(input +
                                  "[Driver Schedule]\nsomething 1 2 3\n"       // lines 18, 19
                                  "[TTgnd] 5n NA NA\n"                         // 20
                                  "[Add Submodel]\nhold Non-Driving\n"         // 21
                                  "[Submodel] hold\nSubmodel_type Bus_hold\n"  // 23
                                  "[GND Clamp]\n-1 1 1 1\n0 0 0 0\n"   // 25: the submodel's, not the model's
                                  "[Quantum Entanglement]\n1 2 3\n");  // 28
    const IbisFile f = reading(text);
    std::vector<std::string> listed;
    for (const IbisUnused& u : f.unused) {
        listed.push_back(fmt::format("{} {}", u.line, u.keyword));
        EXPECT_FALSE(u.reason.empty());
    }
    EXPECT_THAT(listed, ElementsAre("18 [Driver Schedule]", "20 [TTgnd]", "21 [Add Submodel]",
                                    "23 [Submodel]", "25 [GND Clamp]", "28 [Quantum Entanglement]"));
    EXPECT_FALSE(f.model("A_MODEL")->gnd_clamp);
}

TEST(IbisRead, MistakesArePlacedAndRightNamesOffered) {
    EXPECT_EQ(told(file(input + "[GND Clmap]\n0 0 0 0\n1 1 1 1\n"), "unknown-keyword"),
              "18:GND Clmap GND Clamp");
    EXPECT_EQ(told(file(input, "1 A A_MODLE\n"), "unknown-model"), "11:A_MODLE A_MODEL");
    EXPECT_EQ(told(file(head("Opn_drain")), "unknown-model-type"), "13:Opn_drain Open_drain");
    EXPECT_EQ(told(file(head("Input", "Vinll = 1\n")), "unknown-parameter"), "15:Vinll Vinl");
    EXPECT_EQ(told(file(head("Input", "Vinl = 2\nVinh = 1\n")), "crossed-thresholds"), "12:[Model] A_MODEL ");
    EXPECT_EQ(told(file(head("Input", "Vinl = 0,8\n")), "not-a-number"), "15:0,8 ");
    EXPECT_EQ(told(file(head("Input", "Rref = 10K\n")), "wrong-suffix"), "15:10K ");
    EXPECT_EQ(told(file(head("Input", "Rref = nan\n")), "not-a-number"), "15:nan ");
    EXPECT_EQ(told(file(head("Input", "Rref = 1e300T\n")), "out-of-range"), "15:1e300T ");
    EXPECT_EQ(told(file(head("Input", "Polarity Upside-down\n")), "wrong-word"), "15:Upside-down ");
    EXPECT_EQ(told(file(input + input), "repeated-name"), "18:A_MODEL ");
    EXPECT_EQ(told(file(input + "[GND Clamp]\n0 0 0 0\n1 1 1 1\n0.5 2 2 2\n"), "rows-out-of-order"),
              "21:0.5 2 2 2 ");
    EXPECT_EQ(told(file(input + "[Voltage Range\n"), "unclosed-keyword"), "18:[Voltage Range ");
    EXPECT_EQ(told(file(head("3-state")), "missing-table"), "12:[Model] A_MODEL ");
    EXPECT_EQ(told("[Component] X\n", "not-ibis"), "1:[Component] ");
    EXPECT_EQ(told("hello\n", "not-ibis"), "1:hello ");
    EXPECT_EQ(told("[IBIS Ver] 9.1\n[End]\n", "wrong-version"), "1:9.1 ");
    EXPECT_EQ(told(std::string("[IBIS Ver] 4.2\n\0x", 17), "not-text"),
              fmt::format("2:{} ", std::string(1, '\0')));
}

TEST(IbisRead, AllMistakesInOneRun) {
    const auto problems =
        problems_of(file(head("Input", "Vinl = x\nRref = 10K\nColour = red\n"), "1 A NOBODY\n2 B\n"));
    std::vector<std::string> codes;
    for (const Problem& p : problems) codes.push_back(p.code);
    EXPECT_THAT(codes, ElementsAre("unknown-model", "short-row", "not-a-number", "wrong-suffix",
                                   "unknown-parameter")) << "in order of lines, names looked up at the end as well";
    for (const Problem& p : problems) EXPECT_THAT(render(p), ::testing::HasSubstr("^"));
}

TEST(IbisRead, WrongSignsAreToldWithTheirNumbers) {
    const auto expect_wrong = [](const std::string& models, const std::string& words) {
        const auto problems = problems_of(file(models));
        ASSERT_TRUE(has_error(problems));
        EXPECT_EQ(problems[0].code, "wrong-sign");
        EXPECT_THAT(problems[0].message, HasSubstr(words));
    };
    const std::string ramp = "[Ramp]\ndV/dt_r 2/1n 2/1n 2/1n\ndV/dt_f 2/1n 2/1n 2/1n\n";
    expect_wrong(
        head("3-state") + resistor_table("Pulldown", -1, 50) + resistor_table("Pullup", -1, 50) + ramp,
        "[Pulldown] carries -100 mA at 5 V");
    expect_wrong(head("3-state") + resistor_table("Pulldown", 1, 50) + resistor_table("Pullup", 1, 50) + ramp,
                 "[Pullup] carries 100 mA at 5 V");
    expect_wrong(input + "[GND Clamp]\n-1 10m 10m 10m\n0 0 0 0\n", "[GND Clamp] carries 10 mA at -1 V");
    expect_wrong(input + "[POWER Clamp]\n-1 -10m -10m -10m\n0 0 0 0\n",
                 "[POWER Clamp] carries -10 mA at -1 V");
}

/// Nothing is taken from a table with a row of another size; what only falls is repaired, and told.
TEST(IbisRead, RowsThatDoNotFollowAreTold) {
    const std::string ramp = "[Ramp]\ndV/dt_r 2/1n 2/1n 2/1n\ndV/dt_f 2/1n 2/1n 2/1n\n",
                      up = resistor_table("Pullup", -1, 50) + ramp;
    const auto pulldown = [&](const char* row) {
        return problems_of(file(head("3-state") + "[Pulldown]\n-5 -50m -40m -60m\n0 0 0 0\n" + row +
                                "1 10m 8m 12m\n5 50m 40m 60m\n10 60m 50m 70m\n" + up));
    };
    EXPECT_TRUE(pulldown("0.5 5m 4m 6m\n").empty());
    const Problems lost = pulldown("0.5 5 4m 6m\n");
    ASSERT_EQ(lost.size(), 1u);
    EXPECT_EQ(lost[0].code, "wrong-row");
    EXPECT_EQ(lost[0].severity, Severity::error);
    EXPECT_THAT(lost[0].message, HasSubstr("[Pulldown], typical column, at 0.5 V: 5 A does not follow"));
    const Problems turned = pulldown("0.5 -30m 4m 6m\n");
    ASSERT_EQ(turned.size(), 1u);
    EXPECT_EQ(turned[0].code, "falls-in-places");
    EXPECT_EQ(turned[0].severity, Severity::warning);
}

TEST(IbisRead, CapacitanceOfMicrofaradsIsDoubted) {
    const auto with = [](const char* c_comp) {
        return problems_of(
            file(std::string("[Model] A_MODEL\nModel_type Input\n") + c_comp + "\n[Voltage Range] 5 4.5 5.5\n"));
    };
    EXPECT_TRUE(with("C_comp 2pF 1pF 3pF").empty());
    const Problems large = with("C_comp 2uF 1pF 3pF");
    ASSERT_EQ(large.size(), 1u);
    EXPECT_EQ(large[0].code, "unlikely");
    EXPECT_THAT(large[0].message, HasSubstr("2 µF"));
    const Problems outside = with("C_comp 2pF 2.5pF 3pF");
    ASSERT_EQ(outside.size(), 1u);
    EXPECT_EQ(outside[0].code, "range-out-of-order");
}

TEST(IbisRead, RampsAndWaveformsMustHoldAnEdge) {
    const std::string tables =
        head("3-state") + resistor_table("Pulldown", 1, 50) + resistor_table("Pullup", -1, 50);
    EXPECT_THAT(told(file(tables + "[Ramp]\ndV/dt_r 0/1n 2/1n 2/1n\ndV/dt_f 2/1n 2/1n 2/1n\n"), "zero-ramp"),
                HasSubstr("dV/dt_r 0/1n"));
    EXPECT_THAT(told(file(tables + "[Ramp]\ndV/dt_r 2/1m 2/1n 2/1n\ndV/dt_f 2/1n 2/1n 2/1n\n"), "unlikely"),
                HasSubstr("[Ramp]"))
        << "a prefix slipped";
    EXPECT_EQ(told(file(tables + "[Ramp]\ndV/dt_r 2/1u 2/1n 2/1n\ndV/dt_f 2/1n 2/1n 2/1n\n"), "unlikely"),
              "not told:\n");
    EXPECT_THAT(told(file(tables + "[Ramp]\ndV/dt_r 2/1n 2/1n 2/1n\n"), "incomplete-ramp"), HasSubstr("[Ramp]"));
    EXPECT_THAT(told(file(tables + "[Rising Waveform]\nR_fixture = 50\nV_fixture = 0\n0 0 0 0\n"), "too-few-rows"),
                HasSubstr("[Rising Waveform]"));
    EXPECT_THAT(told(file(tables + "[Rising Waveform]\n0 0 0 0\n1n 1 1 1\n"), "no-fixture"),
                HasSubstr("[Rising Waveform]"));
}

/// 50 ohm up, fixture of 50 ohm to ground: the tables rest at half the supply, 2.5 V.
TEST(IbisRead, WaveformsAreHeldAgainstTables) {
    const std::string wave = "[Rising Waveform]\nR_fixture = 50\nV_fixture = 0\n0 0 0 0\n1n {} {} {}\n";
    const auto codes = [&](double typ, double min, double max) {
        return problems_of(file(resistor_driver(50, 50) + fmt::format(fmt::runtime(wave), typ, min, max)));
    };
    // Weaker by 1.25 at 4.5 V: 4.5 * 50 / 112.5 = 2 V; stronger by 0.8 at 5.5 V: 5.5 * 50 / 90 = 3.056 V.
    EXPECT_THAT(codes(2.5, 2.0, 3.056), IsEmpty());
    const auto off = codes(4.0, 2.0, 3.056);
    ASSERT_EQ(off.size(), 1u);
    EXPECT_EQ(off[0].code, "waveform-off-tables");
    EXPECT_THAT(off[0].message, HasSubstr("ends at 4 V; in its fixture the I-V tables rest at 2.5 V"));
}

TEST(IbisRead, LongLinesAreAWarning) {
    const auto problems = problems_of(file(input).insert(15, "| " + std::string(150, 'x') + "\n"));
    ASSERT_EQ(problems.size(), 1u) << all(problems);
    EXPECT_EQ(problems[0].code, "long-line");
    EXPECT_EQ(problems[0].severity, Severity::warning);
}

TEST(IbisRead, ModelsThatHaveNoPlaceHereSayWhy) {
    for (const char* type : {"Output_ECL", "Series_switch", "Series", "Input_diff"}) {
        const IbisFile f = reading(file(head(type)));
        EXPECT_EQ(f.model("A_MODEL")->type, IbisType::unsupported);
        EXPECT_FALSE(f.model("A_MODEL")->not_supported.empty()) << type;
    }
}

TEST(IbisRead, ModelSpecWinsWhereverVinlStands) {
    const IbisFile f = reading(file(input + "[Model Spec]\nVinl 0.9 0.7 1.1\nVinh+ 2.2 2.0 2.4\n"));
    EXPECT_DOUBLE_EQ(f.model("A_MODEL")->vinl->at(ibis_min), 0.7);
    EXPECT_DOUBLE_EQ(f.model("A_MODEL")->rising_high->at(ibis_max), 2.4);
    EXPECT_DOUBLE_EQ(f.model("A_MODEL")->vinh->at(ibis_min), 2.0);
}

}  // namespace
}  // namespace voltsill
